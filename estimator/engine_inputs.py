"""From a heater, a household and a rate sheet to what the life-cycle engine takes."""

from __future__ import annotations

from datetime import date
from decimal import Decimal
from typing import NamedTuple

from estimator.case import Case, StudyBasis
from estimator.cautions import Caution
from estimator.comparison import Challenger, Defender, Terms
from estimator.economics import Economics, UnitUpkeep
from estimator.efficiency import Rating, rating_of
from estimator.energy import (
    EnergyUse,
    energy_cost_per_year,
    heater_energy,
    replacement_energy,
)
from estimator.heater import Fuel, HeaterClass, Household
from estimator.money import to_float
from estimator.price_outlook import flat_indices, price_index_cautions, price_indices
from estimator.rates import RateSheet
from estimator.supply import ReplacementHeater
from estimator.survival import DEFAULT_LIVES, LifeDistribution, mean_life, mean_life_left

LONGEST_STUDY_YEARS = 40


class HeaterInPlace(NamedTuple):
    """The heater in place: age [yr], rating, energy use and what it costs [USD/yr]."""

    age_years: float
    rating: Rating
    use: EnergyUse
    energy_cost_per_year: float
    life: LifeDistribution
    cautions: tuple[Caution, ...]


def heater_in_place(case: Case, rates: RateSheet, on: date) -> HeaterInPlace:
    """Rate the heater in place and work out its energy.

    Parameters
    ----------
    case
        The case.
    rates
        The rate sheet, for fuel prices and lives.
    on
        The day of the visit.

    Returns
    -------
    What is known and what is assumed of it.

    Raises
    ------
    InputTrouble
        If the rating and the recovery efficiency contradict each other.
    """
    rating = rating_of(case.heater)
    use = heater_energy(case.heater, rating, case.household)
    return HeaterInPlace(
        age_years=case.heater.age_years(on),
        rating=rating,
        use=use,
        energy_cost_per_year=energy_cost(use, case.heater.fuel, case.household, rates),
        life=life_of(HeaterClass.GAS_STORAGE, rates.economics),
        cautions=(
            *rating.cautions,
            *use.cautions,
            *_outlook_cautions(case.heater.fuel, rates.economics, on),
        ),
    )


def energy_cost(use: EnergyUse, fuel: Fuel, household: Household, rates: RateSheet) -> float:
    """Return a year's energy at the customer's own prices, else the rate sheet's.

    Parameters
    ----------
    use
        Energy use of a year.
    fuel
        What is burned or drawn.
    household
        Fuel prices from the customer's bill, where given.
    rates
        The rate sheet.

    Returns
    -------
    The cost [USD/yr].
    """
    prices = rates.fuel_prices
    return energy_cost_per_year(
        use,
        fuel,
        natural_gas_per_therm=household.natural_gas_per_therm or prices.natural_gas_per_therm,
        propane_per_gal=household.propane_per_gal or prices.propane_per_gal,
        electricity_per_kwh=household.electricity_per_kwh or prices.electricity_per_kwh,
    )


def life_of(heater_class: HeaterClass, economics: Economics) -> LifeDistribution:
    """Return the life of a class of heater: the shop's own, else the default.

    Parameters
    ----------
    heater_class
        The class.
    economics
        The shop's terms, with the lives that it has fitted or set.

    Returns
    -------
    The life distribution.
    """
    return economics.lives.get(heater_class, DEFAULT_LIVES[heater_class])


def study_years(case: Case, rates: RateSheet, on: date) -> int:
    """Return the study period.

    Parameters
    ----------
    case
        Where it names the years those hold; else its `study` says what sets them.
    rates
        The rate sheet, for the lives of heaters.
    on
        The day of the visit, for the age of the heater in place.

    Returns
    -------
    The study period [yr], from 1 to 40: the years given, the customer's years in the house,
    the mean life of a new heater of the same class, or the mean life left in the one in
    place, rounded to whole years.
    """
    life = life_of(HeaterClass.GAS_STORAGE, rates.economics)
    if case.years is not None:
        return case.years
    if case.study is StudyBasis.REMAINING_LIFE:
        return _whole_years(mean_life_left(life, case.heater.age_years(on)))
    if case.study is StudyBasis.CUSTOMER and case.household.years_in_house is not None:
        return case.household.years_in_house
    return _whole_years(mean_life(life))


def _whole_years(years: float) -> int:
    return min(LONGEST_STUDY_YEARS, max(1, round(years)))


def engine_terms(rates: RateSheet, years: int) -> Terms:
    """Return the terms that all paths of a quote share.

    Parameters
    ----------
    rates
        The rate sheet.
    years
        The study period [yr].

    Returns
    -------
    The terms of the life-cycle engine.
    """
    economics = rates.economics
    return Terms(
        years=years,
        real_discount_rate=economics.real_discount_rate,
        install_price_escalation=economics.install_price_escalation,
        urgency_premium=economics.urgency_premium,
        failure_damage=to_float(economics.failure_damage),
        aging=economics.aging,
    )


def defender(
    case: Case,
    in_place: HeaterInPlace,
    repair_price: Decimal,
    like_for_like_price: Decimal,
    rates: RateSheet,
    on: date,
    years: int,
) -> Defender:
    """Return the heater in place as the engine takes it.

    Parameters
    ----------
    case, in_place
        The case and what is known of its heater.
    repair_price, like_for_like_price
        Price of repairing now, and of a like-for-like heater installed [USD], tax in.
    rates
        The rate sheet.
    on
        The day of the visit; fuel prices start from its year.
    years
        The study period [yr].

    Returns
    -------
    The defender.
    """
    upkeep = rates.economics.defender_upkeep
    return Defender(
        name="heater in place",
        life=in_place.life,
        energy_cost_per_year=in_place.energy_cost_per_year,
        price_indices=_indices(case.heater.fuel, rates.economics, on, years),
        upkeep_per_year=to_float(upkeep.upkeep_per_year),
        later_repairs_per_year=upkeep.repairs_per_year,
        later_repair_price=to_float(upkeep.repair_price),
        installed_price=to_float(like_for_like_price),
        age_years=in_place.age_years,
        repair_price=to_float(repair_price),
    )


def challenger(
    case: Case,
    replacement: ReplacementHeater,
    installed_price: Decimal,
    incentives: Decimal,
    rates: RateSheet,
    on: date,
    years: int,
) -> tuple[Challenger, EnergyUse]:
    """Return a replacement as the engine takes it, and its energy use.

    Parameters
    ----------
    case
        The case, for the household's draw and prices.
    replacement
        The heater, as the catalog supplies it.
    installed_price, incentives
        What the customer pays before incentives, tax in, and the incentives [USD].
    rates
        The rate sheet; its upkeep for the class goes before the catalog's.
    on
        The day of the visit.
    years
        The study period [yr].

    Returns
    -------
    The challenger, named by its slug, and its energy use.
    """
    use = replacement_energy(replacement, case.household)
    catalog_says = UnitUpkeep(upkeep_per_year=replacement.upkeep_per_year)
    upkeep = rates.economics.challenger_upkeep.get(replacement.heater_class, catalog_says)
    unit = Challenger(
        name=replacement.slug,
        life=life_of(replacement.heater_class, rates.economics),
        energy_cost_per_year=energy_cost(use, replacement.fuel, case.household, rates),
        price_indices=_indices(replacement.fuel, rates.economics, on, years),
        upkeep_per_year=to_float(upkeep.upkeep_per_year),
        later_repairs_per_year=upkeep.repairs_per_year,
        later_repair_price=to_float(upkeep.repair_price),
        installed_price=to_float(installed_price),
        incentives=to_float(incentives),
    )
    return unit, use


def _indices(fuel: Fuel, economics: Economics, on: date, years: int) -> tuple[float, ...]:
    if economics.price_outlook == "published":
        return price_indices(fuel, years, on.year)
    return flat_indices(economics.fuel_escalation, years)


def _outlook_cautions(fuel: Fuel, economics: Economics, on: date) -> tuple[Caution, ...]:
    if economics.price_outlook == "published":
        return price_index_cautions(fuel, LONGEST_STUDY_YEARS, on.year)
    return ()
