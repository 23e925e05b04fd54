"""One heater, one finding, one rate sheet: everything that a quote says.

This is where the parts of the estimator meet. It is pure: the same case, supply, rate
sheet and day give the same estimate to the cent, which is what lets a ledger replay
every quote it holds.
"""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date
from decimal import Decimal
from typing import NamedTuple

from estimator.case import Case
from estimator.cautions import Caution, Stop
from estimator.energy import EnergyUse, co2_kg_per_year
from estimator.engine_inputs import (
    HeaterInPlace,
    challenger,
    defender,
    engine_terms,
    heater_in_place,
    study_years,
)
from estimator.errors import InputTrouble
from estimator.estimate import (
    Estimate,
    HeaterFacts,
    OwnerEstimate,
    PartShown,
    RepairPath,
    ReplacementPath,
)
from estimator.evidence import grade
from estimator.findings import Finding
from estimator.heater import Fuel
from estimator.life_cycle import Challenger, Comparison, Defender, PathCost, Terms, compare
from estimator.likelihood import rank_findings
from estimator.likelihood_next import next_reading
from estimator.money import MOST_DOLLARS, from_float, whole_dollars
from estimator.pricing import Job, JobMargin, PricedJob, price_job, warranty_on
from estimator.rates import RateSheet
from estimator.reading_cautions import reading_cautions
from estimator.safety import safety_cautions
from estimator.savings import savings_measures
from estimator.sensitivity import swings, turning_points
from estimator.stops import stops_for
from estimator.supply import ReplacementHeater, SuppliedPart, Supply
from estimator.survival import mean_life, mean_life_left
from estimator.uncertainty import draw_futures
from estimator.verdict import OpenReplacement, Weighing, judge

MONTHS = 12


class _Candidate(NamedTuple):
    replacement: ReplacementHeater
    priced: PricedJob
    margin: JobMargin
    incentives: Decimal
    unit: Challenger
    use: EnergyUse
    closed_reason: str | None

    @property
    def settled(self) -> bool:
        return not self.replacement.unsettled


def estimate_case(case: Case, supply: Supply, rates: RateSheet, on: date) -> OwnerEstimate:
    """Combine finding, age, efficiency and the shop's prices into one comparison.

    Parameters
    ----------
    case
        What the technician found.
    supply
        The parts, operations and new heaters that the catalog supplies for it.
    rates
        The rate sheet in force.
    on
        The day of the visit; ages and warranties are counted to it.

    Returns
    -------
    The estimate, with the margin of each job beside it for the owner.

    Raises
    ------
    InputTrouble
        If the rating contradicts the recovery efficiency, the discount is more than a
        technician may give, a price is beyond any, or the catalog supplies no replacement
        to compare with.

    Notes
    -----
    Every replacement is priced and costed, a closed one too. Repairing is compared with
    the cheapest of those that are open and settled, and the heater in place is renewed
    with it. Where there is none, those that are open stand in, and then the closed ones.
    """
    if not supply.replacements:
        raise InputTrouble(
            "The catalog supplies no replacement heater to compare with",
            f"catalog {supply.catalog_version}",
            "Add one that suits this heater to the catalog's sources and build it again.",
        )
    rates = rates.at_place(case.tax_place)
    in_place = heater_in_place(case, rates, on)
    setpoint_f = case.household.setpoint_f
    years = study_years(case, rates, on)
    terms = engine_terms(rates, years)
    stops = stops_for(
        case.finding,
        case.remedy,
        case.heater,
        case.readings,
        case.hazards,
        sealed_part_listed=supply.sealed_part_listed,
    )
    repair_priced, repair_margin = price_job(_repair_job(case, supply, on), rates)
    candidates = [_candidate(case, it, rates, on, years, stops) for it in supply.replacements]
    kept = defender(
        case, in_place, repair_priced.total, _like_for_like(candidates), rates, on, years
    )
    comparison, costs = _compare_all(kept, candidates, terms)
    repair = _repair_path(comparison, repair_priced, stops, supply)
    paths = [
        _replacement_path(it, comparison, costs[it.unit.name], terms.real_discount_rate)
        for it in candidates
    ]
    compared = _compared(candidates)
    moves_most = swings(kept, compared, terms)
    futures = draw_futures(kept, compared, terms, rates.economics.spread)
    weighing = _weighing(in_place, repair, paths, stops, supply, rates)
    weighing = weighing.model_copy(
        update={
            "deciding": tuple(swing.name for swing in moves_most[:3]),
            "chance_repair_cheaper": futures.chance_repair_cheaper,
        }
    )
    return OwnerEstimate(
        estimate=Estimate(
            study_years=years,
            real_discount_rate=terms.real_discount_rate,
            heater=_facts(case, in_place),
            parts=tuple(_shown(part) for part in supply.parts),
            grade=grade(case.finding, case.heater, case.readings, setpoint_f, on),
            ranked=rank_findings(case.heater, case.readings, setpoint_f, on, case.hazards),
            next_reading=next_reading(case.heater, case.readings, setpoint_f, on, case.hazards),
            stops=stops,
            cautions=_cautions(case, in_place, candidates, supply, on),
            repair=repair,
            replacements=tuple(sorted(paths, key=_best_first)),
            moves_most=moves_most,
            turning_points=turning_points(kept, compared, terms),
            futures=futures,
            verdict=judge(weighing),
        ),
        repair_margin=repair_margin,
        replacement_margins={it.unit.name: it.margin for it in candidates},
    )


def price_repair(case: Case, supply: Supply, rates: RateSheet, on: date) -> PricedJob:
    """Price the repair of a case alone, with nothing compared.

    Parameters
    ----------
    case, supply, rates, on
        As for `estimate_case`; the new heaters of the supply are not looked at.

    Returns
    -------
    The job, tax in, as `estimate_case` prices it.
    """
    return price_job(_repair_job(case, supply, on), rates.at_place(case.tax_place))[0]


def _repair_job(case: Case, supply: Supply, on: date) -> Job:
    return Job(
        name="Repair",
        parts=supply.parts,
        operations=supply.operations,
        access=case.site.access,
        after_hours=case.after_hours,
        plan_member=case.plan_member,
        discount=case.discount,
        warranty=warranty_on(case.heater, on),
    )


def _candidate(
    case: Case,
    replacement: ReplacementHeater,
    rates: RateSheet,
    on: date,
    years: int,
    stops: Sequence[Stop],
) -> _Candidate:
    """Price a replacement and make it ready for the engine."""
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
    return _Candidate(replacement, priced, margin, incentives, unit, use, closed)


def _tank_leaks(case: Case) -> bool:
    return case.hazards.tank_leaks or case.finding is Finding.TANK_LEAK


def _like_for_like(candidates: Sequence[_Candidate]) -> Decimal:
    """Return the price of a like-for-like heater, the cheapest where there are several."""
    alike = [it.priced.total for it in candidates if it.replacement.like_for_like]
    return min(alike or [it.priced.total for it in candidates])


def _compared(candidates: Sequence[_Candidate]) -> list[Challenger]:
    """Return the candidates that stand best: settled, else open, else all."""
    best = min(_standing(it.closed_reason, it.settled) for it in candidates)
    return [it.unit for it in candidates if _standing(it.closed_reason, it.settled) == best]


def _standing(closed_reason: str | None, settled: bool) -> int:
    """Rank: 0 goes here, 1 may go here, 2 is closed."""
    return 2 if closed_reason is not None else 0 if settled else 1


def _compare_all(
    kept: Defender, candidates: Sequence[_Candidate], terms: Terms
) -> tuple[Comparison, dict[str, PathCost]]:
    """Compare with the candidates that stand best, and cost the others beside them."""
    compared = _compared(candidates)
    comparison = compare(kept, compared, terms)
    costs = {path.name: path for path in comparison.challengers}
    others = [it.unit for it in candidates if it.unit.name not in costs]
    if others:
        beside = compare(kept, others, terms, with_break_even_age=False)
        costs |= {path.name: path for path in beside.challengers}
    return comparison, costs


def _repair_path(
    comparison: Comparison, priced: PricedJob, stops: Sequence[Stop], supply: Supply
) -> RepairPath:
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


def _replacement_path(
    candidate: _Candidate, comparison: Comparison, cost: PathCost, rate: float
) -> ReplacementPath:
    replacement, priced, use = candidate.replacement, candidate.priced, candidate.use
    measures = savings_measures(comparison.repair, cost, rate)
    electric = replacement.fuel is Fuel.ELECTRICITY
    return ReplacementPath(
        slug=replacement.slug,
        name=replacement.name,
        closed_reason=candidate.closed_reason,
        check_these=replacement.check_these,
        settled=candidate.settled,
        priced=priced,
        incentives=candidate.incentives,
        price_after_incentives=priced.total - candidate.incentives,
        cost=cost,
        per_month=_per_month(cost),
        energy_per_year=use.kwh_per_year if electric else use.therms_per_year,
        energy_unit="kWh" if electric else "therm",
        energy_cost_per_year=candidate.unit.energy_cost_per_year,
        co2_kg_per_year=co2_kg_per_year(use, replacement.fuel),
        net_savings=from_float(measures.net_savings),
        sir=measures.sir,
        airr=measures.airr,
        simple_payback_years=measures.simple_payback_years,
        discounted_payback_years=measures.discounted_payback_years,
    )


def _per_month(cost: PathCost) -> Decimal:
    return from_float(cost.equivalent_annual_cost / MONTHS)


def _best_first(path: ReplacementPath) -> tuple[int, float]:
    return _standing(path.closed_reason, path.settled), path.cost.lcc


def _shown(part: SuppliedPart) -> PartShown:
    return PartShown(
        number=part.number,
        description=part.description,
        fit_class=part.fit_class,
        reasons=part.reasons,
        check_these=part.check_these,
        stock=part.stock,
        needed_because=part.needed_because,
    )


def _facts(case: Case, in_place: HeaterInPlace) -> HeaterFacts:
    rating, use = in_place.rating, in_place.use
    return HeaterFacts(
        age_years=in_place.age_years,
        rating=rating.value,
        rating_metric=rating.metric,
        rating_assumed=rating.assumed,
        rating_source=rating.source,
        recovery_efficiency=rating.recovery_efficiency,
        recovery_assumed=rating.recovery_assumed,
        gallons_per_day=use.gallons_per_day,
        inlet_f=use.inlet_f,
        therms_per_year=use.therms_per_year,
        energy_cost_per_year=in_place.energy_cost_per_year,
        co2_kg_per_year=co2_kg_per_year(use, case.heater.fuel),
        mean_life_left_years=mean_life_left(in_place.life, in_place.age_years),
    )


def _cautions(
    case: Case,
    in_place: HeaterInPlace,
    candidates: Sequence[_Candidate],
    supply: Supply,
    on: date,
) -> tuple[Caution, ...]:
    """Gather what the reader must know, each thing once."""
    setpoint_f = case.household.setpoint_f
    said = (
        *safety_cautions(case.heater, case.site, case.household, case.remedy),
        *reading_cautions(case.heater, case.readings, case.finding, case.remedy, setpoint_f, on),
        *(Caution(code="not_supplied", message=it, topic="fit") for it in supply.notes),
        *in_place.cautions,
        *(caution for it in candidates for caution in it.use.cautions),
    )
    return tuple(dict.fromkeys(said))


def _cheaper_if_it_fits(
    best: ReplacementPath, paths: Sequence[ReplacementPath]
) -> OpenReplacement | None:
    """Return the cheapest that may go here and would cost less than the one compared."""
    unsettled = [path for path in paths if path.closed_reason is None and not path.settled]
    other = min(unsettled, key=lambda path: path.cost.lcc, default=None)
    if other is None or not best.settled or other.cost.lcc >= best.cost.lcc:
        return None
    return OpenReplacement(name=other.name, price=other.priced.total, lcc=other.cost.lcc)


def _refuse_beyond_any_price(priced: PricedJob) -> None:
    if priced.total > MOST_DOLLARS:
        raise InputTrouble(
            f"{priced.name} comes to {whole_dollars(priced.total)}; "
            f"at most {whole_dollars(MOST_DOLLARS)} can be judged",
            "",
            "Look at the costs in the catalog and at the rate sheet's markups.",
        )


def _weighing(
    in_place: HeaterInPlace,
    repair: RepairPath,
    paths: Sequence[ReplacementPath],
    stops: tuple[Stop, ...],
    supply: Supply,
    rates: RateSheet,
) -> Weighing:
    best = min(paths, key=_best_first)
    for priced in (repair.priced, best.priced):
        _refuse_beyond_any_price(priced)
    return Weighing(
        stops=stops,
        no_part_reason=supply.no_part_reason,
        repair_price=repair.priced.total,
        repair_lcc=repair.cost.lcc,
        break_even_price=repair.break_even_price,
        replacement=(
            OpenReplacement(name=best.name, price=best.priced.total, lcc=best.cost.lcc)
            if best.closed_reason is None
            else None
        ),
        replacement_closed_reason=best.closed_reason,
        cheaper_if_it_fits=_cheaper_if_it_fits(best, paths),
        indifference_band=rates.economics.indifference_band,
        age_years=in_place.age_years,
        mean_life_years=mean_life(in_place.life),
        break_even_age_years=repair.break_even_age_years,
        best_planned_year=repair.best_planned_year,
        best_planned_saves=repair.best_planned_saves,
    )
