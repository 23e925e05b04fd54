"""The lines of a job, each with what it costs the shop beside it."""

from __future__ import annotations

from decimal import Decimal
from typing import NamedTuple

from estimator.money import dollars, to_cents
from estimator.priced_job import Job, PriceLine
from estimator.rates import LineKind, PartPricing, RateSheet
from estimator.supply import FitClass, PartFamily, SiteItem, SuppliedPart

MAKERS_OWN = frozenset({FitClass.LISTED, FitClass.ALIKE})
"""Fit classes that a maker's parts warranty can pay for."""

ONE = Decimal(1)
NOTHING = Decimal("0.00")


class Costed(NamedTuple):
    """A line and what it costs the shop [USD]."""

    line: PriceLine
    cost: Decimal


def all_lines(job: Job, rates: RateSheet) -> list[Costed]:
    """Return the lines of a job in the order they are shown.

    Parameters
    ----------
    job
        What is to be priced.
    rates
        The rate sheet.

    Returns
    -------
    Each line with its cost.
    """
    return [
        *(_part_line(part, job, rates) for part in job.parts),
        *_heater_lines(job, rates),
        *_labor_lines(job, rates),
        *(_site_item_line(item, rates) for item in job.site_items),
        *_sundries_lines(rates),
        *_trip_lines(rates),
    ]


def part_price(cost: Decimal, list_price: Decimal | None, pricing: PartPricing) -> Decimal:
    """Return the price of one part from what it costs.

    Parameters
    ----------
    cost
        Cost to the shop [USD].
    list_price
        The maker's list price [USD], where known.
    pricing
        Bands of markup, or the target gross margin.

    Returns
    -------
    The price of one, rounded half up to the cent [USD].

    Notes
    -----
    With a target gross margin, ``price = cost / (1 - margin)``: a margin of 50 % is a
    markup of 100 %. A band takes parts that cost up to its limit, the limit included.
    """
    if pricing.target_margin is not None:
        price = cost / (1 - pricing.target_margin)
    else:
        band = next(
            band
            for band in pricing.markup_bands
            if band.up_to_cost is None or cost <= band.up_to_cost
        )
        price = cost * (1 + band.markup)
    if pricing.cap_at_list_price and list_price is not None:
        price = min(price, list_price)
    return to_cents(price)


def _taxable(kind: LineKind, rates: RateSheet) -> bool:
    return kind in rates.tax.taxable


def _line(
    kind: LineKind,
    description: str,
    unit_price: Decimal,
    taxable: bool,
    quantity: Decimal = ONE,
    unit: str = "",
    note: str = "",
) -> PriceLine:
    return PriceLine(
        kind=kind,
        description=description,
        quantity=quantity,
        unit=unit,
        unit_price=unit_price,
        amount=to_cents(quantity * unit_price),
        taxable=taxable,
        note=note,
    )


def _part_line(part: SuppliedPart, job: Job, rates: RateSheet) -> Costed:
    price = part_price(part.unit_cost, part.list_price, rates.parts)
    cost = to_cents(part.quantity * part.unit_cost)
    note = part.needed_because or ""
    if job.warranty.parts_free and part.family is not PartFamily.SUNDRY:
        if part.fit_class in MAKERS_OWN:
            said = f"Free under the maker's parts warranty; otherwise {dollars(price)}"
            note, price, cost = _joined(note, said), NOTHING, NOTHING
        else:
            note = _joined(note, "Not the maker's own part: its warranty does not pay for it")
    line = _line(
        LineKind.PART,
        f"{part.description} ({part.number})",
        price,
        _taxable(LineKind.PART, rates),
        quantity=part.quantity,
        note=note,
    )
    return Costed(line, cost)


def _heater_lines(job: Job, rates: RateSheet) -> list[Costed]:
    heater = job.heater
    if heater is None:
        return []
    price = to_cents(heater.unit_cost * (1 + rates.other.heater_markup))
    cost, note = to_cents(heater.unit_cost), ""
    if job.warranty.tank_free and heater.like_for_like:
        note = f"Free under the maker's tank warranty; otherwise {dollars(price)}"
        price = cost = NOTHING
    taxable = _taxable(LineKind.HEATER, rates)
    return [Costed(_line(LineKind.HEATER, heater.name, price, taxable, note=note), cost)]


def _labor_lines(job: Job, rates: RateSheet) -> list[Costed]:
    """Return one line for all labor: one minimum, one rounding."""
    labor = rates.labor
    operations = list(job.operations) + ([job.heater.install] if job.heater else [])
    open_hours = sum((each.hours for each in operations), Decimal(0))
    open_hours += sum((item.hours for item in job.site_items), Decimal(0))
    if open_hours == 0:
        return []
    factor = labor.access_factor[job.access]
    hours = open_hours * factor
    billed = max(hours, labor.minimum_h)
    line = _line(
        LineKind.LABOR,
        "; ".join(each.name for each in operations) or "Labor",
        to_cents(labor.after_hours_per_h if job.after_hours else labor.regular_per_h),
        _taxable(LineKind.LABOR, rates),
        quantity=billed,
        unit="h",
        note=_labor_note(job, open_hours, factor, billed),
    )
    cost_per_h = labor.cost_per_h
    if job.after_hours and labor.after_hours_cost_per_h is not None:
        cost_per_h = labor.after_hours_cost_per_h
    return [Costed(line, to_cents(hours * cost_per_h))]


def _labor_note(job: Job, open_hours: Decimal, factor: Decimal, billed: Decimal) -> str:
    notes = []
    if factor != 1:
        notes.append(f"{plain_number(open_hours)} h times {plain_number(factor)} for hard access")
    hours = open_hours * factor
    if billed > hours:
        notes.append(
            f"minimum billed time {plain_number(billed)} h for {plain_number(hours)} h of work"
        )
    if job.after_hours:
        notes.append("after-hours rate")
    return _sentence("; ".join(notes))


def _site_item_line(item: SiteItem, rates: RateSheet) -> Costed:
    other = rates.other
    markup = {
        LineKind.MATERIAL: other.material_markup,
        LineKind.PERMIT: other.permit_markup,
        LineKind.DISPOSAL: other.disposal_markup,
    }
    kind = LineKind(item.kind)
    line = _line(
        kind,
        item.name,
        to_cents(item.unit_cost * (1 + markup[kind])),
        _taxable(kind, rates),
        quantity=item.quantity,
        note=item.because,
    )
    return Costed(line, to_cents(item.quantity * item.unit_cost))


def _sundries_lines(rates: RateSheet) -> list[Costed]:
    price, cost = rates.other.sundries_price, rates.other.sundries_cost
    if not price:
        return []
    taxable = _taxable(LineKind.MATERIAL, rates)
    return [Costed(_line(LineKind.MATERIAL, "Sundries", to_cents(price), taxable), to_cents(cost))]


def _trip_lines(rates: RateSheet) -> list[Costed]:
    trip = rates.trip
    if not trip.amount:
        return []
    price, note = to_cents(trip.amount), ""
    if trip.credited_when_work_goes_ahead:
        note = f"{dollars(price)} credited because the work goes ahead"
        price = NOTHING
    taxable = _taxable(LineKind.TRIP, rates)
    line = _line(LineKind.TRIP, "Trip and diagnosis", price, taxable, note=note)
    return [Costed(line, to_cents(trip.cost))]


def unlined_cost(rates: RateSheet) -> Decimal:
    """Return the cost of what the shop does not charge for, and so has no line for.

    Parameters
    ----------
    rates
        The rate sheet.

    Returns
    -------
    Cost of the trip and the sundries where their price is nothing [USD]: a line at no
    price would tell the customer what costs the shop.
    """
    cost = NOTHING
    if not rates.other.sundries_price:
        cost += to_cents(rates.other.sundries_cost)
    if not rates.trip.amount:
        cost += to_cents(rates.trip.cost)
    return cost


def plain_number(number: Decimal) -> str:
    """Write a number without needless zeros.

    Parameters
    ----------
    number
        The number.

    Returns
    -------
    Text such as ``1.25`` or ``10``.
    """
    return f"{number.normalize():f}"


def _joined(first: str, second: str) -> str:
    return f"{first.rstrip('.')}. {second}" if first else second


def _sentence(text: str) -> str:
    return text[:1].upper() + text[1:]
