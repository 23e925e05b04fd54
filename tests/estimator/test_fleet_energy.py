"""Ratings and energy by columns against the functions that serve one heater."""

from __future__ import annotations

from datetime import date, timedelta

import numpy as np
import pytest

from estimator.efficiency import rating_of
from estimator.energy import heater_energy
from estimator.errors import InputTrouble
from estimator.fleet_energy import (
    BINS,
    PlateColumns,
    draw_columns,
    fuel_ua_columns,
    rating_columns,
    storage_btu_per_day_columns,
)
from estimator.heater import Fuel, Household, Ignition, RatingPlate
from estimator.mains import daily_draw_gal
from estimator.wham import load_btu_per_day

ROWS = 2_000


def or_none(value: float) -> float | None:
    return None if np.isnan(value) else float(value)


@pytest.fixture(scope="module")
def plates() -> PlateColumns:
    rng = np.random.default_rng(8)
    made = np.datetime64("1975-01-01") + rng.integers(0, 20_000, ROWS).astype("timedelta64[D]")
    labelled = rng.integers(0, 3, ROWS)
    volume = rng.choice([15, 19.9, 20, 30, 40, 50, 55, 55.1, 75, 100, 119], ROWS)
    return PlateColumns(
        tank_volume_gal=volume,
        input_btu_per_h=rng.uniform(5_000, 80_000, ROWS),
        manufactured=made,
        energy_factor=np.where(labelled == 0, rng.uniform(0.45, 0.8, ROWS), np.nan),
        uniform_energy_factor=np.where(labelled == 1, rng.uniform(0.45, 0.8, ROWS), np.nan),
        recovery_efficiency=np.where(rng.random(ROWS) < 0.5, rng.uniform(0.65, 0.95, ROWS), np.nan),
        draw_bin=rng.integers(-1, 4, ROWS).astype(np.int8),
        first_hour_rating_gal=np.where(rng.random(ROWS) < 0.5, rng.uniform(10, 100, ROWS), np.nan),
    )


def test_energy_of_every_row_against_the_single_heater_functions(plates: PlateColumns) -> None:
    rng = np.random.default_rng(9)
    setpoint, inlet = rng.uniform(100, 150, ROWS), rng.uniform(35, 80, ROWS)
    ambient = rng.uniform(30, 125, ROWS)
    people = np.where(rng.random(ROWS) < 0.3, rng.integers(1, 9, ROWS), np.nan)
    bedrooms = np.where(rng.random(ROWS) < 0.5, rng.integers(0, 7, ROWS), np.nan)
    gallons = np.where(rng.random(ROWS) < 0.3, rng.uniform(5, 120, ROWS), np.nan)
    rating = rating_columns(plates)
    ua = fuel_ua_columns(rating, plates.input_btu_per_h)
    draw = draw_columns(gallons, people, bedrooms, setpoint, inlet)
    load = draw * (load_btu_per_day(1.0, 2.0, 1.0)) * (setpoint - inlet)
    per_day = storage_btu_per_day_columns(
        ua,
        rating.recovery_efficiency,
        plates.input_btu_per_h,
        load,
        np.maximum(setpoint - ambient, 0),
    )
    refused = 0
    for row in range(ROWS):
        household = Household(
            people=None if np.isnan(people[row]) else int(people[row]),
            bedrooms=None if np.isnan(bedrooms[row]) else int(bedrooms[row]),
            gallons_per_day=or_none(gallons[row]),
            setpoint_f=setpoint[row],
            inlet_f=inlet[row],
            ambient_f=ambient[row],
        )
        plate = RatingPlate(
            fuel=Fuel.NATURAL_GAS,
            tank_volume_gal=plates.tank_volume_gal[row],
            input_btu_per_h=plates.input_btu_per_h[row],
            ignition=Ignition.PILOT_THERMOCOUPLE,
            manufactured=plates.manufactured[row].astype(date),
            energy_factor=or_none(plates.energy_factor[row]),
            uniform_energy_factor=or_none(plates.uniform_energy_factor[row]),
            draw_bin=None if plates.draw_bin[row] < 0 else BINS[plates.draw_bin[row]],
            recovery_efficiency=or_none(plates.recovery_efficiency[row]),
            first_hour_rating_gal=or_none(plates.first_hour_rating_gal[row]),
        )
        assert draw[row] == pytest.approx(daily_draw_gal(household), rel=1e-13)
        try:
            alone = heater_energy(plate, rating_of(plate), household)
        except InputTrouble:
            refused += 1
            assert np.isnan(per_day[row])
            continue
        assert per_day[row] == pytest.approx(alone.btu_per_day, rel=1e-12)
        assert ua[row] == pytest.approx(alone.ua, rel=1e-12)
        assert rating.assumed[row] == rating_of(plate).assumed
    assert 20 < refused < ROWS / 2


@pytest.mark.parametrize("made", ["1989-12-31", "1990-01-01", "2004-01-19", "2004-01-20",
                                  "2015-04-15", "2015-04-16", "2016-12-28", "2016-12-29",
                                  "2029-05-05", "2029-05-06"])  # fmt: skip
def test_minimum_on_the_days_that_rules_change(made: str) -> None:
    volumes = np.array([10.0, 20, 40, 55, 56, 120])
    none = np.full(6, np.nan)
    found = rating_columns(
        PlateColumns(
            volumes,
            np.full(6, 40e3),
            np.full(6, np.datetime64(made)),
            none,
            none,
            none,
            np.full(6, -1, np.int8),
            none,
        )
    )
    for volume, value in zip(volumes, found.value, strict=True):
        plate = RatingPlate(
            fuel=Fuel.PROPANE,
            tank_volume_gal=volume,
            input_btu_per_h=40e3,
            ignition=Ignition.HOT_SURFACE,
            manufactured=date(1970, 1, 1) + timedelta(int(np.datetime64(made).astype(int))),
        )
        assert value == pytest.approx(rating_of(plate).value, abs=1e-15)
