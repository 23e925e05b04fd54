"""A part that can be had, in words: where it is, what it costs, what the job needs besides."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from app import formatting
from estimator.price_lines import part_price

if TYPE_CHECKING:
    from app.views.fields import Tone
    from estimator.rates import PartPricing
    from estimator.supply import Stock, SuppliedPart


@dataclass(frozen=True)
class Besides:
    """What the job needs besides the part, and why."""

    name: str
    because: str
    price: str


def where_it_is(stock: Stock) -> tuple[str, Tone]:
    """Return where a part is, in words, and their tone.

    Parameters
    ----------
    stock
        The stock.

    Returns
    -------
    The words and the tone.
    """
    if stock.van:
        return f"{stock.van} on the van", "good"
    if stock.branch:
        return f"{stock.branch} at the branch, none on the van", "check"
    if stock.order_days is not None:
        return f"To order, {days_long(stock.order_days)}", "check"
    return "Nobody has it", "check"


def beside(part: SuppliedPart, pricing: PartPricing) -> Besides:
    """Return a part that goes with another: what it is, why, and its price."""
    return Besides(part.description, part.needed_because or "", price_of(part, pricing))


def price_of(part: SuppliedPart, pricing: PartPricing) -> str:
    """Return what the customer pays for a part, before tax and labor."""
    return formatting.money(part_price(part.unit_cost, part.list_price, pricing))


def days_long(days: int) -> str:
    """Return a number of days in words."""
    return "1 day" if days == 1 else f"{days} days"
