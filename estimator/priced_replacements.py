"""The new heaters of a visit: each priced, ready for the engine, and which of them stand best."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date
from decimal import Decimal
from typing import NamedTuple

from estimator.case import Case
from estimator.cautions import Stop
from estimator.comparison import Challenger, Comparison, Defender, PathCost, Terms
from estimator.energy import EnergyUse
from estimator.engine_inputs import challenger
from estimator.findings import Finding
from estimator.life_cycle import compare
from estimator.priced_job import Job, JobMargin, PricedJob
from estimator.pricing import price_job
from estimator.rates import RateSheet
from estimator.supply import ReplacementHeater
from estimator.warranty import warranty_on


class PricedReplacement(NamedTuple):
    """A new heater with its price, its margin, and itself as the engine takes it.

    `incentives` [USD] are never more than the price. `closed_reason` says why it cannot go
    here; `settled` is false where something must be looked at first.
    """

    replacement: ReplacementHeater
    priced: PricedJob
    margin: JobMargin
    incentives: Decimal
    unit: Challenger
    use: EnergyUse
    closed_reason: str | None

    @property
    def settled(self) -> bool:
        """Whether nothing is left to look at before it can go here."""
        return not self.replacement.unsettled


def price_replacement(
    case: Case,
    replacement: ReplacementHeater,
    rates: RateSheet,
    on: date,
    years: int,
    stops: Sequence[Stop],
) -> PricedReplacement:
    """Price a replacement and make it ready for the engine.

    Parameters
    ----------
    case
        What the technician found.
    replacement
        The new heater.
    rates
        The rate sheet in force, with the sales tax of the place.
    on
        The day of the visit.
    years
        The study period [yr].
    stops
        What the visit stopped; one of them may close replacing too.

    Raises
    ------
    InputTrouble
        If the discount is more than a technician may give.
    """
    job = Job(
        name=replacement.name,
        heater=replacement,
        site_items=replacement.site_items,
        access=case.site.access,
        after_hours=case.after_hours,
        plan_member=case.plan_member,
        discount=case.discount,
        warranty=warranty_on(case.heater, on, tank_leaks=_tank_leaks(case)),
    )
    priced, margin = price_job(job, rates)
    offered = sum((incentive.amount for incentive in replacement.incentives), Decimal(0))
    incentives = min(offered, priced.total)
    unit, use = challenger(case, replacement, priced.total, incentives, rates, on, years)
    closing = next((stop for stop in stops if stop.closes_replacement), None)
    closed = replacement.closed_reason or (f"{closing.why}: mend that first" if closing else None)
    return PricedReplacement(replacement, priced, margin, incentives, unit, use, closed)


def like_for_like_price(replacements: Sequence[PricedReplacement]) -> Decimal:
    """Return the price of a like-for-like heater, the cheapest where there are several.

    Parameters
    ----------
    replacements
        The new heaters, at least one; where none is like for like, all of them count.

    Returns
    -------
    The price, tax in [USD].
    """
    alike = [it.priced.total for it in replacements if it.replacement.like_for_like]
    return min(alike or [it.priced.total for it in replacements])


def best_standing(replacements: Sequence[PricedReplacement]) -> list[Challenger]:
    """Return the new heaters that stand best: settled, else open, else all.

    Parameters
    ----------
    replacements
        The new heaters, at least one.

    Returns
    -------
    Those to compare with, as the engine takes them.
    """
    best = min(standing(it.closed_reason, it.settled) for it in replacements)
    return [it.unit for it in replacements if standing(it.closed_reason, it.settled) == best]


def standing(closed_reason: str | None, settled: bool) -> int:
    """Rank: 0 goes here, 1 may go here, 2 is closed."""
    return 2 if closed_reason is not None else 0 if settled else 1


def compare_all(
    kept: Defender,
    compared: Sequence[Challenger],
    replacements: Sequence[PricedReplacement],
    terms: Terms,
) -> tuple[Comparison, dict[str, PathCost]]:
    """Compare with the new heaters that stand best, and cost the others beside them.

    Parameters
    ----------
    kept
        The heater in place, kept.
    compared
        The new heaters that stand best.
    replacements
        All new heaters.
    terms
        The terms of the comparison.

    Returns
    -------
    The comparison, and what each new heater comes to by its name.
    """
    comparison = compare(kept, compared, terms)
    costs = {path.name: path for path in comparison.challengers}
    others = [it.unit for it in replacements if it.unit.name not in costs]
    if others:
        beside = compare(kept, others, terms, with_break_even_age=False)
        costs |= {path.name: path for path in beside.challengers}
    return comparison, costs


def _tank_leaks(case: Case) -> bool:
    return case.hazards.tank_leaks or case.finding is Finding.TANK_LEAK
