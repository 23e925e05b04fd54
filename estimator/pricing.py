"""The price of a job: lines, discount, tax, total; cost and margin kept apart."""

from __future__ import annotations

from decimal import Decimal

from estimator.errors import InputTrouble
from estimator.money import to_cents
from estimator.price_lines import all_lines, plain_number, unlined_cost
from estimator.priced_job import Job, JobMargin, PricedJob, PriceLine
from estimator.rates import RateSheet

NOTHING = Decimal("0.00")


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
    costed = all_lines(job, rates)
    lines = tuple(each.line for each in costed)
    priced = _add_up(job, lines, rates)
    return priced, _margin(priced, tuple(each.cost for each in costed), rates)


def _add_up(job: Job, lines: tuple[PriceLine, ...], rates: RateSheet) -> PricedJob:
    share, reason = _discount_share(job, rates)
    off = [
        to_cents(line.amount * share) if line.kind in rates.discounts.kinds else NOTHING
        for line in lines
    ]
    subtotal = sum((line.amount for line in lines), NOTHING)
    discount = sum(off, NOTHING)
    taxed = sum(
        (line.amount - less for line, less in zip(lines, off, strict=True) if line.taxable),
        NOTHING,
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
            f"A discount of {_percent(job.discount)} is too large; the rate sheet lets a "
            f"technician give {_percent(limit)} at most",
            "work.discount",
            "Give a smaller discount, or have the owner raise the limit.",
        )
    plan = rates.discounts.plan_member if job.plan_member else Decimal(0)
    share, who = max((plan, "Plan member"), (job.discount, "Discount"), key=lambda each: each[0])
    kinds = " and ".join(kind.value for kind in rates.discounts.kinds)
    return share, f"{who}, {_percent(share)} off {kinds}"


def _margin(priced: PricedJob, line_costs: tuple[Decimal, ...], rates: RateSheet) -> JobMargin:
    unlined = unlined_cost(rates)
    cost = sum(line_costs, unlined)
    revenue = priced.total - priced.tax
    if revenue > 0:
        margin = ((revenue - cost) / revenue).quantize(Decimal("0.0001"))
    else:
        margin = Decimal(-1) if cost > revenue else Decimal(0)
    return JobMargin(
        line_costs=line_costs,
        unlined_cost=unlined,
        cost=cost,
        revenue=revenue,
        gross_margin=margin,
        below_floor=cost > revenue * (1 - rates.quote.margin_floor),
    )


def _percent(share: Decimal) -> str:
    return f"{plain_number(share * 100)}%"
