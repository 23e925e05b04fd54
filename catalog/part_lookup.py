"""Parts as the catalog holds them: by exact numbers, by a typed number, with their features."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from pydantic import BaseModel, ConfigDict

from catalog.numbers import fold
from estimator.errors import PartNotFound
from estimator.supply import PartFamily

if TYPE_CHECKING:
    from collections.abc import Container, Iterable, Mapping, Sequence

    from catalog.snapshots import Catalog

Feature = str | float | bool
NEAR_SLIPS = 2


class Part(BaseModel):
    """A part of the catalog.

    `features` are those of its family that it has; lengths [in], temperatures [°F],
    pressures [in wc], input [Btu/h]. `sold_as` is the number sold today, its own where
    it is; ``None`` where nothing is sold for it any more.
    """

    model_config = ConfigDict(frozen=True, extra="forbid")

    number: str
    family: PartFamily
    description: str
    maker: str
    universal: bool
    discontinued: bool
    replaced_by: str | None
    sold_as: str | None
    features: dict[str, Feature]


def parts_by_number(
    catalog: Catalog, numbers: Iterable[str], features_of: Container[str] = frozenset(PartFamily)
) -> dict[str, Part]:
    """Return several parts, by their exact numbers.

    Parameters
    ----------
    catalog
        The open catalog.
    numbers
        Numbers as the catalog writes them; those it does not hold are left out.
    features_of
        The families of which the features are wanted; a list to choose from needs none.

    Returns
    -------
    Number to part.
    """
    asked = list(dict.fromkeys(numbers))
    if not asked:
        return {}
    rows = catalog.rows("parts_by_number", {"numbers": asked})
    return {part.number: part for part in _with_features(catalog, rows, features_of)}


def parts_of_features(catalog: Catalog, features: Sequence[Mapping[str, Any]]) -> dict[str, Part]:
    """Return the parts whose features were read already.

    Parameters
    ----------
    catalog
        The open catalog.
    features
        Rows of a family's table: the number and the features.

    Returns
    -------
    Number to part, in the order of `features`.
    """
    if not features:
        return {}
    asked = [row["number"] for row in features]
    rows = {row["number"]: row for row in catalog.rows("parts_by_number", {"numbers": asked})}
    return {
        held["number"]: Part(
            **rows[held["number"]],
            features={
                name: value
                for name, value in held.items()
                if name != "number" and value is not None
            },
        )
        for held in features
    }


def part(catalog: Catalog, number: str) -> Part:
    """Return the part of a number.

    Parameters
    ----------
    catalog
        The open catalog.
    number
        The number as typed or stamped: case, dashes, spaces, O/0 and I/1/L are set aside.

    Returns
    -------
    The part.

    Raises
    ------
    PartNotFound
        Naming up to three numbers that are at most two slips away.
    """
    folded = fold(number)
    rows = catalog.rows("part_by_folded", {"folded": folded}) if folded else []
    if rows:
        return _with_features(catalog, rows, frozenset(PartFamily))[0]
    most = min(NEAR_SLIPS, max(len(folded) - 1, 0))
    near = catalog.rows("near_numbers", {"folded": folded, "most": most}) if folded else []
    shown = number if len(number) <= 40 else f"{number[:40]}…"
    mend = (
        f"Near it are {', '.join(row['number'] for row in near)}."
        if near
        else "Read the number again, or find the part by its measures."
    )
    raise PartNotFound(f'The part number "{shown}" is not in the catalog', "", mend)


def _with_features(
    catalog: Catalog, rows: Sequence[dict[str, Any]], families: Container[str]
) -> list[Part]:
    by_family: dict[str, list[str]] = {}
    for row in rows:
        if row["family"] in families:
            by_family.setdefault(row["family"], []).append(row["number"])
    features: dict[str, dict[str, Feature]] = {}
    for family, numbers in by_family.items():
        for held in catalog.rows(f"features_{family}", {"numbers": numbers}):
            number = held.pop("number")
            features[number] = {name: value for name, value in held.items() if value is not None}
    return [Part(**row, features=features.get(row["number"], {})) for row in rows]
