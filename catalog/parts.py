"""Parts: look-up, replaced-by chains, offers, stock."""

from __future__ import annotations

from datetime import date
from decimal import Decimal
from typing import TYPE_CHECKING, Any

from pydantic import BaseModel, ConfigDict

from catalog.heaters import HeaterFamily, families_like, heater_families, heater_family
from catalog.numbers import fold
from catalog.rows import Position
from estimator.errors import CatalogTrouble, PartNotFound
from estimator.supply import PartFamily, Stock

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping, Sequence

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
    "chain",
    "checked_van",
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

Feature = str | float | bool
NEAR_SLIPS = 2


class _Frozen(BaseModel):
    model_config = ConfigDict(frozen=True, extra="forbid")


class Part(_Frozen):
    """A part of the catalog.

    `features` are those of its family that it has; lengths [in], temperatures [°F],
    pressures [in wc], input [Btu/h]. `sold_as` is the number sold today, its own where
    it is; ``None`` where nothing is sold for it any more.
    """

    number: str
    family: PartFamily
    description: str
    maker: str
    universal: bool
    discontinued: bool
    replaced_by: str | None
    sold_as: str | None
    features: dict[str, Feature]


class ListedPart(_Frozen):
    """A position of a heater family: the part the maker lists, and the one sold today."""

    position: Position
    listed: Part
    today: Part | None


class Offer(_Frozen):
    """What a supplier asks for a part [USD], while the price holds."""

    part: str
    supplier: str
    cost: Decimal
    list_price: Decimal | None
    valid_from: date
    valid_to: date | None
    order_days: int


def parts_by_number(
    catalog: Catalog, numbers: Iterable[str], *, with_features: bool = True
) -> dict[str, Part]:
    """Return several parts, by their exact numbers.

    Parameters
    ----------
    catalog
        The open catalog.
    numbers
        Numbers as the catalog writes them; those it does not hold are left out.
    with_features
        Whether the features are wanted; a list to choose from needs none.

    Returns
    -------
    Number to part.
    """
    asked = list(dict.fromkeys(numbers))
    if not asked:
        return {}
    rows = catalog.rows("parts_by_number", {"numbers": asked})
    if not with_features:
        return {row["number"]: Part(**row, features={}) for row in rows}
    return {part.number: part for part in _with_features(catalog, rows)}


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
        return _with_features(catalog, rows)[0]
    most = min(NEAR_SLIPS, max(len(folded) - 1, 0))
    near = catalog.rows("near_numbers", {"folded": folded, "most": most}) if folded else []
    shown = number if len(number) <= 40 else f"{number[:40]}…"
    mend = (
        f"Near it are {', '.join(row['number'] for row in near)}."
        if near
        else "Read the number again, or find the part by its measures."
    )
    raise PartNotFound(f'The part number "{shown}" is not in the catalog', "", mend)


def chain(catalog: Catalog, number: str) -> tuple[Part, ...]:
    """Follow a part to the one sold today.

    Parameters
    ----------
    catalog
        The open catalog.
    number
        The number, read as `part` reads it.

    Returns
    -------
    The part, then each that replaces the one before. The last is sold today, unless
    nothing replaces it: then it is `discontinued`.

    Raises
    ------
    PartNotFound
        If the catalog does not hold the number.
    """
    first = part(catalog, number)
    if first.replaced_by is None:
        return (first,)
    order = steps_of_chain(catalog, first.number)
    found = parts_by_number(catalog, order)
    return tuple(found[step] for step in order)


def steps_of_chain(catalog: Catalog, number: str) -> list[str]:
    """Return the numbers from a part to the one sold today.

    Parameters
    ----------
    catalog
        The open catalog.
    number
        The exact number.

    Returns
    -------
    The number, then each that replaces the one before.
    """
    # One look-up a step: a recursive query would read the whole table at each.
    order, after = [number], number
    while rows := catalog.rows("next_in_chain", {"number": after}):
        if not rows[0]["discontinued"] or rows[0]["replaced_by"] is None:
            break
        after = rows[0]["replaced_by"]
        order.append(after)
    return order


def alike(catalog: Catalog, number: str) -> tuple[Part, ...]:
    """Return the parts that serve for a part and it for them.

    Parameters
    ----------
    catalog
        The open catalog.
    number
        The number, read as `part` reads it.

    Returns
    -------
    Parts alike, by number.

    Raises
    ------
    PartNotFound
        If the catalog does not hold the number.
    """
    held = part(catalog, number)
    found = parts_by_number(catalog, alike_numbers(catalog, held.number))
    return tuple(sorted(found.values(), key=lambda p: p.number))


def alike_numbers(catalog: Catalog, number: str) -> list[str]:
    """Return the numbers of the parts alike to a part.

    Parameters
    ----------
    catalog
        The open catalog.
    number
        The exact number.

    Returns
    -------
    Numbers, in order.
    """
    return [row["alike"] for row in catalog.rows("alike", {"number": number})]


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
    Each position with the part listed and the one sold today.

    Raises
    ------
    CatalogTrouble
        If the catalog does not hold the family.
    """
    family = heater_family(catalog, slug)
    rows = catalog.rows("listed_parts", {"heater_family": family.slug})
    listed = parts_by_number(catalog, [row["part"] for row in rows])
    later = [p.sold_as for p in listed.values() if p.sold_as and p.sold_as not in listed]
    every = listed | parts_by_number(catalog, later)
    return tuple(
        ListedPart(
            position=row["position"],
            listed=listed[row["part"]],
            today=every.get(listed[row["part"]].sold_as or ""),
        )
        for row in rows
    )


def offers(
    catalog: Catalog, numbers: Sequence[str], on: date | None
) -> dict[str, tuple[Offer, ...]]:
    """Return the offers that hold on a day.

    Parameters
    ----------
    catalog
        The open catalog.
    numbers
        Exact numbers.
    on
        The day; every offer, past and to come, if ``None``.

    Returns
    -------
    Number to offers, the cheapest first, then the soonest.
    """
    held: dict[str, list[Offer]] = {}
    if not numbers:
        return {}
    for row in catalog.rows("offers", {"numbers": list(numbers), "on": on}):
        held.setdefault(row["part"], []).append(Offer(**row))
    return {number: tuple(found) for number, found in held.items()}


def best_offer(catalog: Catalog, number: str, on: date) -> Offer | None:
    """Return the cheapest offer that holds on a day.

    Parameters
    ----------
    catalog
        The open catalog.
    number
        The number, read as `part` reads it.
    on
        The day.

    Returns
    -------
    The offer, or ``None`` if no supplier offers the part that day.

    Raises
    ------
    PartNotFound
        If the catalog does not hold the number.
    """
    held = part(catalog, number)
    return offers(catalog, [held.number], on).get(held.number, (None,))[0]


def vans(catalog: Catalog) -> tuple[str, ...]:
    """Return the vans whose stock the catalog holds.

    Parameters
    ----------
    catalog
        The open catalog.

    Returns
    -------
    Names of vans.
    """
    return tuple(row["place"] for row in catalog.fixed_rows("vans"))


def checked_van(catalog: Catalog, van: str) -> str:
    """Check the name of a van.

    Parameters
    ----------
    catalog
        The open catalog.
    van
        The name; empty for no van.

    Returns
    -------
    The name.

    Raises
    ------
    CatalogTrouble
        If the catalog knows no such van.
    """
    if van and van not in vans(catalog):
        known = ", ".join(vans(catalog)) or "none"
        raise CatalogTrouble(
            f'The van "{van}" is not in the catalog', "", f"Its vans are {known}; or give none."
        )
    return van


def stocks(
    catalog: Catalog, numbers: Sequence[str], van: str, prices: Mapping[str, Sequence[Offer]]
) -> dict[str, Stock]:
    """Return where several parts are.

    Parameters
    ----------
    catalog
        The open catalog.
    numbers
        Exact numbers.
    van
        The van to look on; empty for none.
    prices
        The offers by which a part could be ordered.

    Returns
    -------
    Stock for each number.
    """
    if not numbers:
        return {}
    rows = catalog.rows("stock", {"numbers": list(numbers), "van": van})
    pieces = {row["part"]: (row["van"], row["branch"]) for row in rows}
    found = {}
    for number in numbers:
        on_van, at_branch = pieces.get(number, (0, 0))
        days = min((offer.order_days for offer in prices.get(number, ())), default=None)
        found[number] = Stock(van=on_van, branch=at_branch, order_days=days)
    return found


def counted_stock(catalog: Catalog) -> dict[tuple[str, str], int]:
    """Return all stock as it was counted.

    Parameters
    ----------
    catalog
        The open catalog.

    Returns
    -------
    (part, place) to pieces.
    """
    rows = catalog.fixed_rows("counted_stock")
    return {(row["part"], row["place"]): row["pieces"] for row in rows}


def stock(catalog: Catalog, number: str, van: str) -> Stock:
    """Return where a part is.

    Parameters
    ----------
    catalog
        The open catalog.
    number
        The number, read as `part` reads it.
    van
        The van to look on; empty for none.

    Returns
    -------
    Pieces on the van and at the branch, days to order.

    Raises
    ------
    PartNotFound
        If the catalog does not hold the number.
    CatalogTrouble
        If it knows no such van.
    """
    held = part(catalog, number)
    numbers = [held.number]
    every = offers(catalog, numbers, None)
    return stocks(catalog, numbers, checked_van(catalog, van), every)[held.number]


def _with_features(catalog: Catalog, rows: Sequence[dict[str, Any]]) -> list[Part]:
    by_family: dict[str, list[str]] = {}
    for row in rows:
        by_family.setdefault(row["family"], []).append(row["number"])
    features: dict[str, dict[str, Feature]] = {}
    for family, numbers in by_family.items():
        for held in catalog.rows(f"features_{family}", {"numbers": numbers}):
            number = held.pop("number")
            features[number] = {name: value for name, value in held.items() if value is not None}
    return [Part(**row, features=features.get(row["number"], {})) for row in rows]
