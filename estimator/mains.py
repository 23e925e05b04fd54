"""How much hot water a household draws, and how cold the water comes in."""

from __future__ import annotations

import math

from estimator.cautions import Caution
from estimator.errors import InputTrouble
from estimator.heater import Household

ASSUMED_DRAW_GAL = 55.0
ASSUMED_INLET_F = 58.0
FIXTURE_TEMPERATURE_F = 105.0
FREEZING_F = 32.0

_APPENDIX_E = "10 CFR 430 subpart B appendix E"
_RESNET = "ANSI/RESNET/ICC 301-2014 Addendum A-2015, section 4.2.2.5.1.4"
_RECS = "EIA Residential Energy Consumption Survey 2015, as used by building-energy simulation"
_BURCH = "Burch and Christensen, Towards Development of an Algorithm for Mains Water Temperature"


def mains_temperature_f(day: float, air_mean_f: float, air_swing_f: float) -> float:
    """Return the temperature of mains water on a day of the year.

    Parameters
    ----------
    day
        Day of the year, 1 to 365 [day].
    air_mean_f
        Yearly mean temperature of outdoor air [°F].
    air_swing_f
        Highest less lowest monthly mean temperature of outdoor air [°F].

    Returns
    -------
    Temperature of the water [°F], not below freezing.

    Notes
    -----
    A sine over the year about 6 °F above the mean of the air, later than the air by a lag
    that shrinks as the place is warmer. Fitted to US cities; a private well follows the
    ground instead.

    References
    ----------
    Burch and Christensen, Towards Development of an Algorithm for Mains Water Temperature.
    """
    ratio = 0.4 + 0.01 * (air_mean_f - 44.0)
    lag = 35.0 - (air_mean_f - 44.0)
    angle = math.radians(0.986 * (day - 15.0 - lag) - 90.0)
    return max(air_mean_f + 6.0 + ratio * air_swing_f / 2.0 * math.sin(angle), FREEZING_F)


def inlet_temperature_f(household: Household) -> float:
    """Return the yearly mean temperature of the water that comes in.

    Parameters
    ----------
    household
        With the inlet temperature itself, or the mean and swing of outdoor air, or neither.

    Returns
    -------
    Temperature [°F]: as given, else the mean over 365 days of the mains temperature, else
    58 °F, which `household_cautions` flags.

    Raises
    ------
    InputTrouble
        If the water would come in no colder than the set point.

    References
    ----------
    Burch and Christensen; 10 CFR 430 subpart B appendix E for 58 °F.
    """
    if household.inlet_f is not None:
        return household.inlet_f
    mean, swing = household.air_mean_f, household.air_swing_f
    if mean is None or swing is None:
        return ASSUMED_INLET_F
    inlet = sum(mains_temperature_f(day, mean, swing) for day in range(1, 366)) / 365.0
    if inlet >= household.setpoint_f:
        raise InputTrouble(
            f"Mains water at {inlet:.1f} °F is not below the set point of "
            f"{household.setpoint_f:g} °F",
            mend="Correct the air temperature or the set point.",
        )
    return inlet


def daily_draw_gal(household: Household) -> float:
    """Return the hot water that a household draws in a day, at its set point.

    Parameters
    ----------
    household
        With gallons a day, or people, or bedrooms, or none of them.

    Returns
    -------
    Draw [gal/day]: as given, else by bedrooms or people, else 55 gal/day, which
    `household_cautions` flags.

    Notes
    -----
    By bedrooms it is the reference home of ANSI/RESNET/ICC 301: fixtures and waste in the
    pipes, mixed down to 105 °F, and a dishwasher and clothes washer. People are turned into
    the bedrooms of a detached house that holds as many, ``-1.47 + 1.69 people``. Averages of
    many homes; one home may draw half or twice as much.

    References
    ----------
    ANSI/RESNET/ICC 301-2014 Addendum A-2015, section 4.2.2.5.1.4; EIA RECS 2015.
    """
    if household.gallons_per_day is not None:
        return household.gallons_per_day
    bedrooms = _bedrooms(household)
    if bedrooms is None:
        return ASSUMED_DRAW_GAL
    mixed = mixed_draw_gal(bedrooms)
    setpoint, inlet = household.setpoint_f, inlet_temperature_f(household)
    hot_share = 1.0 - (setpoint - FIXTURE_TEMPERATURE_F) / (setpoint - inlet)
    # A tank colder than the tap asks for can give no more than all the water that is drawn.
    return mixed * min(hot_share, 1.0) + appliance_draw_gal(bedrooms)


def mixed_draw_gal(bedrooms: float) -> float:
    """Return the mixed water that fixtures draw and pipes waste in a day.

    Parameters
    ----------
    bedrooms
        Number of bedrooms, 0 or more.

    Returns
    -------
    Water at about 105 °F [gal/day].

    References
    ----------
    ANSI/RESNET/ICC 301-2014 Addendum A-2015, section 4.2.2.5.1.4.
    """
    return float(14.6 + 10.0 * bedrooms + 9.8 * bedrooms**0.43)


def appliance_draw_gal(bedrooms: float) -> float:
    """Return the hot water of the reference dishwasher and clothes washer in a day.

    Parameters
    ----------
    bedrooms
        Number of bedrooms, 0 or more.

    Returns
    -------
    Hot water [gal/day].

    References
    ----------
    ANSI/RESNET/ICC 301-2014 Addendum A-2015, section 4.2.2.5.1.4.
    """
    dishwasher = (88.4 + 34.9 * bedrooms) * 8.16 / 365.0
    cycles = 164.0 + 46.5 * bedrooms
    washer = 4.52 * cycles * (3.0 * 2.08 + 1.59) / (2.874 * 2.08 + 1.59) / 365.0
    return dishwasher + washer


def household_cautions(household: Household) -> tuple[Caution, ...]:
    """Say what about the household had to be assumed or estimated.

    Parameters
    ----------
    household
        Who uses the hot water.

    Returns
    -------
    Cautions on the draw and the inlet temperature, where they were not given.
    """
    found: list[Caution] = []
    if household.gallons_per_day is None:
        draw = daily_draw_gal(household)
        if household.people is not None:
            by, source = f"from {household.people} people", f"{_RESNET}; {_RECS}"
        elif household.bedrooms is not None:
            by, source = f"from {household.bedrooms} bedrooms", _RESNET
        else:
            by, source = "as in the medium draw of the rating test", _APPENDIX_E
        found.append(
            Caution(
                code="draw_assumed",
                message=f"Hot-water draw is taken as {draw:.0f} gal/day, {by}.",
                source=source,
                topic="assumed",
            )
        )
    if household.inlet_f is None:
        from_air = household.air_mean_f is not None
        by = "from the air temperature" if from_air else "as in the rating test"
        found.append(
            Caution(
                code="inlet_assumed",
                message=(
                    f"Water is taken to come in at {inlet_temperature_f(household):.1f} °F, {by}."
                ),
                source=_BURCH if from_air else _APPENDIX_E,
                topic="assumed",
            )
        )
    return tuple(found)


def _bedrooms(household: Household) -> float | None:
    if household.people is not None:
        return max(-1.47 + 1.69 * household.people, 0.0)
    return None if household.bedrooms is None else float(household.bedrooms)
