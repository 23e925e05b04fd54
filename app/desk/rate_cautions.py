"""What an owner should know of a rate sheet before it is published: warnings as data.

Nothing here refuses a sheet. Each warning compares the sheet's own figures with each other,
so it needs no job and no catalog.
"""

from __future__ import annotations

from collections.abc import Iterator
from decimal import ROUND_CEILING, Decimal
from itertools import pairwise
from typing import TYPE_CHECKING, Final

from app import formatting
from estimator.cautions import Caution
from estimator.money import CENT, dollars, to_cents
from estimator.price_lines import part_price
from estimator.rates import LineKind, PartPricing

if TYPE_CHECKING:
    from estimator.rates import RateSheet

ONE: Final = Decimal(1)
FAR_ABOVE_COST: Final = Decimal(8)
"""An hour sold at more than this many times its cost looks like a slip of the key."""
PRACTICE: Final = "common practice, no source"
ARITHMETIC: Final = "the rate sheet's own figures"


def rate_cautions(sheet: RateSheet) -> tuple[Caution, ...]:
    """Say what in a rate sheet is likely not what its owner wants.

    Parameters
    ----------
    sheet
        The rate sheet, a draft or a published one.

    Returns
    -------
    The warnings, parts first; none where there is nothing to say. Their topic is money:
    they are for the owner's eyes only, for they name costs.
    """
    return (
        *_band_edges(sheet.parts),
        *_under_the_floor(sheet),
        *_against_cost(sheet),
        *_discounts(sheet),
    )


def _caution(code: str, message: str, source: str = ARITHMETIC) -> Caution:
    return Caution(code=code, message=message, source=source, topic="money")


def _band_edges(pricing: PartPricing) -> Iterator[Caution]:
    """Warn of each band's edge past which a dearer part sells for less."""
    for lower, upper in pairwise(pricing.markup_bands):
        edge = lower.up_to_cost
        if edge is None:
            continue
        at_edge = part_price(edge, None, pricing)
        past_edge = part_price(edge + CENT, None, pricing)
        if past_edge >= at_edge:
            continue
        level = at_edge / (ONE + upper.markup)
        until = to_cents(level.quantize(CENT, rounding=ROUND_CEILING))
        if upper.up_to_cost is not None:
            until = min(until, upper.up_to_cost)
        yield _caution(
            "dearer_part_sells_for_less",
            f"A part that costs {dollars(edge)} sells for {dollars(at_edge)}, and one that costs "
            f"{dollars(edge + CENT)} for {dollars(past_edge)}. Parts that cost up to about "
            f"{dollars(until)} sell for less than the cheaper one.",
        )


def _under_the_floor(sheet: RateSheet) -> Iterator[Caution]:
    """Warn where what is sold alone brings less than the floor asks of a whole job."""
    floor, target = sheet.quote.margin_floor, sheet.quote.target_margin
    if not floor:
        return
    if target is not None and target < floor:
        yield _caution(
            "target_under_floor",
            f"You aim at a margin of {formatting.percent(target)}, and a job under "
            f"{formatting.percent(floor)} waits for your word: the floor asks for more.",
        )
    bring = [
        ("heaters bring", "heater_under_floor", _margin_of(sheet.other.heater_markup)),
        ("parts bring", "part_under_floor", _least_part_margin(sheet.parts)),
    ]
    if sheet.labor.regular_per_h:
        labor = ONE - sheet.labor.cost_per_h / sheet.labor.regular_per_h
        bring.append(("labor brings", "labor_under_floor", labor))
    for brings, code, margin in bring:
        if margin < floor:
            yield _caution(
                code,
                f"The margin floor is {formatting.percent(floor)}, and {brings} "
                f"{formatting.percent(margin)} alone: a job that is mostly "
                f"{brings.partition(' ')[0]} may not be issued without you.",
            )


def _margin_of(markup: Decimal) -> Decimal:
    return markup / (ONE + markup)


def _least_part_margin(pricing: PartPricing) -> Decimal:
    if pricing.target_margin is not None:
        return pricing.target_margin
    return min(_margin_of(band.markup) for band in pricing.markup_bands)


def _against_cost(sheet: RateSheet) -> Iterator[Caution]:
    labor, trip, other = sheet.labor, sheet.trip, sheet.other
    after_cost = labor.after_hours_cost_per_h or labor.cost_per_h
    hours = (
        ("An hour", labor.regular_per_h, labor.cost_per_h),
        ("An hour after hours", labor.after_hours_per_h, after_cost),
    )
    for what, price, cost in hours:
        if price < cost:
            yield _sold_below_cost("labor_below_cost", what, price, cost)
        elif cost and price > cost * FAR_ABOVE_COST:
            yield _caution(
                "labor_far_above_cost",
                f"{what} sells for {dollars(price)} and costs you {dollars(cost)}: "
                "read both figures again.",
                PRACTICE,
            )
    if labor.after_hours_per_h < labor.regular_per_h:
        yield _caution(
            "after_hours_below_regular",
            f"An hour after hours sells for {dollars(labor.after_hours_per_h)}, less than the "
            f"{dollars(labor.regular_per_h)} of regular hours.",
        )
    if trip.cost and (trip.credited_when_work_goes_ahead or not trip.amount):
        yield _caution(
            "trip_not_paid_for",
            f"A trip costs you {dollars(trip.cost)} and brings nothing when work goes ahead: the "
            "other lines must pay for it.",
        )
    elif trip.amount < trip.cost:
        yield _sold_below_cost("trip_below_cost", "A trip", trip.amount, trip.cost)
    if other.sundries_price < other.sundries_cost:
        yield _sold_below_cost(
            "sundries_below_cost", "The sundries", other.sundries_price, other.sundries_cost
        )


def _sold_below_cost(code: str, what: str, price: Decimal, cost: Decimal) -> Caution:
    verb = "sell" if what.endswith("sundries") else "sells"
    them = "cost" if verb == "sell" else "costs"
    return _caution(code, f"{what} {verb} for {dollars(price)} and {them} you {dollars(cost)}.")


def _discounts(sheet: RateSheet) -> Iterator[Caution]:
    """Warn where the largest discount takes what it is given on below its cost."""
    off = max(sheet.discounts.plan_member, sheet.discounts.technician_limit)
    kinds = sheet.discounts.kinds
    if not off:
        return
    left = ONE - off
    sold = []
    if LineKind.LABOR in kinds:
        sold.append(("labor", sheet.labor.regular_per_h, sheet.labor.cost_per_h))
    if LineKind.PART in kinds:
        sold.append(("parts", ONE / (ONE - _least_part_margin(sheet.parts)), ONE))
    if LineKind.HEATER in kinds:
        sold.append(("heaters", ONE + sheet.other.heater_markup, ONE))
    for name, price, cost in sold:
        if price >= cost > price * left:
            yield _caution(
                "discount_below_cost",
                f"With {formatting.percent(off)} off, {name} can sell below what "
                f"{'it costs' if name == 'labor' else 'they cost'} you.",
            )
