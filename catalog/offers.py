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
    Stock for each number; what is set aside on the van (`Catalog.less`) is not in it.
    """
    if not numbers:
        return {}
    rows = catalog.rows("stock", {"numbers": list(numbers), "van": van})
    pieces = {row["part"]: (row["van"], row["branch"]) for row in rows}
    found = {}
    for number in numbers:
        on_van, at_branch = pieces.get(number, (0, 0))
        on_van = max(on_van - catalog.set_aside(number, van), 0)
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
