"""What suppliers ask for a part, and where pieces of it are."""

from __future__ import annotations

from datetime import date
from decimal import Decimal
from typing import TYPE_CHECKING

from pydantic import BaseModel, ConfigDict

from catalog.part_lookup import part
from estimator.errors import CatalogTrouble
from estimator.supply import Stock

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from catalog.snapshots import Catalog


class Offer(BaseModel):
    """What a supplier asks for a part [USD], while the price holds."""

    model_config = ConfigDict(frozen=True, extra="forbid")

    part: str
    supplier: str
    cost: Decimal
    list_price: Decimal | None
    valid_from: date
    valid_to: date | None
    order_days: int


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


def branches(catalog: Catalog) -> tuple[str, ...]:
    """Return the branches whose stock the catalog holds.

    Parameters
    ----------
    catalog
        The open catalog.

    Returns
    -------
    Names of branches.
    """
    return tuple(row["place"] for row in catalog.fixed_rows("branches"))


def suppliers(catalog: Catalog) -> tuple[str, ...]:
    """Return the suppliers whose offers the catalog holds.

    Parameters
    ----------
    catalog
        The open catalog.

    Returns
    -------
    Their names.
    """
    return tuple(row["supplier"] for row in catalog.fixed_rows("suppliers"))


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


def checked_place(catalog: Catalog, place: str) -> str:
    """Check the name of a place where stock lies.

    Parameters
    ----------
    catalog
        The open catalog.
    place
        The name of a van or a branch.

    Returns
    -------
    The name.

    Raises
    ------
    CatalogTrouble
        If the catalog knows no such van and no such branch.
    """
    known = (*vans(catalog), *branches(catalog))
    if place not in known:
        raise CatalogTrouble(
            f'The place "{place}" is not in the catalog',
            "",
            f"Its vans and branches are {', '.join(known) or 'none'}.",
        )
    return place


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
    Stock for each number; what is set aside on the van or at a branch (`Catalog.less`) is
    not in it.
    """
    if not numbers:
        return {}
    pieces: dict[tuple[str, str], int] = {}
    for row in catalog.rows("stock", {"numbers": list(numbers), "van": van}):
        free = max(row["pieces"] - catalog.set_aside(row["part"], row["place"]), 0)
        key = row["part"], row["place_kind"]
        pieces[key] = pieces.get(key, 0) + free
    found = {}
    for number in numbers:
        days = min((offer.order_days for offer in prices.get(number, ())), default=None)
        found[number] = Stock(
            van=pieces.get((number, "van"), 0),
            branch=pieces.get((number, "branch"), 0),
            order_days=days,
        )
    return found


def place_order(stock: Stock) -> int:
    """Return 0 for a part on the van, 1 at the branch, 2 to order, 3 for none.

    Parameters
    ----------
    stock
        Where the part is free.

    Returns
    -------
    The place as a number to sort by.
    """
    if stock.van:
        return 0
    if stock.branch:
        return 1
    return 2 if stock.order_days is not None else 3


def counted_at(
    catalog: Catalog, numbers: Sequence[str], van: str
) -> dict[str, tuple[tuple[str, int], ...]]:
    """Return the pieces counted of several parts, place by place, set aside or not.

    Parameters
    ----------
    catalog
        The open catalog.
    numbers
        Exact numbers.
    van
        The van to look on; empty for none.

    Returns
    -------
    Number to (place, pieces), the van before the branches; only where there are any.
    """
    found: dict[str, tuple[tuple[str, int], ...]] = {}
    if not numbers:
        return found
    rows = catalog.rows("stock", {"numbers": list(numbers), "van": van})
    for row in sorted(rows, key=lambda row: (row["place_kind"] != "van", row["place"])):
        if row["pieces"] > 0:
            found[row["part"]] = (*found.get(row["part"], ()), (row["place"], row["pieces"]))
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
