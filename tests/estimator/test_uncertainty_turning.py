"""What moves the answer, and where each input turns it."""

import pytest
from scipy.optimize import brentq

from estimator.comparison import Challenger, Defender, Terms
from estimator.life_cycle import compare, saved_by_repairing
from estimator.sensitivity import (
    FACTORS,
    INPUTS,
    Setting,
    repair_saves,
    swings,
    turning_points,
)
from estimator.survival import LifeDistribution

YEARS = 12
TANK = LifeDistribution(shape=2.0, scale_years=12.0, delay_years=1.0)
TERMS = Terms(years=YEARS, urgency_premium=0.15, failure_damage=150.0)
COMMON = {
    "life": TANK,
    "price_indices": tuple(1.01**j for j in range(1, YEARS + 1)),
    "upkeep_per_year": 20.0,
    "later_repair_price": 240.0,
    "installed_price": 1800.0,
}
NEW = Challenger(
    name="like for like", energy_cost_per_year=265.0, later_repairs_per_year=0.03, **COMMON
)
THRIFTY = Challenger(
    name="thrifty",
    energy_cost_per_year=180.0,
    later_repairs_per_year=0.03,
    **(COMMON | {"installed_price": 3100.0}),
)


def defender(**changed):
    values = COMMON | {
        "name": "in place",
        "energy_cost_per_year": 310.0,
        "later_repairs_per_year": 0.06,
        "age_years": 8.0,
        "repair_price": 280.0,
    }
    return Defender(**(values | changed))


def found(kept, challengers=(NEW,)):
    return {point.name: point for point in turning_points(kept, challengers, TERMS)}


def test_saved_by_repairing_against_the_whole_comparison():
    for kept in (defender(), defender(age_years=21.3), defender(repair_price=900.0)):
        whole = compare(kept, (THRIFTY, NEW), TERMS)
        brief = saved_by_repairing(kept, (THRIFTY, NEW), TERMS)
        assert brief == pytest.approx(repair_saves(whole), rel=1e-12, abs=1e-9)


def test_turning_repair_price_against_the_break_even_price():
    kept = defender()
    point = found(kept)["the price of this repair"]
    assert point.quoted == 280.0
    assert point.unit == "USD"
    exact = compare(kept, (NEW,), TERMS).break_even_repair_price
    assert point.value == pytest.approx(exact, abs=1e-6)


@pytest.mark.parametrize("age", [8.0, 16.0])
def test_turning_points_against_scipy_root_finding(age):
    """Source: scipy.optimize.brentq on the whole comparison, where it changes sign once."""
    kept = defender(age_years=age)
    points = found(kept)
    checked = 0
    for each in INPUTS:

        def saves(factor, each=each):
            return repair_saves(compare(*each.vary(Setting(kept, (NEW,), TERMS), factor)))

        low, high = FACTORS
        point = points[each.name]
        if saves(low) * saves(high) > 0:
            continue
        assert point.factor == pytest.approx(brentq(saves, low, high, xtol=1e-13), abs=1e-9)
        assert point.value == pytest.approx(point.factor * point.quoted)
        checked += 1
    assert checked >= 3


def test_the_answer_differs_on_the_two_sides_of_each_turning_point():
    kept, challengers = defender(), (NEW, THRIFTY)
    setting, turning = Setting(kept, challengers, TERMS), 0
    for each in INPUTS:
        factor = found(kept, challengers)[each.name].factor
        if factor is None:
            continue
        below, above = (
            saved_by_repairing(*each.vary(setting, factor * side)) for side in (1 - 1e-6, 1 + 1e-6)
        )
        assert (below > 0) != (above > 0)
        turning += 1
    assert turning >= 2


def test_an_input_that_does_not_turn_the_answer_has_no_turning_point():
    new_heater_for_nothing = NEW.model_copy(update={"incentives": 1800.0})
    points = turning_points(defender(), (new_heater_for_nothing,), TERMS)
    by_name = {point.name: point for point in points}
    assert by_name["the price of this repair"].factor is None
    assert by_name["the price of this repair"].value is None
    never_mended = found(defender(later_repairs_per_year=0.0))
    assert never_mended["how often this heater needs mending"].value is None


def test_turning_points_come_nearest_first_and_none_last():
    kept = defender(later_repairs_per_year=0.0)
    factors = [point.factor for point in turning_points(kept, (NEW, THRIFTY), TERMS)]
    known = [factor for factor in factors if factor is not None]
    assert factors == known + [None] * (len(factors) - len(known))
    assert None in factors
    nearness = [max(factor, 1 / factor) for factor in known]
    assert nearness == sorted(nearness)


def test_a_swing_that_turns_has_its_turning_point_between_its_ends():
    kept = defender()
    points = found(kept)
    ends = {each.name: (each.low, each.high) for each in INPUTS}
    turning = [swing for swing in swings(kept, (NEW,), TERMS) if swing.turns]
    assert turning
    for swing in turning:
        low, high = ends[swing.name]
        assert low <= points[swing.name].factor <= high
