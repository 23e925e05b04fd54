"""The price of a job: lines, discount, tax, total; cost and margin kept apart.

A `PricedJob` is what a customer may see. What the job costs the shop is in `JobMargin`,
a type of its own, so that no view, document or page can carry it by accident.
"""

from __future__ import annotations

from datetime import date
from decimal import Decimal
from typing import NamedTuple

from pydantic import BaseModel, ConfigDict

from estimator.errors import InputTrouble
from estimator.heater import Access, RatingPlate
from estimator.money import Share, dollars, to_cents
from estimator.rates import LaborRates, LineKind, PartPricing, RateSheet
from estimator.supply import (
    FitClass,
    Operation,
    PartFamily,
    ReplacementHeater,
    SiteItem,
    SuppliedPart,
)

MAKERS_OWN = frozenset({FitClass.LISTED, FitClass.ALIKE})
"""Fit classes that a maker's parts warranty can pay for."""

ONE = Decimal(1)


class _Frozen(BaseModel):
    model_config = ConfigDict(frozen=True, extra="forbid")


class Warranty(_Frozen):
    """The maker's warranty as it stands on the day of the job; `notes` are for the reader."""

    parts_free: bool = False
    tank_free: bool = False
    notes: tuple[str, ...] = ()


class Job(_Frozen):
    """What is to be priced: parts, labor, a heater and what its site asks for.

    `heater` is set for a replacement only. `discount` is a further share off, on top of
    none: the larger of it and the plan member's share is taken, never both.
    """

    name: str
    parts: tuple[SuppliedPart, ...] = ()
    operations: tuple[Operation, ...] = ()
    heater: ReplacementHeater | None = None
    site_items: tuple[SiteItem, ...] = ()
    access: Access = Access.OPEN
    after_hours: bool = False
    plan_member: bool = False
    discount: Share = Decimal(0)
    warranty: Warranty = Warranty()


class PriceLine(_Frozen):
    """One line of a quote, as the customer may see it.

    `amount` is quantity times unit price, rounded half up to the cent, after warranty
    and before discount and tax [USD].
    """

    kind: LineKind
    description: str
    quantity: Decimal
    unit: str = ""
    unit_price: Decimal
    amount: Decimal
    taxable: bool
    note: str = ""


class PricedJob(_Frozen):
    """A job at the shop's prices [USD]; `total` has tax in, rounded as the shop rounds."""

    name: str
    lines: tuple[PriceLine, ...]
    subtotal: Decimal
    discount: Decimal
    discount_reason: str = ""
    tax: Decimal
    rounding: Decimal
    total: Decimal


class JobMargin(_Frozen):
    """What a job costs the shop and what is left; for the owner's eyes only.

    `line_costs` run beside the lines of the priced job. `revenue` is the total before
    tax [USD]. `gross_margin` is the share of it that is left after cost, to four
    decimals, and -1 where a job costs money and brings none.
    """

    line_costs: tuple[Decimal, ...]
    cost: Decimal
    revenue: Decimal
    gross_margin: Decimal
    below_floor: bool


class _Costed(NamedTuple):
    line: PriceLine
    cost: Decimal


def price_job(job: Job, rates: RateSheet) -> tuple[PricedJob, JobMargin]:
    """Price a job at the shop's rates.

    Parameters
    ----------
    job
        Parts, labor, heater and site items, with what the customer is entitled to.
    rates
        The rate sheet.

    Returns
    -------
    The priced job, fit for a customer, and apart from it what the job costs the shop.

    Raises
    ------
    InputTrouble
        If the discount is larger than the rate sheet lets a technician give.

    Notes
    -----
    Unit prices and lines are rounded half up to the cent, then added. The discount is
    taken line by line on the kinds that the rate sheet names; tax is on what is left of
    the taxable lines together, rounded once; the total is then rounded as the shop
    rounds, with the difference shown: ``subtotal - discount + tax + rounding == total``.

    Minimum billed time holds once for all labor of the job. Labor costs the shop the
    hours of the operations with their access factor, not the minimum. A part or tank
    that the maker supplies free costs the shop nothing; the shop's trip, labor and
    sundries are charged and cost as always. The parts warranty is not taken to pay for
    sundries nor for a part that is not the maker's own (universal, or by adapter), and
    the tank warranty only for a heater like for like.
    """
    costed = (
        [_part_line(part, job, rates) for part in job.parts]
        + _heater_lines(job, rates)
        + _labor_lines(job, rates.labor, _taxable(LineKind.LABOR, rates))
        + [_site_item_line(item, rates) for item in job.site_items]
        + _sundries_lines(rates)
        + _trip_lines(rates)
    )
    lines = tuple(each.line for each in costed)
    priced = _add_up(job, lines, rates)
    return priced, _margin(priced, tuple(each.cost for each in costed), rates)


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


def warranty_on(plate: RatingPlate, on: date, *, tank_leaks: bool = False) -> Warranty:
    """Say how the maker's warranty stands on a day, by the plate.

    Parameters
    ----------
    plate
        The rating plate, with the years of parts and tank warranty.
    on
        The day of the job.
    tank_leaks
        Whether the tank itself has failed; a tank warranty pays for nothing less.

    Returns
    -------
    What is free, with notes for the reader.

    Raises
    ------
    InputTrouble
        If the heater would be made after that day.

    Notes
    -----
    The term is counted from the day of manufacture, the last day included. Makers often
    count from the day of installation, which lies later: a term that has run out by the
    plate may still be running, so the note asks for the proof of purchase. Common
    practice, no source; the maker's own terms decide.
    """
    if on < plate.manufactured:
        raise InputTrouble(
            f"The heater was made on {plate.manufactured}, after {on}",
            "heater.manufactured",
            "Read the date on the plate again.",
        )
    parts_end = _years_after(plate.manufactured, plate.parts_warranty_years)
    tank_end = _years_after(plate.manufactured, plate.tank_warranty_years)
    notes = [
        _term_note(name, years, end, on)
        for name, years, end in (
            ("Parts", plate.parts_warranty_years, parts_end),
            ("Tank", plate.tank_warranty_years, tank_end),
        )
        if years
    ]
    tank_runs = plate.tank_warranty_years > 0 and on <= tank_end
    if tank_runs and not tank_leaks:
        notes.append("The tank warranty pays for a tank that leaks, not for a choice to replace.")
    if notes:
        notes.append(
            "A term often starts on the day of installation: ask for the proof of purchase, "
            "and have the maker confirm before the customer counts on it."
        )
    return Warranty(
        parts_free=plate.parts_warranty_years > 0 and on <= parts_end,
        tank_free=tank_runs and tank_leaks,
        notes=tuple(notes),
    )


def _years_after(start: date, years: int) -> date:
    try:
        return start.replace(year=start.year + years)
    except ValueError:  # the 29th of February in a year that has none
        return start.replace(year=start.year + years, day=28)


def _term_note(name: str, years: int, end: date, on: date) -> str:
    state = "runs until" if on <= end else "ran out on"
    return f"{name} warranty of {years} years from manufacture {state} {end.isoformat()}."


def _taxable(kind: LineKind, rates: RateSheet) -> bool:
    return kind in rates.tax.taxable


def _line(
    kind: LineKind,
    description: str,
    unit_price: Decimal,
    rates_taxable: bool,
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
        taxable=rates_taxable,
        note=note,
    )


def _part_line(part: SuppliedPart, job: Job, rates: RateSheet) -> _Costed:
    price = part_price(part.unit_cost, part.list_price, rates.parts)
    cost = to_cents(part.quantity * part.unit_cost)
    note = part.needed_because or ""
    if job.warranty.parts_free and part.family is not PartFamily.SUNDRY:
        if part.fit_class in MAKERS_OWN:
            said = f"Free under the maker's parts warranty; otherwise {dollars(price)}"
            note, price, cost = _joined(note, said), Decimal("0.00"), Decimal("0.00")
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
    return _Costed(line, cost)


def _heater_lines(job: Job, rates: RateSheet) -> list[_Costed]:
    heater = job.heater
    if heater is None:
        return []
    price = to_cents(heater.unit_cost * (1 + rates.other.heater_markup))
    cost, note = to_cents(heater.unit_cost), ""
    if job.warranty.tank_free and heater.like_for_like:
        note = f"Free under the maker's tank warranty; otherwise {dollars(price)}"
        price = cost = Decimal("0.00")
    taxable = _taxable(LineKind.HEATER, rates)
    return [_Costed(_line(LineKind.HEATER, heater.name, price, taxable, note=note), cost)]


def _labor_lines(job: Job, labor: LaborRates, taxable: bool) -> list[_Costed]:
    """Return one line for all labor: one minimum, one rounding."""
    operations = list(job.operations) + ([job.heater.install] if job.heater else [])
    open_hours = sum((each.hours for each in operations), Decimal(0))
    open_hours += sum((item.hours for item in job.site_items), Decimal(0))
    if open_hours == 0:
        return []
    factor = labor.access_factor[job.access]
    hours = open_hours * factor
    billed = max(hours, labor.minimum_h)
    notes = []
    if factor != 1:
        notes.append(f"{_plain(open_hours)} h times {_plain(factor)} for hard access")
    if billed > hours:
        notes.append(f"minimum billed time {_plain(billed)} h for {_plain(hours)} h of work")
    if job.after_hours:
        notes.append("after-hours rate")
    line = _line(
        LineKind.LABOR,
        "; ".join(each.name for each in operations) or "Labor",
        to_cents(labor.after_hours_per_h if job.after_hours else labor.regular_per_h),
        taxable,
        quantity=billed,
        unit="h",
        note=_sentence("; ".join(notes)),
    )
    after_hours_cost = labor.after_hours_cost_per_h
    cost_per_h = labor.cost_per_h
    if job.after_hours and after_hours_cost is not None:
        cost_per_h = after_hours_cost
    return [_Costed(line, to_cents(hours * cost_per_h))]


def _site_item_line(item: SiteItem, rates: RateSheet) -> _Costed:
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
    return _Costed(line, to_cents(item.quantity * item.unit_cost))


def _sundries_lines(rates: RateSheet) -> list[_Costed]:
    price, cost = rates.other.sundries_price, rates.other.sundries_cost
    if not price and not cost:
        return []
    taxable = _taxable(LineKind.MATERIAL, rates)
    return [_Costed(_line(LineKind.MATERIAL, "Sundries", to_cents(price), taxable), to_cents(cost))]


def _trip_lines(rates: RateSheet) -> list[_Costed]:
    trip = rates.trip
    if not trip.amount and not trip.cost:
        return []
    price, note = to_cents(trip.amount), ""
    if trip.credited_when_work_goes_ahead and trip.amount:
        note = f"{dollars(price)} credited because the work goes ahead"
        price = Decimal("0.00")
    taxable = _taxable(LineKind.TRIP, rates)
    line = _line(LineKind.TRIP, "Trip and diagnosis", price, taxable, note=note)
    return [_Costed(line, to_cents(trip.cost))]


def _add_up(job: Job, lines: tuple[PriceLine, ...], rates: RateSheet) -> PricedJob:
    share, reason = _discount_share(job, rates)
    off = [
        to_cents(line.amount * share) if line.kind in rates.discounts.kinds else Decimal("0.00")
        for line in lines
    ]
    subtotal = sum((line.amount for line in lines), Decimal("0.00"))
    discount = sum(off, Decimal("0.00"))
    taxed = sum(
        (line.amount - less for line, less in zip(lines, off, strict=True) if line.taxable),
        Decimal("0.00"),
    )
    tax = to_cents(taxed * rates.tax.rate)
    exact = subtotal - discount + tax
    total = to_cents(exact, rates.quote.round_total_to)
    return PricedJob(
        name=job.name,
        lines=lines,
        subtotal=subtotal,
        discount=discount,
        discount_reason=reason if discount else "",
        tax=tax,
        rounding=total - exact,
        total=total,
    )


def _discount_share(job: Job, rates: RateSheet) -> tuple[Decimal, str]:
    limit = rates.discounts.technician_limit
    if job.discount > limit:
        raise InputTrouble(
            f"A discount of {_percent(job.discount)} is above the {_percent(limit)} "
            "that the rate sheet lets a technician give",
            "work.discount",
            "Give a smaller discount, or have the owner raise the limit.",
        )
    plan = rates.discounts.plan_member if job.plan_member else Decimal(0)
    share, who = max((plan, "Plan member"), (job.discount, "Discount"), key=lambda each: each[0])
    kinds = " and ".join(kind.value for kind in rates.discounts.kinds)
    return share, f"{who}, {_percent(share)} off {kinds}"


def _margin(priced: PricedJob, line_costs: tuple[Decimal, ...], rates: RateSheet) -> JobMargin:
    cost = sum(line_costs, Decimal("0.00"))
    revenue = priced.total - priced.tax
    if revenue > 0:
        margin = ((revenue - cost) / revenue).quantize(Decimal("0.0001"))
    else:
        margin = Decimal(-1) if cost > revenue else Decimal(0)
    return JobMargin(
        line_costs=line_costs,
        cost=cost,
        revenue=revenue,
        gross_margin=margin,
        below_floor=cost > revenue * (1 - rates.quote.margin_floor),
    )


def _plain(number: Decimal) -> str:
    return f"{number.normalize():f}"


def _percent(share: Decimal) -> str:
    return f"{_plain(share * 100)}%"


def _joined(first: str, second: str) -> str:
    return f"{first.rstrip('.')}. {second}" if first else second


def _sentence(text: str) -> str:
    return text[:1].upper() + text[1:]
