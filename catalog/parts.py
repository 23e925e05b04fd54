"""Parts: the parts list of a heater, and the door to look-up, chains, offers and stock."""

from __future__ import annotations

from typing import TYPE_CHECKING

from pydantic import BaseModel, ConfigDict

from catalog.chains import alike, alike_numbers, chain, steps_of_chain
from catalog.heaters import HeaterFamily, families_like, heater_families, heater_family
from catalog.offers import (
    Offer,
    best_offer,
    branches,
    checked_place,
    checked_van,
    counted_at,
    counted_stock,
    offers,
    stock,
    stocks,
    vans,
)
from catalog.part_lookup import Feature, Part, part, parts_by_number, parts_of_features
from catalog.rows import Position

if TYPE_CHECKING:
    from catalog.snapshots import Catalog

__all__ = [
    "Feature",
    "HeaterFamily",
    "ListedPart",
    "Offer",
    "Part",
    "alike",
    "alike_numbers",
    "best_offer",
    "branches",
    "chain",
    "checked_place",
    "checked_van",
    "counted_at",
    "counted_stock",
    "families_like",
    "heater_families",
    "heater_family",
    "offers",
    "part",
    "parts_by_number",
    "parts_of_family",
    "parts_of_features",
    "steps_of_chain",
    "stock",
    "stocks",
    "vans",
]


class ListedPart(BaseModel):
    """A position of a heater family: the part the maker lists, and the one sold today."""

    model_config = ConfigDict(frozen=True, extra="forbid")

    position: Position
    listed: Part
    today: Part | None


def parts_of_family(catalog: Catalog, slug: str) -> tuple[ListedPart, ...]:
    """Return the parts list of a heater family.

    Parameters
    ----------
    catalog
        The open catalog.
    slug
        The heater family.

    Returns
    -------
    Each position with the part listed and the one sold today; the parts come without their
    features, for a list to choose from needs none.

    Raises
    ------
    CatalogTrouble
        If the catalog does not hold the family.
    """
    family = heater_family(catalog, slug)
    rows = catalog.rows("listed_parts", {"heater_family": family.slug})
    listed = parts_by_number(catalog, [row["part"] for row in rows], features_of=())
    later = [p.sold_as for p in listed.values() if p.sold_as and p.sold_as not in listed]
    every = listed | parts_by_number(catalog, later, features_of=())
    return tuple(
        ListedPart(
            position=row["position"],
            listed=listed[row["part"]],
            today=every.get(listed[row["part"]].sold_as or ""),
        )
        for row in rows
    )
