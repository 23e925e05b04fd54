"""Energy of a water heater from its rating: the tank equation WHAM, and load over rating.

The standing pilot is inside EF and UEF and is never added again.

References
----------
Lutz, Whitehead, Lekov, Winiarski and Rosenquist, WHAM: A Simplified Energy Consumption
Equation for Water Heaters, ACEEE Summer Study 1998.
"""

from __future__ import annotations

from estimator.efficiency import Rating
from estimator.errors import InputTrouble
from estimator.heater import DrawBin
from estimator.recovery import check_recovery
from estimator.units import HOURS_PER_DAY, WATER_HEAT_BTU_PER_GAL_F

TEST_INLET_F = 58.0
TEST_AMBIENT_F = 67.5
EF_TEST_SETPOINT_F = 135.0
EF_TEST_DRAW_GAL = 64.3
UEF_TEST_SETPOINT_F = 125.0
UEF_TEST_DRAW_GAL: dict[DrawBin, float] = {
    DrawBin.VERY_SMALL: 10.0,
    DrawBin.LOW: 38.0,
    DrawBin.MEDIUM: 55.0,
    DrawBin.HIGH: 84.0,
}


def rating_test_conditions(rating: Rating) -> tuple[float, float]:
    """Return the draw and set point of the test behind a rating.

    Parameters
    ----------
    rating
        An EF, or a UEF with its draw bin.

    Returns
    -------
    Draw [gal/day] and set point [°F].

    Raises
    ------
    InputTrouble
        If a UEF comes without its draw bin.

    References
    ----------
    10 CFR 430 subpart B appendix E, and as it stood before 2014 for EF.
    """
    if rating.metric == "EF":
        return EF_TEST_DRAW_GAL, EF_TEST_SETPOINT_F
    if rating.draw_bin is None:
        raise InputTrouble(
            f"UEF {rating.value:g} has no draw bin",
            mend="Give the draw bin of the label: very_small, low, medium or high.",
        )
    return UEF_TEST_DRAW_GAL[rating.draw_bin], UEF_TEST_SETPOINT_F


def load_btu_per_day(gallons_per_day: float, setpoint_f: float, inlet_f: float) -> float:
    """Return the heat that a day's hot water takes up.

    Parameters
    ----------
    gallons_per_day
        Draw [gal/day].
    setpoint_f, inlet_f
        Temperatures of the hot water and of the water that comes in [°F].

    Returns
    -------
    Load [Btu/day].

    References
    ----------
    LBNL water heater analysis model documentation.
    """
    return gallons_per_day * WATER_HEAT_BTU_PER_GAL_F * (setpoint_f - inlet_f)


def fuel_ua(rating: Rating, input_btu_per_h: float) -> float:
    """Return the standby coefficient of a tank, counted in fuel.

    Parameters
    ----------
    rating
        EF or UEF with its recovery efficiency.
    input_btu_per_h
        Rated input [Btu/h].

    Returns
    -------
    Fuel UA [Btu/(h·°F)]: fuel burned for standby per degree between tank and room. It is
    not the heat loss of the tank.

    Raises
    ------
    InputTrouble
        If the rating is not below the recovery efficiency, or the input cannot make the
        test's draw in a day.

    References
    ----------
    Lutz et al., WHAM, ACEEE Summer Study 1998.
    """
    recovery = rating.recovery_efficiency
    check_recovery(rating.value, rating.metric, recovery)
    draw, setpoint = rating_test_conditions(rating)
    drawn = load_btu_per_day(draw, setpoint, TEST_INLET_F)
    spare = HOURS_PER_DAY / drawn - 1.0 / (recovery * input_btu_per_h)
    if spare <= 0:
        raise InputTrouble(
            f"Input of {input_btu_per_h:g} Btu/h cannot heat the {draw:g} gal/day of the "
            "rating test",
            mend="Read the input and the draw bin again.",
        )
    return (1.0 / rating.value - 1.0 / recovery) / ((setpoint - TEST_AMBIENT_F) * spare)


def storage_btu_per_day(
    ua: float,
    recovery_efficiency: float,
    input_btu_per_h: float,
    gallons_per_day: float,
    *,
    setpoint_f: float = UEF_TEST_SETPOINT_F,
    inlet_f: float = TEST_INLET_F,
    ambient_f: float = TEST_AMBIENT_F,
) -> float:
    """Return the energy that a tank uses in a day, by WHAM.

    Parameters
    ----------
    ua
        Fuel UA [Btu/(h·°F)].
    recovery_efficiency
        Recovery efficiency [1].
    input_btu_per_h
        Rated input [Btu/h].
    gallons_per_day
        Draw [gal/day].
    setpoint_f, inlet_f, ambient_f
        Temperatures of the tank, of the water that comes in, and of the room [°F].

    Returns
    -------
    Energy [Btu/day], pilot in.

    Notes
    -----
    A daily average: recovery time must fit into the day. A room as warm as the tank or
    warmer costs no standby; the equation is not carried to a negative one.

    References
    ----------
    Lutz et al., WHAM, ACEEE Summer Study 1998.
    """
    standby = ua * max(setpoint_f - ambient_f, 0.0)
    load = load_btu_per_day(gallons_per_day, setpoint_f, inlet_f)
    recovery = load / recovery_efficiency * (1.0 - standby / input_btu_per_h)
    return recovery + HOURS_PER_DAY * standby


def energy_over_rating(load_btu_per_day: float, rating: float) -> float:
    """Return the energy of a heater whose rating is taken to hold as it is used.

    Parameters
    ----------
    load_btu_per_day
        Heat that the hot water takes up [Btu/day].
    rating
        UEF [1].

    Returns
    -------
    Energy [Btu/day].

    Notes
    -----
    Holds near the draw, temperatures and room of the rating test.

    References
    ----------
    FEMP, Purchasing Energy-Efficient Residential Water Heaters, 2022.
    """
    return load_btu_per_day / rating
