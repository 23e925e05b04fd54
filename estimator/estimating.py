"""One heater, one finding, one rate sheet: everything that a quote says.

This is where the parts of the estimator meet. It is pure: the same case, supply, rate
sheet and day give the same estimate to the cent, which is what lets a ledger replay
every quote it holds.
"""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date

from estimator.case import Case
from estimator.cautions import Caution
from estimator.energy import co2_kg_per_year
from estimator.engine_inputs import (
    HeaterInPlace,
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
)
from estimator.evidence import grade
from estimator.likelihood import rank_findings
from estimator.likelihood_next import next_reading
from estimator.path_figures import best_first, repair_figures, replacement_figures
from estimator.priced_job import Job, PricedJob
from estimator.priced_replacements import (
    PricedReplacement,
    best_standing,
    compare_all,
    like_for_like_price,
    price_replacement,
)
from estimator.pricing import price_job
from estimator.rates import RateSheet
from estimator.reading_cautions import reading_cautions
from estimator.safety import safety_cautions
from estimator.sensitivity import swings, turning_points
from estimator.stops import stops_for
from estimator.supply import SuppliedPart, Supply
from estimator.survival import mean_life_left
from estimator.uncertainty import draw_futures
from estimator.verdict import judge
from estimator.warranty import warranty_on
from estimator.weighing import weigh


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
    replacements = [
        price_replacement(case, it, rates, on, years, stops) for it in supply.replacements
    ]
    alike_price = like_for_like_price(replacements)
    kept = defender(case, in_place, repair_priced.total, alike_price, rates, on, years)
    challengers = best_standing(replacements)
    comparison, costs = compare_all(kept, challengers, replacements, terms)
    repair = repair_figures(comparison, repair_priced, stops, supply)
    paths = [
        replacement_figures(it, comparison, costs[it.unit.name], terms.real_discount_rate)
        for it in replacements
    ]
    moves_most = swings(kept, challengers, terms)
    futures = draw_futures(kept, challengers, terms, rates.economics.spread)
    weighing = weigh(in_place, repair, paths, stops, supply, rates, moves_most, futures)
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
            cautions=_cautions(case, in_place, replacements, supply, on),
            repair=repair,
            replacements=tuple(sorted(paths, key=best_first)),
            moves_most=moves_most,
            turning_points=turning_points(kept, challengers, terms),
            futures=futures,
            verdict=judge(weighing),
        ),
        repair_margin=repair_margin,
        replacement_margins={it.unit.name: it.margin for it in replacements},
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
    replacements: Sequence[PricedReplacement],
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
        *(caution for it in replacements for caution in it.use.cautions),
    )
    return tuple(dict.fromkeys(said))
