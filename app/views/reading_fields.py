"""The readings as questions: in the order in which they are taken, each with its limit."""

from __future__ import annotations

from dataclasses import replace
from math import isinf
from typing import TYPE_CHECKING, Final

from app.views.fields import Choice, Field, Tone
from estimator.evidence import RULES
from estimator.heater import Fuel, Ignition
from estimator.reading_words import (
    CLOSED_OHMS,
    FLAME_CURRENT_GOOD_MICROAMP,
    INLET,
    MANIFOLD,
    MANIFOLD_TOLERANCE,
    OPEN_OHMS,
    OUTLET_TOLERANCE_F,
    OUTPUT_CLASS,
)

if TYPE_CHECKING:
    from collections.abc import Callable

    from estimator.findings import Finding, Readings
    from estimator.heater import RatingPlate

FLAMES: Final = (
    Choice("good", "Good"),
    Choice("small", "Small"),
    Choice("off_element", "Off the element"),
    Choice("lifting", "Lifting"),
    Choice("none", "None"),
)
SPARKS: Final = (
    Choice("good", "Good"),
    Choice("weak", "Weak"),
    Choice("elsewhere", "Elsewhere"),
    Choice("none", "None"),
)
CLOSED, OPEN = 0, "open"
OPEN_TYPED: Final = 9999.0
CIRCUIT: Final = (Choice(CLOSED, "Closed, near 0 Ω"), Choice(OPEN, "Open"))

READINGS: Final = (
    Field("readings.inlet_standing_in_wc", "Inlet, standing", unit="in wc"),
    Field("readings.inlet_flowing_in_wc", "Inlet, burner on", unit="in wc"),
    Field("readings.manifold_in_wc", "Manifold", unit="in wc"),
    Field("readings.gas_at_pilot", "Gas at the pilot", "yes_no"),
    Field("readings.spark", "Spark", "choice", choices=SPARKS),
    Field("readings.flame", "Pilot flame", "choice", choices=FLAMES),
    Field("readings.element_seated", "Element sits in the flame", "yes_no"),
    Field("readings.element_clean", "Element clean", "yes_no"),
    Field("readings.holds_while_pressed", "Lit while the knob is held", "yes_no"),
    Field("readings.drops_when_released", "Drops when let go", "yes_no"),
    Field("readings.joint_tight", "Joint at the control tight", "yes_no"),
    Field("readings.millivolts_open", "Open circuit", unit="mV"),
    Field("readings.millivolts_loaded", "Under load", unit="mV"),
    Field("readings.millivolts_at_drop_out", "At drop-out", unit="mV"),
    Field("readings.limit_ohms", "Limit", "choice", choices=CIRCUIT),
    Field("readings.fuse_ohms", "Thermal fuse", "choice", choices=CIRCUIT),
    Field("readings.opened_cause", "What made it too hot", "long_text"),
    Field("readings.windy_or_downdraft", "Wind or downdraft at the vent", "yes_no"),
    Field("readings.arrestor_clean", "Flame arrestor clean", "yes_no"),
    Field("readings.door_seal_sound", "Burner door seals", "yes_no"),
    Field("readings.vapor_sensor_in_range", "Vapor sensor in range", "yes_no"),
    Field("readings.igniter_ohms", "Igniter", unit="Ω"),
    Field("readings.flame_current_microamp", "Flame current", unit="µA"),
    Field("readings.outlet_f", "Water at the tap", unit="°F"),
)

ELECTRONIC: Final = frozenset({Ignition.INTERMITTENT_PILOT, Ignition.HOT_SURFACE})
NOT_WITH: Final[dict[str, frozenset[Ignition]]] = {
    "millivolts_open": ELECTRONIC,
    "millivolts_loaded": ELECTRONIC,
    "millivolts_at_drop_out": ELECTRONIC | {Ignition.PILOT_THERMOPILE},
    "holds_while_pressed": ELECTRONIC,
    "drops_when_released": ELECTRONIC,
    "igniter_ohms": frozenset(Ignition) - {Ignition.HOT_SURFACE},
    "flame_current_microamp": frozenset(Ignition) - ELECTRONIC,
}
"""Readings that mean nothing with an ignition."""

FUEL_WORDS: Final = {Fuel.NATURAL_GAS: "natural gas", Fuel.PROPANE: "propane"}

GOOD: Final = frozenset({"good", "closed", "holds"})
NAMES_OF_WORDS: Final[dict[str, str]] = {
    "low in a good flame": "low in a good flame",
    "low in a poor flame": "low, mend the flame first",
    "low, open good": "low, though the open one is good",
}
# For these a "yes" is what one wants to see; for the others it is a finding.
YES_IS_GOOD: Final = frozenset(
    {
        "gas_at_pilot",
        "element_seated",
        "element_clean",
        "joint_tight",
        "arrestor_clean",
        "door_seal_sound",
        "vapor_sensor_in_range",
    }
)


def with_limit(field: Field, plate: RatingPlate | None) -> Field:
    """Put the limit of a reading for this fuel and ignition beside it.

    Parameters
    ----------
    field
        The reading.
    plate
        The rating plate; without it only limits that hold for every heater are shown.

    Returns
    -------
    The field with its hint.
    """
    limit = LIMITS.get(field.path.removeprefix("readings."))
    if limit is None or (plate is None and field.unit in ("in wc", "mV")):
        return field
    return replace(field, hint=limit(plate) if plate else limit(None))


def _inlet(plate: RatingPlate | None) -> str:
    assert plate is not None
    window = INLET[plate.fuel]
    return (
        f"{FUEL_WORDS[plate.fuel]}: {window.low:g} to {window.high:g}, "
        f"by some plates up to {window.plate_high:g}"
    )


def _manifold(plate: RatingPlate | None) -> str:
    assert plate is not None
    low, high = MANIFOLD[plate.fuel]
    slack = round(MANIFOLD_TOLERANCE * 100)
    return f"{FUEL_WORDS[plate.fuel]}: {low:g} to {high:g}, within {slack}% of the plate"


def _open_circuit(plate: RatingPlate | None) -> str:
    output = OUTPUT_CLASS.get(plate.ignition) if plate else None
    return f"{output.open_good:g} or more in a good flame, after a minute" if output else ""


def _loaded(plate: RatingPlate | None) -> str:
    output = OUTPUT_CLASS.get(plate.ignition) if plate else None
    return f"{output.loaded_good:g} or more" if output else ""


def _drop_out(plate: RatingPlate | None) -> str:
    output = OUTPUT_CLASS.get(plate.ignition) if plate else None
    return f"a sound magnet lets go at {output.drop_out_most:g} or less" if output else ""


LIMITS: Final[dict[str, Callable[[RatingPlate | None], str]]] = {
    "inlet_standing_in_wc": _inlet,
    "inlet_flowing_in_wc": _inlet,
    "manifold_in_wc": _manifold,
    "millivolts_open": _open_circuit,
    "millivolts_loaded": _loaded,
    "millivolts_at_drop_out": _drop_out,
    "limit_ohms": lambda _: "gas off, one lead off",
    "fuse_ohms": lambda _: "gas off, one lead off",
    "igniter_ohms": lambda _: f"open circuit: {OPEN_TYPED:g}",
    "flame_current_microamp": lambda _: f"{FLAME_CURRENT_GOOD_MICROAMP:g} or more",
    "outlet_f": lambda _: f"within {OUTLET_TOLERANCE_F:g} of the set point",
}


def with_word(field: Field, words: dict[str, str]) -> Field:
    """Say in a word what a reading that was taken says.

    Parameters
    ----------
    field
        The reading.
    words
        Reading → its word.

    Returns
    -------
    The field with its word and tone; nothing for one whose answer is its own word.
    """
    name = field.path.removeprefix("readings.")
    word = words.get(name)
    if word is None or field.value is None or field.problem:
        return field
    if field.kind in ("yes_no", "choice"):
        fine = (word == "yes") == (name in YES_IS_GOOD) if word in ("yes", "no") else word in GOOD
        tone: Tone = "good" if fine else "check"
        said = {"good": "as it should be", "check": "not as it should be"}[tone]
        return replace(field, word=said, tone=tone)
    tone = "good" if word in GOOD else "check"
    return replace(field, word=NAMES_OF_WORDS.get(word, word), tone=tone)


def name_of(reading: str) -> str:
    """Return how a reading is called on the page."""
    if reading == "hold":
        return "Lit while the knob is held"
    found = (each.label for each in READINGS if each.path == f"readings.{reading}")
    return next(found, reading)


def telling(finding: Finding | None) -> frozenset[str]:
    """Return the readings that can tell for or against a finding.

    Parameters
    ----------
    finding
        The finding, if one is named.

    Returns
    -------
    Names of readings.
    """
    if finding is None:
        return frozenset()
    told = {
        rule.reading for rule in RULES if finding in rule.supports | rule.contradicts | rule.fits
    }
    if "hold" in told:
        told |= {"holds_while_pressed", "drops_when_released"}
    if finding.value in ("limit_open", "thermal_fuse_open"):
        told.add("opened_cause")
    return frozenset(told)


def as_circuit(field: Field, readings: Readings) -> Field:
    """Show a resistance as open or closed, whatever stands for it in the draft.

    Parameters
    ----------
    field
        The field of a limit or a fuse; any other is given back as it is.
    readings
        The readings as the estimator reads them [Ω].

    Returns
    -------
    The field; a resistance that is neither is said beside it.
    """
    ohms = getattr(readings, field.path.removeprefix("readings."), None)
    if isinstance(ohms, float) and isinf(ohms) and not field.choices:
        return replace(field, value=OPEN_TYPED)
    if field.choices != CIRCUIT or ohms is None:
        return field
    if CLOSED_OHMS < ohms < OPEN_OHMS:
        return replace(field, value=None, hint=f"reads {ohms:g} Ω")
    return replace(field, value=OPEN if ohms >= OPEN_OHMS else CLOSED)


def makes_sense(field: Field, plate: RatingPlate | None) -> bool:
    """Say whether a reading means something with this ignition."""
    name = field.path.removeprefix("readings.")
    return plate is None or plate.ignition not in NOT_WITH.get(name, frozenset())
