"""Whether a heater gives the hot water that a household draws in its busiest hour.

Tanks and heat pumps by first-hour rating against the hour's gallons; instantaneous heaters
by flow at the coldest water of the year.

References
----------
US DOE, sizing worksheet for storage water heaters, from memory; 10 CFR 430 subpart B
appendix E for the conditions of both ratings.
"""

from __future__ import annotations

from dataclasses import dataclass, fields

from estimator.errors import InputTrouble
from estimator.heater import Household
from estimator.mains import FIXTURE_TEMPERATURE_F, inlet_temperature_f, mains_temperature_f
from estimator.wham import TEST_INLET_F, UEF_TEST_SETPOINT_F

SHOWER_GAL = 20.0
SHAVE_GAL = 2.0
HAND_DISHWASHING_GAL = 3.0
DISHWASHER_GAL = 7.0
CLOTHES_WASHER_GAL = 7.0
"""Hot water of one use [gal]. US DOE sizing worksheet, from memory."""

SHOWER_GPM = 2.5
"""Most that a shower head may pass [gal/min], mixed water. 10 CFR 430.32(p), from memory."""

RATED_RISE_F = UEF_TEST_SETPOINT_F - TEST_INLET_F
"""Rise at which the flow of an instantaneous heater is rated [°F]. 10 CFR 430, appendix E."""

PEOPLE_ASSUMED = 3
"""People where nobody said how many; common practice, no source."""

MOST_USES = 40
"""Most of one use that is taken for an hour in a home."""


@dataclass(frozen=True)
class PeakHour:
    """What a household uses hot water for in its busiest hour: how often each.

    `showers_at_once` is how many of them run at the same time, for an instantaneous heater.
    `assumed` says that it was taken from the number of people.
    """

    showers: int = 0
    shaves: int = 0
    hand_dishwashings: int = 0
    dishwasher_loads: int = 0
    clothes_washer_loads: int = 0
    showers_at_once: int = 1
    assumed: bool = False

    def __post_init__(self) -> None:
        """Refuse a count that no home has."""
        for each in fields(self):
            count = getattr(self, each.name)
            if not 0 <= count <= MOST_USES:
                raise InputTrouble(
                    f"{each.name} is {count}; it must be from 0 to {MOST_USES}",
                    mend="Count the busiest hour again.",
                )


def peak_hour_of(household: Household) -> PeakHour:
    """Return the busiest hour of a household where nobody counted it.

    Parameters
    ----------
    household
        Who uses the hot water.

    Returns
    -------
    Everybody showers, somebody shaves, and dishes are done by hand once; two showers run
    at once from three people on.

    Notes
    -----
    A guess on the safe side: common practice, no source. By people, else by bedrooms with
    one person more than bedrooms, else three people. Ask the household where it matters.
    """
    people = household.people
    if people is None:
        people = PEOPLE_ASSUMED if household.bedrooms is None else household.bedrooms + 1
    return PeakHour(
        showers=people,
        shaves=1,
        hand_dishwashings=1,
        showers_at_once=2 if people >= 3 else 1,
        assumed=True,
    )


def peak_hour_gal(hour: PeakHour) -> float:
    """Return the hot water of a household's busiest hour.

    Parameters
    ----------
    hour
        What it is used for.

    Returns
    -------
    Hot water [gal], to be held against a first-hour rating.

    References
    ----------
    US DOE, sizing worksheet for storage water heaters, from memory.
    """
    return (
        hour.showers * SHOWER_GAL
        + hour.shaves * SHAVE_GAL
        + hour.hand_dishwashings * HAND_DISHWASHING_GAL
        + hour.dishwasher_loads * DISHWASHER_GAL
        + hour.clothes_washer_loads * CLOTHES_WASHER_GAL
    )


def peak_flow_gpm(hour: PeakHour, setpoint_f: float, inlet_f: float) -> float:
    """Return the hot water that the showers running at once draw.

    Parameters
    ----------
    hour
        With the showers at once.
    setpoint_f
        Temperature of the hot water [°F].
    inlet_f
        Temperature of the water that comes in [°F].

    Returns
    -------
    Flow of hot water [gal/min]: mixed at 105 °F, the rest is cold.

    Notes
    -----
    At the most that a shower head may pass; many pass less.

    References
    ----------
    10 CFR 430.32(p), from memory.
    """
    mixed = hour.showers_at_once * SHOWER_GPM
    hot_share = (FIXTURE_TEMPERATURE_F - inlet_f) / (setpoint_f - inlet_f)
    return mixed * min(max(hot_share, 0.0), 1.0)


def flow_at_rise_gpm(max_flow_gpm: float, rise_f: float) -> float:
    """Return the flow that an instantaneous heater warms by some degrees.

    Parameters
    ----------
    max_flow_gpm
        Flow of its rating, at a rise of 67 °F [gal/min].
    rise_f
        Set point less inlet temperature [°F], above 0.

    Returns
    -------
    Flow at full input [gal/min].

    Notes
    -----
    The heat that the burner gives is the same, so flow and rise go inversely. A heater has
    an upper limit of its own on flow at a small rise, which is not in it.

    References
    ----------
    10 CFR 430 subpart B appendix E, for the rise of the rating.
    """
    return max_flow_gpm * RATED_RISE_F / rise_f


def coldest_inlet_f(household: Household) -> float:
    """Return the temperature of the water that comes in on the coldest day of the year.

    Parameters
    ----------
    household
        With the air's mean and swing, or the inlet temperature itself, or neither.

    Returns
    -------
    Temperature [°F]: the least of the mains over the year from the air; where only a number
    is known, or nothing, that of `inlet_temperature_f`.

    References
    ----------
    Burch and Christensen, Towards Development of an Algorithm for Mains Water Temperature.
    """
    mean, swing = household.air_mean_f, household.air_swing_f
    if household.inlet_f is not None or mean is None or swing is None:
        return inlet_temperature_f(household)
    return min(mains_temperature_f(day, mean, swing) for day in range(1, 366))


@dataclass(frozen=True)
class HotWater:
    """Hot water that a heater gives against what the household needs.

    First-hour rating against the busiest hour [gal], or flow against flow [gal/min], by
    `unit`. `share` [1] is what it gives over what is needed; ``None`` where the heater's
    rating is not known.
    """

    unit: str
    gives: float | None
    needed: float

    @property
    def share(self) -> float | None:
        """What it gives over what is needed [1]; ``None`` where its rating is not known."""
        if self.gives is None:
            return None
        return self.gives / self.needed if self.needed > 0 else float("inf")

    @property
    def enough(self) -> bool | None:
        """Whether it gives what is needed; ``None`` where its rating is not known."""
        return None if self.gives is None else self.gives >= self.needed


def hot_water(
    household: Household,
    hour: PeakHour,
    first_hour_rating_gal: float | None,
    max_flow_gpm: float | None,
    *,
    instantaneous: bool,
) -> HotWater:
    """Hold what a heater gives against what the household needs.

    Parameters
    ----------
    household
        For the set point and the water that comes in.
    hour
        Its busiest hour.
    first_hour_rating_gal
        First-hour rating of a tank or heat pump [gal], where known.
    max_flow_gpm
        Flow of an instantaneous heater's rating [gal/min], where known.
    instantaneous
        Whether it heats the water as it flows.

    Returns
    -------
    What it gives and what is needed.

    Notes
    -----
    The rating is taken as it stands: a set point or an inlet far from those of the test gives
    more or less from a tank. Flow is held against showers alone.

    References
    ----------
    US DOE, sizing worksheet for storage water heaters, from memory; 10 CFR 430 subpart B
    appendix E.
    """
    if not instantaneous:
        return HotWater(unit="gal", gives=first_hour_rating_gal, needed=peak_hour_gal(hour))
    inlet = coldest_inlet_f(household)
    needed = peak_flow_gpm(hour, household.setpoint_f, inlet)
    gives = None
    if max_flow_gpm is not None:
        gives = flow_at_rise_gpm(max_flow_gpm, max(household.setpoint_f - inlet, 1.0))
    return HotWater(unit="gal/min", gives=gives, needed=needed)
