"""What each path comes to, as the estimate holds it: prices, costs a month, savings."""

from __future__ import annotations

from collections.abc import Sequence
from decimal import Decimal

from estimator.cautions import Stop
from estimator.comparison import Comparison, PathCost
from estimator.energy import co2_kg_per_year
from estimator.estimate import RepairPath, ReplacementPath
from estimator.heater import Fuel
from estimator.money import from_float
from estimator.priced_job import PricedJob
from estimator.priced_replacements import PricedReplacement, standing
from estimator.savings import savings_measures
from estimator.supply import Supply

MONTHS = 12


def repair_figures(
    comparison: Comparison, priced: PricedJob, stops: Sequence[Stop], supply: Supply
) -> RepairPath:
    """Return what repairing comes to.

    Parameters
    ----------
    comparison
        Repairing against the new heaters that stand best.
    priced
        The repair's price.
    stops
        What closes the repair; the first gives the reason.
    supply
        What the catalog supplies; without a part that fits the path is closed.

    Returns
    -------
    The path, with its figures also where it is closed.
    """
    closed = stops[0].why if stops else supply.no_part_reason
    planned = comparison.best_planned
    return RepairPath(
        open=closed is None,
        closed_reason=closed,
        priced=priced,
        cost=comparison.repair,
        per_month=_per_month(comparison.repair),
        break_even_price=from_float(comparison.break_even_repair_price),
        break_even_age_years=comparison.break_even_age_years,
        best_planned_year=planned.year if planned else None,
        best_planned_saves=(
            from_float(planned.saves_against_running_to_failure) if planned else None
        ),
    )


def replacement_figures(
    of: PricedReplacement,
    comparison: Comparison,
    cost: PathCost,
    real_discount_rate: float,
) -> ReplacementPath:
    """Return what replacing with one new heater comes to.

    Parameters
    ----------
    of
        The new heater, priced.
    comparison
        Repairing against the new heaters that stand best.
    cost
        What this one costs over the study.
    real_discount_rate
        Discount rate [1/yr].

    Returns
    -------
    The path, with its figures also where it is closed.
    """
    replacement, priced, use = of.replacement, of.priced, of.use
    measures = savings_measures(comparison.repair, cost, real_discount_rate)
    electric = replacement.fuel is Fuel.ELECTRICITY
    return ReplacementPath(
        slug=replacement.slug,
        name=replacement.name,
        closed_reason=of.closed_reason,
        check_these=replacement.check_these,
        settled=of.settled,
        priced=priced,
        incentives=of.incentives,
        price_after_incentives=priced.total - of.incentives,
        cost=cost,
        per_month=_per_month(cost),
        energy_per_year=use.kwh_per_year if electric else use.therms_per_year,
        energy_unit="kWh" if electric else "therm",
        energy_cost_per_year=of.unit.energy_cost_per_year,
        co2_kg_per_year=co2_kg_per_year(use, replacement.fuel),
        net_savings=from_float(measures.net_savings),
        sir=measures.sir,
        airr=measures.airr,
        simple_payback_years=measures.simple_payback_years,
        discounted_payback_years=measures.discounted_payback_years,
    )


def best_first(path: ReplacementPath) -> tuple[int, float]:
    """Return the key that sorts what goes here before what is closed, the cheapest first."""
    return standing(path.closed_reason, path.settled), path.cost.lcc


def _per_month(cost: PathCost) -> Decimal:
    return from_float(cost.equivalent_annual_cost / MONTHS)
