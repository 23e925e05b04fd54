"""What the customer's numbers rest on, and what nobody knows."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from app.views import customer_words as words
from estimator.case import StudyBasis
from estimator.evidence import Support
from estimator.heater import Fuel

if TYPE_CHECKING:
    from app.language.speech import Speech
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


def build_facts(visit: Visit, estimate: Estimate, speech: Speech) -> tuple[Fact, ...]:
    """List what the numbers rest on.

    Parameters
    ----------
    visit
        The visit.
    estimate
        The estimate.
    speech
        The language and the units.

    Returns
    -------
    Age, rating, hot water, cold water, fuel price, study period, discount rate.
    """
    heater, say, formats = estimate.heater, speech.say, speech.formats
    made = formats.month_and_year(visit.heater.manufactured)
    rated = words.RATING_ASSUMED if heater.rating_assumed else words.RATING_LABEL
    warmed_to = formats.temperature(visit.household.setpoint_f)
    facts = [
        Fact(
            say(words.AGE),
            formats.age(heater.age_years),
            say(words.MADE, month=made),
            assumed=False,
        ),
        Fact(
            say(words.RATING, metric=heater.rating_metric),
            formats.number(heater.rating, 2),
            say(rated),
            assumed=heater.rating_assumed,
        ),
        _draw(visit, estimate, speech),
        Fact(
            say(words.COLD_WATER),
            formats.temperature(heater.inlet_f),
            say(words.INLET_MEANS, setpoint=warmed_to),
            assumed=_inlet_unknown(visit),
        ),
    ]
    price = fuel_price(visit, estimate, speech)
    if price is not None:
        given = _fuel_price_given(visit)
        facts.append(
            Fact(
                say(words.PRICE_OF, fuel=say(words.FUELS[visit.heater.fuel])),
                price,
                say(words.PRICE_GIVEN if given else words.PRICE_ASSUMED),
                assumed=not given,
            )
        )
    return (*facts, _study(visit, estimate, speech), _discount(estimate, speech))


def _draw(visit: Visit, estimate: Estimate, speech: Speech) -> Fact:
    household, say = visit.household, speech.say
    if household.gallons_per_day is not None:
        note = say(words.DRAW_GIVEN)
    elif household.people == 1:
        note = say(words.DRAW_PERSON)
    elif household.people is not None:
        note = say(words.DRAW_PEOPLE, count=household.people)
    elif household.bedrooms is not None:
        note = say(words.DRAW_BEDROOMS, count=household.bedrooms)
    else:
        note = say(words.DRAW_ASSUMED)
    return Fact(
        say(words.HOT_WATER),
        say(words.A_DAY, volume=_daily(estimate, speech)),
        note,
        assumed=_draw_unknown(visit),
    )


def _daily(estimate: Estimate, speech: Speech) -> str:
    return speech.formats.volume(round(estimate.heater.gallons_per_day))


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


def fuel_price(visit: Visit, estimate: Estimate, speech: Speech) -> str | None:
    """Write the price of the heater's fuel, as billed.

    Parameters
    ----------
    visit
        The visit.
    estimate
        The estimate, whose yearly energy and its cost give the price.
    speech
        The language and the units.

    Returns
    -------
    The price per therm or gallon, or ``None`` when no energy is used.
    """
    heater = estimate.heater
    if heater.therms_per_year <= 0:
        return None
    per_therm = heater.energy_cost_per_year / heater.therms_per_year
    if visit.heater.fuel is Fuel.PROPANE:
        return speech.formats.energy_price(per_therm * THERM_PER_GAL_PROPANE, "gallon")
    return speech.formats.energy_price(per_therm, "therm")


def _study(visit: Visit, estimate: Estimate, speech: Speech) -> Fact:
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
    years = speech.formats.years(estimate.study_years)
    return Fact(speech.say(words.YEARS_LOOKED_AT), years, speech.say(note), assumed)


def _discount(estimate: Estimate, speech: Speech) -> Fact:
    rate = speech.formats.percent(estimate.real_discount_rate)
    return Fact(speech.say(words.DISCOUNT_RATE), rate, speech.say(words.DISCOUNT_MEANS), False)


def build_unknowns(visit: Visit, estimate: Estimate, speech: Speech) -> tuple[str, ...]:
    """Say what nobody knows, or what was assumed because nobody said it.

    Parameters
    ----------
    visit
        The visit.
    estimate
        The estimate.
    speech
        The language and the units.

    Returns
    -------
    Sentences, those about this heater first.
    """
    said = [*_readings(estimate, speech), *_about_this_home(visit, estimate, speech)]
    said.append(speech.say(words.LATER_PRICES))
    said.extend(
        speech.retell(caution.message)
        for caution in estimate.cautions
        if caution.topic in ("assumed", "evidence") and caution.code not in SAID_HERE
    )
    return tuple(dict.fromkeys(said))


def _about_this_home(visit: Visit, estimate: Estimate, speech: Speech) -> list[str]:
    heater, say, formats = estimate.heater, speech.say, speech.formats
    said = [say(words.OWN_LIFE)] if estimate.repair.open else []
    if heater.rating_assumed:
        said.append(say(words.UNKNOWN_RATING))
    if heater.recovery_assumed:
        share = formats.percent(heater.recovery_efficiency)
        said.append(say(words.UNKNOWN_RECOVERY, share=share))
    assumed = [say(what) for what in _assumed_here(visit)]
    if assumed:
        said.append(say(words.UNKNOWN_HERE, what=speech.listed(assumed)))
    return said


def _assumed_here(visit: Visit) -> list[str]:
    """Name what nobody said; the facts hold the numbers that were taken for it."""
    unknown = {
        words.USE_OF_HOT_WATER: _draw_unknown(visit),
        words.HOW_COLD: _inlet_unknown(visit),
        words.ENERGY_BILL: not _fuel_price_given(visit),
        words.STAY: visit.work.years is None and visit.household.years_in_house is None,
    }
    return [what for what, nobody_said in unknown.items() if nobody_said]


def _readings(estimate: Estimate, speech: Speech) -> tuple[str, ...]:
    grade = estimate.grade
    if grade.support is Support.CONTRADICTED:
        against = "; ".join(speech.retell(text).rstrip(".") for text in grade.contradicting)
        return (speech.say(words.READINGS_AGAINST, what=against),)
    return (speech.say(words.READINGS_OPEN),) if grade.support is Support.OPEN else ()
