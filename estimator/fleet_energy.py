"""Ratings and energy of a column of gas tanks: `efficiency`, `mains` and `wham` by columns.

Each function gives for every row what the function for one heater gives.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from estimator.efficiency import FIRST_HOUR_BIN_LIMITS_GAL, VOLUME_BIN_LIMITS_GAL
from estimator.heater import DrawBin, HeaterClass
from estimator.mains import (
    ASSUMED_DRAW_GAL,
    FIXTURE_TEMPERATURE_F,
    appliance_draw_gal,
    mixed_draw_gal,
)
from estimator.minimums import COMMON_PRACTICE_BEFORE, MINIMUMS, SPLIT_GAL, federal_minimum
from estimator.units import HOURS_PER_DAY, WATER_HEAT_BTU_PER_GAL_F
from estimator.wham import (
    EF_TEST_DRAW_GAL,
    EF_TEST_SETPOINT_F,
    TEST_AMBIENT_F,
    TEST_INLET_F,
    UEF_TEST_DRAW_GAL,
    UEF_TEST_SETPOINT_F,
)

if TYPE_CHECKING:
    from estimator.fleet_kernel import Column

Floats = NDArray[np.float64]

BINS = tuple(DrawBin)
"""Draw bins in the order of their codes 0..3."""

_EF_LINE = (0.9066, 0.0711)  # EF = slope UEF + intercept, gas tanks; RESNET 2017


@dataclass(frozen=True, eq=False)
class PlateColumns:
    """Rating plates, one a row; not a number where the label does not say.

    Attributes
    ----------
    tank_volume_gal, input_btu_per_h
        Rated volume [gal] and input [Btu/h], shape (n,).
    manufactured
        Date of manufacture, days, shape (n,).
    energy_factor, uniform_energy_factor, recovery_efficiency
        As labelled [1], shape (n,).
    draw_bin
        Place in `BINS`, -1 where not labelled, shape (n,).
    first_hour_rating_gal
        First-hour rating [gal], shape (n,).
    """

    tank_volume_gal: Floats
    input_btu_per_h: Floats
    manufactured: NDArray[np.datetime64]
    energy_factor: Floats
    uniform_energy_factor: Floats
    recovery_efficiency: Floats
    draw_bin: NDArray[np.int8]
    first_hour_rating_gal: Floats


@dataclass(frozen=True, eq=False)
class RatingColumns:
    """Ratings and what they rest on, each of shape (n,).

    Attributes
    ----------
    value
        EF or UEF [1].
    test_draw_gal, test_setpoint_f
        Draw [gal/day] and set point [°F] of the test behind it.
    recovery_efficiency
        Recovery efficiency [1], by regression where not labelled.
    assumed
        Whether no label gave the value.
    """

    value: Floats
    test_draw_gal: Floats
    test_setpoint_f: Floats
    recovery_efficiency: Floats
    assumed: NDArray[np.bool_]


def rating_columns(plates: PlateColumns) -> RatingColumns:
    """Return the rating of every gas tank: of its label, else the minimum of its date.

    Parameters
    ----------
    plates
        The plates.

    Returns
    -------
    What `efficiency.rating_of` gives for each; a rating that is not below its recovery
    efficiency is given all the same, and has no fuel UA.

    References
    ----------
    10 CFR 430.32(d); 10 CFR 430 subpart B appendix E.
    """
    by_volume = np.searchsorted(VOLUME_BIN_LIMITS_GAL, plates.tank_volume_gal, side="right")
    by_first_hour = np.searchsorted(
        FIRST_HOUR_BIN_LIMITS_GAL, plates.first_hour_rating_gal, side="right"
    )
    known = ~np.isnan(plates.first_hour_rating_gal)
    bins = np.where(known, by_first_hour, by_volume)
    bins = np.where(plates.draw_bin >= 0, plates.draw_bin, bins)
    has_ef = ~np.isnan(plates.energy_factor)
    has_uef = ~np.isnan(plates.uniform_energy_factor)
    value = np.where(has_ef, plates.energy_factor, plates.uniform_energy_factor)
    is_uef = ~has_ef & has_uef
    assumed = ~has_ef & ~has_uef
    if assumed.any():
        rows = np.flatnonzero(assumed)
        value[rows], is_uef[rows] = _minimums(plates, bins, rows)
    slope, intercept = _EF_LINE
    ef = np.where(is_uef, slope * value + intercept, value)
    regression = np.where(ef < 0.75, 0.252 * ef + 0.608, 0.561 * ef + 0.439)
    labelled = plates.recovery_efficiency
    draws = np.array([UEF_TEST_DRAW_GAL[each] for each in BINS])
    return RatingColumns(
        value=value,
        test_draw_gal=np.where(is_uef, draws[bins], EF_TEST_DRAW_GAL),
        test_setpoint_f=np.where(is_uef, UEF_TEST_SETPOINT_F, EF_TEST_SETPOINT_F),
        recovery_efficiency=np.where(np.isnan(labelled), regression, labelled),
        assumed=assumed,
    )


def _minimums(
    plates: PlateColumns, bins: NDArray[np.intp], rows: NDArray[np.intp]
) -> tuple[Floats, NDArray[np.bool_]]:
    """Take each row's minimum: rows of one period, bin and side of 55 gal share a rule."""
    starts = sorted(
        {rule.made_from for rule in MINIMUMS if rule.heater_class is HeaterClass.GAS_STORAGE}
    )
    first = np.array(starts, dtype="datetime64[D]")
    period = np.searchsorted(first, plates.manufactured[rows], side="right")
    volume = plates.tank_volume_gal[rows]
    value, is_uef = np.empty(len(rows)), np.zeros(len(rows), dtype=bool)
    code = (period * len(BINS) + bins[rows]) * 2 + (volume > SPLIT_GAL)
    for each in np.unique(code):
        here = code == each
        rest, over = divmod(int(each), 2)
        when, draw_bin = divmod(rest, len(BINS))
        made: date | None = starts[when - 1] if when else None
        at = SPLIT_GAL + 1.0 if over else SPLIT_GAL
        rule = made and federal_minimum(HeaterClass.GAS_STORAGE, made, at, BINS[draw_bin])
        rule = rule or COMMON_PRACTICE_BEFORE
        value[here] = rule.base + rule.slope_per_gal * volume[here]
        is_uef[here] = rule.metric == "UEF"
    return value, is_uef


def fuel_ua_columns(rating: RatingColumns, input_btu_per_h: Floats) -> Floats:
    """Return the standby coefficient of every tank, counted in fuel.

    Parameters
    ----------
    rating
        The ratings.
    input_btu_per_h
        Rated input [Btu/h], shape (n,).

    Returns
    -------
    Fuel UA [Btu/(h·°F)], shape (n,); not a number where `wham.fuel_ua` refuses the row.

    References
    ----------
    Lutz et al., WHAM, ACEEE Summer Study 1998.
    """
    recovery = rating.recovery_efficiency
    load = rating.test_draw_gal * WATER_HEAT_BTU_PER_GAL_F
    load = load * (rating.test_setpoint_f - TEST_INLET_F)
    spare = HOURS_PER_DAY / load - 1.0 / (recovery * input_btu_per_h)
    usable = (rating.value < recovery) & (spare > 0)
    spare = np.where(usable, spare, np.nan)
    lost = 1.0 / rating.value - 1.0 / recovery
    return np.asarray(lost / ((rating.test_setpoint_f - TEST_AMBIENT_F) * spare))


def draw_columns(
    gallons_per_day: Floats, people: Floats, bedrooms: Floats, setpoint_f: Column, inlet_f: Column
) -> Floats:
    """Return the hot water that every household draws in a day.

    Parameters
    ----------
    gallons_per_day, people, bedrooms
        As given; not a number where not, shape (n,).
    setpoint_f, inlet_f
        Temperatures of the tank and of the water that comes in [°F].

    Returns
    -------
    Draw [gal/day], shape (n,), as `mains.daily_draw_gal` gives it for each.

    References
    ----------
    ANSI/RESNET/ICC 301-2014 Addendum A-2015, section 4.2.2.5.1.4; EIA RECS 2015.
    """
    rooms = np.where(np.isnan(people), bedrooms, np.maximum(-1.47 + 1.69 * people, 0.0))
    distinct, place = np.unique(rooms, return_inverse=True)
    mixed = np.array([mixed_draw_gal(each) for each in distinct.tolist()])[place]
    appliances = np.array([appliance_draw_gal(each) for each in distinct.tolist()])[place]
    hot = 1.0 - (setpoint_f - FIXTURE_TEMPERATURE_F) / (setpoint_f - inlet_f)
    by_rooms = mixed * np.minimum(hot, 1.0) + appliances
    assumed = np.where(np.isnan(rooms), ASSUMED_DRAW_GAL, by_rooms)
    return np.where(np.isnan(gallons_per_day), assumed, gallons_per_day)


def storage_btu_per_day_columns(
    ua: Floats,
    recovery_efficiency: Column,
    input_btu_per_h: Column,
    load_btu_per_day: Floats,
    standby_f: Column,
) -> Floats:
    """Return the energy that every tank uses in a day, by WHAM.

    Parameters
    ----------
    ua
        Fuel UA [Btu/(h·°F)], shape (n,).
    recovery_efficiency, input_btu_per_h
        Recovery efficiency [1] and input [Btu/h].
    load_btu_per_day
        Heat that the hot water takes up [Btu/day], shape (n,).
    standby_f
        Tank above the room [°F], 0 or more.

    Returns
    -------
    Energy [Btu/day], shape (n,).

    Notes
    -----
    As `wham.storage_btu_per_day`.

    References
    ----------
    Lutz et al., WHAM, ACEEE Summer Study 1998.
    """
    standby = ua * standby_f
    recovery = load_btu_per_day / recovery_efficiency * (1.0 - standby / input_btu_per_h)
    return np.asarray(recovery + HOURS_PER_DAY * standby)
