"""Hot water that a heater gives against the household's busiest hour."""

from __future__ import annotations

import pytest

from estimator.errors import InputTrouble
from estimator.heater import Household
from estimator.hot_water import (
    PeakHour,
    coldest_inlet_f,
    flow_at_rise_gpm,
    hot_water,
    peak_flow_gpm,
    peak_hour_gal,
    peak_hour_of,
)
from estimator.mains import inlet_temperature_f
from estimator.units import WATER_HEAT_BTU_PER_GAL_F


@pytest.mark.parametrize(
    ("household", "showers", "at_once"),
    [
        (Household(people=1), 1, 1),
        (Household(people=2), 2, 1),
        (Household(people=5), 5, 2),
        (Household(bedrooms=3), 4, 2),
        (Household(people=2, bedrooms=4), 2, 1),
        (Household(), 3, 2),
    ],
)
def test_a_busiest_hour_that_nobody_counted(
    household: Household, showers: int, at_once: int
) -> None:
    hour = peak_hour_of(household)
    assert (hour.showers, hour.showers_at_once, hour.assumed) == (showers, at_once, True)


def test_a_first_hour_rating_is_held_against_gallons() -> None:
    home, hour = Household(people=3), PeakHour(showers=3, shaves=1, hand_dishwashings=1)
    short = hot_water(home, hour, 60, None, instantaneous=False)
    assert (short.unit, short.gives, short.needed) == ("gal", 60, 65)
    assert short.enough is False
    assert short.share == pytest.approx(60 / 65)
    assert hot_water(home, hour, 65, None, instantaneous=False).enough is True


def test_a_heater_without_a_rating_is_neither_enough_nor_short() -> None:
    for instantaneous in (False, True):
        found = hot_water(Household(), PeakHour(showers=1), None, None, instantaneous=instantaneous)
        assert found.enough is None
        assert found.share is None


def test_nothing_needed_is_always_given() -> None:
    found = hot_water(Household(), PeakHour(), 40, None, instantaneous=False)
    assert found.enough is True
    assert found.share == float("inf")


def test_an_instantaneous_heater_is_held_to_the_coldest_water() -> None:
    home = Household(air_mean_f=45, air_swing_f=55, setpoint_f=120)
    hour = PeakHour(showers=3, showers_at_once=2)
    found = hot_water(home, hour, None, 4.8, instantaneous=True)
    cold = coldest_inlet_f(home)
    assert cold < inlet_temperature_f(home) - 8
    assert found.unit == "gal/min"
    assert found.gives == pytest.approx(4.8 * 67 / (120 - cold))
    assert found.needed == pytest.approx(5.0 * (105 - cold) / (120 - cold))


@pytest.mark.parametrize("inlet", [40.0, 55.0, 70.0])
def test_flow_and_rise_go_with_the_same_heat(inlet: float) -> None:
    """Heat of the flow that is given is that of the rating, by Btu/h."""
    rated = 4.8 * 60 * WATER_HEAT_BTU_PER_GAL_F * 67
    flow = flow_at_rise_gpm(4.8, 125 - inlet)
    assert flow * 60 * WATER_HEAT_BTU_PER_GAL_F * (125 - inlet) == pytest.approx(rated)


@pytest.mark.parametrize("setpoint", [106.0, 120.0, 140.0])
def test_mixed_showers_take_the_same_heat_at_any_set_point(setpoint: float) -> None:
    hot = peak_flow_gpm(PeakHour(showers=2, showers_at_once=2), setpoint, 50.0)
    assert hot * (setpoint - 50.0) == pytest.approx(5.0 * (105.0 - 50.0))


def test_a_set_point_below_the_shower_takes_all_of_it() -> None:
    assert peak_flow_gpm(PeakHour(showers=1), 100.0, 50.0) == 2.5


def test_a_known_inlet_is_taken_for_the_whole_year() -> None:
    assert coldest_inlet_f(Household(inlet_f=52, air_mean_f=45, air_swing_f=55)) == 52
    assert coldest_inlet_f(Household()) == 58


def test_every_use_counts() -> None:
    one_of_each = PeakHour(
        showers=1, shaves=1, hand_dishwashings=1, dishwasher_loads=1, clothes_washer_loads=1
    )
    assert peak_hour_gal(one_of_each) == 39


@pytest.mark.parametrize("count", [-1, 41])
def test_a_count_that_no_home_has_is_refused(count: int) -> None:
    with pytest.raises(InputTrouble) as refused:
        PeakHour(showers=count)
    assert str(refused.value) == (
        f"showers is {count}; it must be from 0 to 40. Count the busiest hour again."
    )
