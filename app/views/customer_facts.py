"""What the customer's numbers rest on, and what nobody knows."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from app import formatting
from app.views import customer_words as words
from estimator.case import StudyBasis
from estimator.evidence import Support
from estimator.heater import Fuel

if TYPE_CHECKING:
    from app.visit import Visit
    from estimator.estimate import Estimate

# 16 CFR 305 appendix: propane 91,333 Btu/gal, 1 therm 100,000 Btu.
THERM_PER_GAL_PROPANE = 0.91333

# Cautions that this view says in its own words.
SAID_HERE = frozenset(
    {
        "rating_assumed",
        "recovery_efficiency_assumed",
        "draw_assumed",
        "inlet_assumed",
        "price_indices_extended",
    }
)


@dataclass(frozen=True)
class Fact:
    """One thing that the numbers rest on; `assumed` when nobody read or said it."""

    label: str
    value: str
    note: str
    assumed: bool


def build_facts(visit: Visit, estimate: Estimate) -> tuple[Fact, ...]:
    """List what the numbers rest on.

    Parameters
    ----------
    visit
        The visit.
    estimate
        The estimate.

    Returns
    -------
    Age, rating, hot water, cold water, fuel price, study period, discount rate.
    """
    heater, household = estimate.heater, visit.household
    facts = [
        Fact(
            "Age",
            formatting.age(heater.age_years),
            words.MADE.split(",")[0].format(
                month=formatting.month_and_year(visit.heater.manufactured)
            ),
            assumed=False,
        ),
        Fact(
            f"Energy rating ({heater.rating_metric})",
            formatting.number(heater.rating, 2),
            words.RATING_ASSUMED if heater.rating_assumed else words.RATING_LABEL,
            assumed=heater.rating_assumed,
        ),
        _draw(visit, estimate),
        Fact(
            "Cold water",
            formatting.temperature(heater.inlet_f),
            words.INLET_MEANS.format(setpoint=formatting.temperature(household.setpoint_f)),
            assumed=_inlet_unknown(visit),
        ),
    ]
    price = fuel_price(visit, estimate)
    if price is not None:
        given = _fuel_price_given(visit)
        facts.append(
            Fact(
                f"Price of {words.FUELS[visit.heater.fuel]}",
                price,
                words.PRICE_GIVEN if given else words.PRICE_ASSUMED,
                assumed=not given,
            )
        )
    return (*facts, _study(visit, estimate), _discount(estimate))


def _draw(visit: Visit, estimate: Estimate) -> Fact:
    household = visit.household
    if household.gallons_per_day is not None:
        note = words.DRAW_GIVEN
    elif household.people is not None:
        one = household.people == 1
        note = words.DRAW_PERSON if one else words.DRAW_PEOPLE.format(count=household.people)
    elif household.bedrooms is not None:
        note = words.DRAW_BEDROOMS.format(count=household.bedrooms)
    else:
        note = words.DRAW_ASSUMED
    gallons = formatting.number(estimate.heater.gallons_per_day)
    return Fact("Hot water", f"{gallons} gallons a day", note, assumed=_draw_unknown(visit))


def _draw_unknown(visit: Visit) -> bool:
    household = visit.household
    return household.gallons_per_day is None and household.people is None


def _inlet_unknown(visit: Visit) -> bool:
    return visit.household.inlet_f is None and visit.household.air_mean_f is None


def _fuel_price_given(visit: Visit) -> bool:
    household = visit.household
    if visit.heater.fuel is Fuel.NATURAL_GAS:
        return household.natural_gas_per_therm is not None
    return household.propane_per_gal is not None


def fuel_price(visit: Visit, estimate: Estimate) -> str | None:
    """Write the price of the heater's fuel, as billed.

    Parameters
    ----------
    visit
        The visit.
    estimate
        The estimate, whose yearly energy and its cost give the price.

    Returns
    -------
    The price per therm or gallon, or ``None`` when no energy is used.
    """
    heater = estimate.heater
    if heater.therms_per_year <= 0:
        return None
    per_therm = heater.energy_cost_per_year / heater.therms_per_year
    if visit.heater.fuel is Fuel.PROPANE:
        return formatting.energy_price(per_therm * THERM_PER_GAL_PROPANE, "gallon")
    return formatting.energy_price(per_therm, "therm")


def _study(visit: Visit, estimate: Estimate) -> Fact:
    if visit.work.years is not None:
        note, assumed = words.YEARS_CHOSEN, False
    elif visit.work.study is StudyBasis.REMAINING_LIFE:
        note, assumed = words.YEARS_LEFT, True
    elif visit.work.study is StudyBasis.CHALLENGER_LIFE:
        note, assumed = words.YEARS_ASSUMED, True
    elif visit.household.years_in_house is not None:
        note, assumed = words.YEARS_GIVEN, False
    else:
        note, assumed = words.YEARS_ASSUMED, True
    return Fact("Years looked at", formatting.years(estimate.study_years), note, assumed)


def _discount(estimate: Estimate) -> Fact:
    rate = formatting.percent(estimate.real_discount_rate)
    return Fact("Discount rate", rate, words.DISCOUNT_MEANS, assumed=False)


def build_unknowns(visit: Visit, estimate: Estimate) -> tuple[str, ...]:
    """Say what nobody knows, or what was assumed because nobody said it.

    Parameters
    ----------
    visit
        The visit.
    estimate
        The estimate.

    Returns
    -------
    Sentences, those about this heater first.
    """
    heater = estimate.heater
    said = list(_readings(estimate))
    if estimate.repair.open:
        said.append(words.OWN_LIFE)
    if heater.rating_assumed:
        said.append(words.UNKNOWN_RATING)
    if heater.recovery_assumed:
        said.append(
            words.UNKNOWN_RECOVERY.format(share=formatting.percent(heater.recovery_efficiency))
        )
    if _draw_unknown(visit):
        said.append(words.UNKNOWN_DRAW.format(gallons=formatting.number(heater.gallons_per_day)))
    if _inlet_unknown(visit):
        said.append(words.UNKNOWN_INLET.format(inlet=formatting.temperature(heater.inlet_f)))
    price = fuel_price(visit, estimate)
    if price is not None and not _fuel_price_given(visit):
        said.append(words.UNKNOWN_PRICE.format(fuel=words.FUELS[visit.heater.fuel], price=price))
    if visit.work.years is None and visit.household.years_in_house is None:
        said.append(words.UNKNOWN_STAY.format(years=formatting.years(estimate.study_years)))
    said.append(words.LATER_PRICES)
    said.extend(
        caution.message
        for caution in estimate.cautions
        if caution.topic in ("assumed", "evidence") and caution.code not in SAID_HERE
    )
    return tuple(dict.fromkeys(said))


def _readings(estimate: Estimate) -> tuple[str, ...]:
    grade = estimate.grade
    if grade.support is Support.CONTRADICTED:
        against = "; ".join(text.rstrip(".") for text in grade.contradicting)
        return (words.READINGS_AGAINST.format(what=against),)
    return (words.READINGS_OPEN,) if grade.support is Support.OPEN else ()
