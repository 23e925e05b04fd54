"""Energy by kind of heater, and what is said when something had to be assumed."""

from __future__ import annotations

from datetime import date
from typing import Any

import pytest

from estimator.efficiency import Rating
from estimator.energy import (
    co2_kg_per_year,
    energy_cost_per_year,
    heater_energy,
    replacement_energy,
)
from estimator.errors import InputTrouble
from estimator.heater import DrawBin, Fuel, Household, RatingPlate
from estimator.mains import (
    daily_draw_gal,
    household_cautions,
    inlet_temperature_f,
    mains_temperature_f,
)
from estimator.supply import ReplacementHeater
from estimator.wham import fuel_ua, storage_btu_per_day

HOME = Household(gallons_per_day=55, inlet_f=58)
OLD = Rating(value=0.59, metric="EF", recovery_efficiency=0.76)
NEW = Rating(value=0.6, metric="UEF", draw_bin=DrawBin.MEDIUM, recovery_efficiency=0.78)


def plate(**changes: Any) -> RatingPlate:
    values = {
        "fuel": "natural_gas",
        "tank_volume_gal": 40,
        "input_btu_per_h": 38_000,
        "ignition": "pilot_thermocouple",
        "manufactured": date(2002, 1, 1),
    }
    return RatingPlate.model_validate(values | changes)


def replacement(**changes: Any) -> ReplacementHeater:
    values = {
        "slug": "tank-40", "name": "Tank", "heater_class": "gas_storage", "fuel": "natural_gas",
        "like_for_like": True, "volume_gal": 40, "input_btu_per_h": 40_000,
        "uniform_energy_factor": 0.64, "draw_bin": "medium", "recovery_efficiency": 0.79,
        "first_hour_rating_gal": 68, "unit_cost": 600,
        "install": {"slug": "install", "name": "Install", "hours": 4},
    }  # fmt: skip
    return ReplacementHeater.model_validate(values | changes)


def test_pilot_is_inside_the_rating_and_never_added() -> None:
    lit = heater_energy(plate(), OLD, HOME)
    spark = heater_energy(plate(ignition="intermittent_pilot"), OLD, HOME)
    assert lit == spark


def test_a_propane_heater_counts_therms_and_pays_by_the_gallon() -> None:
    use = heater_energy(plate(fuel="propane"), OLD, HOME)
    cost = energy_cost_per_year(
        use, Fuel.PROPANE, natural_gas_per_therm=9.0, propane_per_gal=2.5, electricity_per_kwh=9.0
    )
    assert use.kwh_per_year == 0
    assert cost == pytest.approx(use.therms_per_year / 0.91333 * 2.5)
    assert co2_kg_per_year(use, Fuel.PROPANE) == pytest.approx(use.therms_per_year * 6.287)


def test_colder_room_and_hotter_tank_use_more() -> None:
    base = heater_energy(plate(), OLD, HOME).btu_per_day
    colder = HOME.model_copy(update={"ambient_f": 45.0})
    hotter = HOME.model_copy(update={"setpoint_f": 140.0})
    assert heater_energy(plate(), OLD, colder).btu_per_day > base
    assert heater_energy(plate(), OLD, hotter).btu_per_day > base


def test_a_room_warmer_than_the_tank_costs_no_standby_and_says_so() -> None:
    attic = Household(gallons_per_day=20, inlet_f=70, setpoint_f=110, ambient_f=120)
    use = heater_energy(plate(), OLD, attic)
    assert use.btu_per_day == pytest.approx(20 * 8.29991 * 40 / 0.76, rel=1e-5)
    assert [caution.code for caution in use.cautions] == ["room_warmer_than_tank"]


def test_a_draw_beyond_the_burner_says_so() -> None:
    use = heater_energy(plate(input_btu_per_h=6_000), OLD, Household(gallons_per_day=300))
    assert [caution.code for caution in use.cautions] == ["draw_beyond_input"]


def test_uef_without_draw_bin_is_refused() -> None:
    with pytest.raises(InputTrouble) as refused:
        fuel_ua(Rating(value=0.6, metric="UEF", recovery_efficiency=0.78), 40_000)
    assert str(refused.value) == (
        "UEF 0.6 has no draw bin. Give the draw bin of the label: very_small, low, medium or high."
    )


def test_rating_above_recovery_is_refused_by_the_tank_equation_too() -> None:
    with pytest.raises(InputTrouble, match=r"UEF 0\.8 is not below the recovery efficiency 0\.78"):
        fuel_ua(NEW.model_copy(update={"value": 0.8}), 40_000)


def test_input_too_small_for_the_test_is_refused() -> None:
    with pytest.raises(InputTrouble) as refused:
        fuel_ua(NEW, 1_000)
    assert str(refused.value) == (
        "Input of 1000 Btu/h cannot heat the 55 gal/day of the rating test. "
        "Read the input and the draw bin again."
    )


def test_gas_tank_replacement_goes_by_the_tank_equation() -> None:
    use = replacement_energy(replacement(), HOME)
    rating = Rating(value=0.64, metric="UEF", draw_bin=DrawBin.MEDIUM, recovery_efficiency=0.79)
    ua = fuel_ua(rating, 40_000)
    assert use.ua == ua
    assert use.btu_per_day == pytest.approx(storage_btu_per_day(ua, 0.79, 40_000, 55))
    # Under the conditions of its own test it uses load over rating, by what a rating means.
    assert use.btu_per_day == pytest.approx(55 * 8.29991 * 67 / 0.64, rel=1e-5)
    assert use.cautions == ()


def test_replacement_without_recovery_efficiency_flags_it() -> None:
    use = replacement_energy(replacement(recovery_efficiency=None), HOME)
    assert [caution.code for caution in use.cautions] == ["recovery_efficiency_assumed"]


def test_gas_tank_replacement_without_input_is_refused() -> None:
    with pytest.raises(InputTrouble) as refused:
        replacement_energy(replacement(input_btu_per_h=None), HOME)
    assert str(refused.value) == (
        "Replacement tank-40 has no input in Btu/h, which a gas tank needs. "
        "Give its input in the catalog and build it again."
    )


def test_electric_tank_counts_kilowatt_hours() -> None:
    electric = replacement(
        heater_class="electric_storage", fuel="electricity", input_btu_per_h=None,
        uniform_energy_factor=0.92, recovery_efficiency=None,
    )  # fmt: skip
    use = replacement_energy(electric, HOME)
    assert use.therms_per_year == 0
    assert use.kwh_per_year == pytest.approx(55 * 8.29991 * 67 / 0.92 * 365 / 3412, rel=1e-5)
    assert [c.code for c in use.cautions] == ["recovery_efficiency_assumed", "average_grid"]


def test_instantaneous_heater_is_load_over_rating_and_says_so() -> None:
    tankless = replacement(
        heater_class="gas_instantaneous", uniform_energy_factor=0.82, recovery_efficiency=None,
        input_btu_per_h=180_000, volume_gal=0,
    )  # fmt: skip
    use = replacement_energy(tankless, HOME)
    assert use.ua is None
    assert use.btu_per_day == pytest.approx(55 * 8.29991 * 67 / 0.82, rel=1e-5)
    assert [caution.code for caution in use.cautions] == ["instantaneous_at_rating"]


def test_heat_pump_says_the_room_that_it_would_stand_in() -> None:
    pump = replacement(
        heater_class="heat_pump", fuel="electricity", uniform_energy_factor=3.5,
        recovery_efficiency=None, input_btu_per_h=None,
    )  # fmt: skip
    use = replacement_energy(pump, HOME.model_copy(update={"ambient_f": 48.0}))
    assert "this one would stand at 48 °F" in use.cautions[0].message


def test_draw_comes_from_the_customer_first_then_people_then_bedrooms() -> None:
    all_three = Household(gallons_per_day=40, people=6, bedrooms=1)
    assert daily_draw_gal(all_three) == 40
    people = daily_draw_gal(Household(people=3, bedrooms=1))
    assert people == daily_draw_gal(Household(people=3))
    assert people > daily_draw_gal(Household(bedrooms=1))
    assert daily_draw_gal(Household()) == 55


def test_a_hotter_tank_draws_fewer_gallons_for_the_same_showers() -> None:
    warm = daily_draw_gal(Household(bedrooms=3, setpoint_f=120))
    hot = daily_draw_gal(Household(bedrooms=3, setpoint_f=140))
    assert hot < warm
    # A tank colder than the tap is never asked for more than all the water.
    assert daily_draw_gal(Household(bedrooms=3, setpoint_f=95)) == daily_draw_gal(
        Household(bedrooms=3, setpoint_f=105)
    )


def test_what_was_assumed_about_the_household_is_said_once() -> None:
    assert household_cautions(HOME) == ()
    said = {caution.code: caution.message for caution in household_cautions(Household())}
    assert said == {
        "draw_assumed": "Hot-water draw is taken as 55 gal/day, as in the medium draw of the "
        "rating test.",
        "inlet_assumed": "Water is taken to come in at 58.0 °F, as in the rating test.",
    }
    by_people = household_cautions(Household(people=4, air_mean_f=50, air_swing_f=40))
    assert "from 4 people" in by_people[0].message
    assert by_people[1].message == (
        "Water is taken to come in at 56.0 °F, from the air temperature."
    )


def test_mains_water_does_not_freeze() -> None:
    assert mains_temperature_f(30, -10.0, 60.0) == 32.0


def test_mains_water_hotter_than_the_tank_is_refused() -> None:
    with pytest.raises(InputTrouble) as refused:
        inlet_temperature_f(Household(setpoint_f=95, air_mean_f=94, air_swing_f=5))
    assert str(refused.value) == (
        "Mains water at 100.0 °F is not below the set point of 95 °F. "
        "Correct the air temperature or the set point."
    )
