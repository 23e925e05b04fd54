"""What each reading says, in one word: low, good, high, open, closed, yes, no.

All thresholds live here, as data by fuel, output class or control. None of them has a
published source: they are common practice, and the rating plate and the maker's
instructions come before them.
"""

from __future__ import annotations

from collections.abc import Callable
from math import isinf
from typing import NamedTuple

from estimator.findings import Readings
from estimator.heater import Fuel, Ignition, RatingPlate


class PressureWindow(NamedTuple):
    """Usual pressure from `low` to `high`, and the highest that plates give [in wc]."""

    low: float
    high: float
    plate_high: float


class DropOut(NamedTuple):
    """Lowest and highest voltage at which the controls of a class let go [mV]."""

    least: float
    most: float


class OutputClass(NamedTuple):
    """Millivolts that a class of sensing element gives [mV].

    `open_good` at least, open circuit, in a good flame after about a minute;
    `loaded_good` at least under load; `open_most` is more than the class can give;
    `drop_out` is where sound magnets let go: controls differ, so below its least every
    control's magnet is sound, above its most none is, and in between only the maker's
    figure for the control tells. ``None`` where no usual figure is known.
    """

    name: str
    open_good: float
    loaded_good: float
    open_most: float
    drop_out: DropOut | None

    @property
    def drop_out_most(self) -> float | None:
        """Highest voltage at which a sound magnet of any control lets go [mV]."""
        return self.drop_out.most if self.drop_out else None


INLET: dict[Fuel, PressureWindow] = {
    Fuel.NATURAL_GAS: PressureWindow(5.0, 8.0, 10.5),
    Fuel.PROPANE: PressureWindow(10.0, 13.0, 14.0),
}
MANIFOLD: dict[Fuel, tuple[float, float]] = {
    Fuel.NATURAL_GAS: (3.5, 4.0),
    Fuel.PROPANE: (10.0, 10.5),
}
MANIFOLD_TOLERANCE = 0.10

THIRTY_MILLIVOLT = OutputClass("30 mV", 20.0, 10.0, 45.0, DropOut(2.0, 7.0))
# Under a matched load a source gives half of its open voltage, hence 175 from 350 mV.
SEVEN_FIFTY_MILLIVOLT = OutputClass("750 mV", 350.0, 175.0, 1000.0, None)
OUTPUT_CLASS: dict[Ignition, OutputClass] = {
    Ignition.PILOT_THERMOCOUPLE: THIRTY_MILLIVOLT,
    Ignition.PILOT_THERMOPILE: SEVEN_FIFTY_MILLIVOLT,
}

CLOSED_OHMS = 1.0
OPEN_OHMS = 1000.0
FLAME_CURRENT_GOOD_MICROAMP = 1.0
# Less than a meter can tell from nothing: there is no flame, or no path through it.
FLAME_CURRENT_NONE_MICROAMP = 0.1
OUTLET_TOLERANCE_F = 10.0


class Seen(NamedTuple):
    """What a word is read from; `setpoint_f` [°F] where the household gave it."""

    plate: RatingPlate
    readings: Readings
    setpoint_f: float | None = None


def _against(value: float | None, low: float, high: float) -> str | None:
    if value is None:
        return None
    return "low" if value < low else "high" if value > high else "good"


def _inlet(value: float | None, fuel: Fuel) -> str | None:
    window = INLET[fuel]
    return _against(value, window.low, window.plate_high)


def _inlet_standing(seen: Seen) -> str | None:
    return _inlet(seen.readings.inlet_standing_in_wc, seen.plate.fuel)


def _inlet_flowing(seen: Seen) -> str | None:
    return _inlet(seen.readings.inlet_flowing_in_wc, seen.plate.fuel)


def _manifold(seen: Seen) -> str | None:
    low, high = MANIFOLD[seen.plate.fuel]
    slack = MANIFOLD_TOLERANCE
    return _against(seen.readings.manifold_in_wc, low * (1 - slack), high * (1 + slack))


def _flame(seen: Seen) -> str | None:
    return seen.readings.flame


def _spark(seen: Seen) -> str | None:
    return seen.readings.spark


def _yes_no(name: str) -> Callable[[Seen], str | None]:
    def word(seen: Seen) -> str | None:
        value = getattr(seen.readings, name)
        return None if value is None else "yes" if value else "no"

    return word


def _hold(seen: Seen) -> str | None:
    pressed, drops = seen.readings.holds_while_pressed, seen.readings.drops_when_released
    if pressed is False:
        return "never"
    if drops is False:
        return "holds"
    return "drops" if drops else None


def _millivolts_open(seen: Seen) -> str | None:
    output, value = OUTPUT_CLASS.get(seen.plate.ignition), seen.readings.millivolts_open
    if output is None or value is None or value < 0 or value > output.open_most:
        return None
    if value >= output.open_good:
        return "good"
    if seen.readings.flame == "good":
        return "low in a good flame"
    return "low" if seen.readings.flame is None else "low in a poor flame"


def _millivolts_loaded(seen: Seen) -> str | None:
    output, value = OUTPUT_CLASS.get(seen.plate.ignition), seen.readings.millivolts_loaded
    if output is None or value is None or value < 0 or value > output.open_most:
        return None
    if value >= output.loaded_good:
        return "good"
    return "low, open good" if _millivolts_open(seen) == "good" else "low"


def _drop_out(seen: Seen) -> str | None:
    value, span = seen.readings.millivolts_at_drop_out, drop_out_of(seen.plate)
    if span is None or value is None or value < 0:
        return None
    if value > span.most:
        return "high"
    return "good" if value <= span.least else "between"


def _circuit(name: str) -> Callable[[Seen], str | None]:
    def word(seen: Seen) -> str | None:
        ohms = getattr(seen.readings, name)
        if ohms is None:
            return None
        return "open" if ohms >= OPEN_OHMS else "closed" if ohms <= CLOSED_OHMS else "between"

    return word


def _igniter(seen: Seen) -> str | None:
    ohms = seen.readings.igniter_ohms
    if ohms is None or seen.plate.ignition is not Ignition.HOT_SURFACE:
        return None
    return "open" if ohms >= OPEN_OHMS else "closed"


def _flame_current(seen: Seen) -> str | None:
    value = seen.readings.flame_current_microamp
    if value is None:
        return None
    if value < FLAME_CURRENT_NONE_MICROAMP:
        return "none"
    return "good" if value >= FLAME_CURRENT_GOOD_MICROAMP else "low"


def _outlet(seen: Seen) -> str | None:
    value, set_f = seen.readings.outlet_f, seen.setpoint_f
    if set_f is None:
        return None
    slack = OUTLET_TOLERANCE_F
    return _against(value, set_f - slack, set_f + slack)


WORDS: dict[str, Callable[[Seen], str | None]] = {
    "flame": _flame,
    "hold": _hold,
    "joint_tight": _yes_no("joint_tight"),
    "element_seated": _yes_no("element_seated"),
    "element_clean": _yes_no("element_clean"),
    "millivolts_open": _millivolts_open,
    "millivolts_loaded": _millivolts_loaded,
    "limit_ohms": _circuit("limit_ohms"),
    "fuse_ohms": _circuit("fuse_ohms"),
    "millivolts_at_drop_out": _drop_out,
    "gas_at_pilot": _yes_no("gas_at_pilot"),
    "spark": _spark,
    "windy_or_downdraft": _yes_no("windy_or_downdraft"),
    "arrestor_clean": _yes_no("arrestor_clean"),
    "inlet_standing_in_wc": _inlet_standing,
    "inlet_flowing_in_wc": _inlet_flowing,
    "manifold_in_wc": _manifold,
    "door_seal_sound": _yes_no("door_seal_sound"),
    "vapor_sensor_in_range": _yes_no("vapor_sensor_in_range"),
    "igniter_ohms": _igniter,
    "flame_current_microamp": _flame_current,
    "outlet_f": _outlet,
}
"""Reading → how its word is found; in the order of how soon each is taken at the heater."""


def words_of(seen: Seen) -> dict[str, str]:
    """Return what each reading that was taken says.

    Parameters
    ----------
    seen
        The plate, the readings, and the set point where known.

    Returns
    -------
    Reading → its word; readings not taken, or not meaningful on this heater, are absent.
    """
    found = ((reading, word(seen)) for reading, word in WORDS.items())
    return {reading: word for reading, word in found if word is not None}


def drop_out_of(plate: RatingPlate) -> DropOut | None:
    """Return where a sound magnet of this heater's control lets go [mV].

    Parameters
    ----------
    plate
        The rating plate, with the maker's figure for its control where somebody has it.

    Returns
    -------
    Least and most; the two are one where the maker's figure is known, and there is
    nothing where the heater has no standing pilot or no figure is usual.
    """
    output = OUTPUT_CLASS.get(plate.ignition)
    if output is None:
        return None
    figure = plate.drop_out_most_millivolts
    return output.drop_out if figure is None else DropOut(figure, figure)


UNITS = {
    "in_wc": "in wc",
    "millivolts": "mV",
    "ohms": "ohm",
    "microamp": "microamp",
    "outlet_f": "°F",
}


def reading_shown(reading: str, readings: Readings) -> str:
    """Return a reading with its unit as a person writes it.

    Parameters
    ----------
    reading
        Name of the reading.
    readings
        All readings.

    Returns
    -------
    Text such as ``13 mV``, or nothing for a reading that is not a number.
    """
    value = getattr(readings, reading, None)
    if value is None or isinstance(value, bool | str):
        return ""
    unit = next((unit for key, unit in UNITS.items() if key in reading), "")
    return "no end of ohms" if isinf(value) else f"{value:g} {unit}"
