"""What a price list does to costs and margins: all changed rows together, and some parts.

Prices are worked out and added set-wise in DuckDB, in whole cents: a list of a million rows
takes no longer than a look at it, and no sum passes through a float.
"""

from __future__ import annotations

from dataclasses import dataclass
from decimal import ROUND_HALF_UP, Decimal
from typing import TYPE_CHECKING, Any, Final

if TYPE_CHECKING:
    from collections.abc import Sequence

    from catalog.price_staging import StagedList
    from estimator.rates import PartPricing

TEN_THOUSANDTH: Final = Decimal("0.0001")
POINT: Final = 100
"""A point of gross margin [1/10,000]: below it a margin moves by rounding to cents alone."""
MOST_DECIMALS: Final = 20
CENTS_IN_BIGINT: Final = 4 * 10**8
"""The largest ratio by which twice a cost of up to 10**10 cents stays in 64 bits."""


@dataclass(frozen=True)
class CostMove:
    """A part whose cost moves, with the price at the shop's rates [USD] before and after.

    `share` is the change over the cost before; margins are fractions of the price.
    """

    part: str
    cost_before: Decimal
    cost: Decimal
    share: Decimal
    margin_before: Decimal
    margin: Decimal


@dataclass(frozen=True)
class PriceEffect:
    """What all changed rows do together, one piece of each [USD].

    `rises` and `falls` are rows whose cost moves; `spread` holds the change of cost over the
    cost before that 10, 50 and 90 of 100 of those rows stay at or below [1], ``None`` where no
    cost moves. `price_before` is what the shop asks at its rates today, `price` what it asks
    once prices follow. `margin_kept` is the gross margin at the new costs if prices stay,
    `margin` if they follow; ``None`` without a row. `margins_fall` by a point or more as prices
    follow, `worst` most of all; `under_cost` rows would sell below cost if prices stay.
    """

    rows: int
    rises: int
    falls: int
    spread: tuple[Decimal, Decimal, Decimal] | None
    largest_rise: CostMove | None
    largest_fall: CostMove | None
    cost_before: Decimal
    cost: Decimal
    price_before: Decimal
    price: Decimal
    margin_before: Decimal | None
    margin_kept: Decimal | None
    margin: Decimal | None
    margins_fall: int
    worst: CostMove | None
    under_cost: int


@dataclass(frozen=True)
class ListedPart:
    """What a list says of one part [USD]; `kind` is changed, new or vanished.

    `cost_before` is what the supplier asked before, where he did; a vanished part has no cost.
    """

    part: str
    kind: str
    cost_before: Decimal | None = None
    cost: Decimal | None = None
    list_price: Decimal | None = None
    order_days: int | None = None


def price_effect(read: StagedList, pricing: PartPricing) -> PriceEffect:
    """Work out what all changed rows do to costs, prices and margins.

    Parameters
    ----------
    read
        The list, compared.
    pricing
        How the shop prices its parts.

    Returns
    -------
    The effect of all changed rows together.

    Notes
    -----
    A price is rounded half up to the cent as `estimator.pricing.part_price` rounds it; a
    markup of more than 20 decimals is taken to 20. A share is rounded half up to 1/10,000.
    The spread is by the nearest rank: each of the three is the change of a row that is there.
    """
    read.connection.execute(_price_macro(pricing))
    read.connection.execute(
        "CREATE OR REPLACE TEMP MACRO share_of(part, whole) AS "
        "sign(part)::BIGINT * ((20000 * abs(part) + whole) // (2 * whole))"
    )
    read.run("price_7_changed", {"compared": read.compared})
    held = {"point": POINT}
    ((rows, rises, falls, spread, *sums, margins_fall, under_cost),) = read.run(
        "price_effect", held
    )
    cost_before, cost, price_before, price = map(_dollars, sums)
    first = {row[0]: _move(*row[1:]) for row in read.run("price_extremes", held)}
    return PriceEffect(
        rows=rows,
        rises=rises,
        falls=falls,
        spread=_spread(spread),
        largest_rise=first.get("rise"),
        largest_fall=first.get("fall"),
        cost_before=cost_before,
        cost=cost,
        price_before=price_before,
        price=price,
        margin_before=margin_of(price_before, cost_before),
        margin_kept=margin_of(price_before, cost),
        margin=margin_of(price, cost),
        margins_fall=margins_fall,
        worst=first.get("worst"),
        under_cost=under_cost,
    )


def listed_parts(read: StagedList, parts: Sequence[str]) -> tuple[ListedPart, ...]:
    """Return what a list does to some parts, once its effect is worked out.

    Parameters
    ----------
    read
        The list, after `price_effect`.
    parts
        Part numbers.

    Returns
    -------
    Those that are changed, new with the supplier or vanished, by number.
    """
    if not parts:
        return ()
    rows = read.run("price_used", {"compared": read.compared, "parts": list(parts)})
    return tuple(
        ListedPart(part, kind, _known(before), _known(cost), _known(list_price), days)
        for kind, part, before, cost, list_price, days in rows
    )


def margin_of(price: Decimal, cost: Decimal) -> Decimal | None:
    """Return the gross margin of a price over a cost, to 1/10,000; ``None`` without a price."""
    if not price:
        return None
    return ((price - cost) / price).quantize(TEN_THOUSANDTH, ROUND_HALF_UP)


def _price_macro(pricing: PartPricing) -> str:
    """Return the shop's pricing as SQL over whole cents; it holds whole numbers alone."""
    if pricing.target_margin is not None:
        under, over = _ratio(1 - pricing.target_margin)
        price = _priced(over, under)
    else:
        *closed, last = pricing.markup_bands
        price = _priced(*_ratio(1 + last.markup))
        for band in reversed(closed):
            up_to = int((band.up_to_cost or Decimal(0)) * 100)
            priced = _priced(*_ratio(1 + band.markup))
            price = f"CASE WHEN cents <= {up_to} THEN {priced} ELSE {price} END"
    if pricing.cap_at_list_price:
        price = f"least({price}, list_cents)"  # least leaves out what is not known
    return f"CREATE OR REPLACE TEMP MACRO price_at(cents, list_cents) AS ({price})::BIGINT"


def _ratio(factor: Decimal) -> tuple[int, int]:
    """Return a factor as a fraction in lowest terms."""
    if -int(factor.as_tuple().exponent) > MOST_DECIMALS:
        factor = factor.quantize(Decimal(1).scaleb(-MOST_DECIMALS), ROUND_HALF_UP)
    return factor.as_integer_ratio()


def _priced(over: int, under: int) -> str:
    """Return cents times a fraction, rounded half up."""
    kind = "BIGINT" if max(over, under) <= CENTS_IN_BIGINT else "HUGEINT"
    return f"((cents::{kind} * {2 * over} + {under}) // {2 * under})"


def _move(part: str, *cents: int) -> CostMove:
    cost_before, cost, price_before, price = map(_dollars, cents)
    share = ((cost - cost_before) / cost_before).quantize(TEN_THOUSANDTH, ROUND_HALF_UP)
    margins = (margin_of(price_before, cost_before), margin_of(price, cost))
    before, after = (it if it is not None else Decimal(0) for it in margins)
    return CostMove(part, cost_before, cost, share, before, after)


def _spread(shares: list[int] | None) -> tuple[Decimal, Decimal, Decimal] | None:
    if shares is None:
        return None
    low, middle, high = (Decimal(it).scaleb(-4) for it in shares)
    return low, middle, high


def _known(cents: int | None) -> Decimal | None:
    return None if cents is None else _dollars(cents)


def _dollars(cents: Any) -> Decimal:
    return Decimal(int(cents)).scaleb(-2)
