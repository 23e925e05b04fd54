"""The readings in the order in which they are taken, each with its limit for this heater.

A form can be built from the guides: label, unit, kind, choices, and the limit to show
beside the field. Limits are common practice, no source; the plate and the maker's
instructions come before them.
"""

from __future__ import annotations

from typing import Literal, NamedTuple

from pydantic import BaseModel, ConfigDict

from estimator.findings import OPEN_CIRCUIT
from estimator.heater import Chamber, Ignition, RatingPlate, Venting
from estimator.reading_limits import LIMITS
from estimator.reading_words import drop_out_of

Kind = Literal["number", "choice", "yes_no", "text"]


class ReadingChoice(BaseModel):
    """One answer to a reading: the value that is kept, and how it is called."""

    model_config = ConfigDict(frozen=True, extra="forbid")

    value: str
    label: str


class ReadingGuide(BaseModel):
    """How a reading is asked for on this heater.

    `reading` is its name among `Readings`. A "number" with `choices` takes a number or one
    of the choices (a resistance, or "open"). `limit_text` is shown beside the field.
    """

    model_config = ConfigDict(frozen=True, extra="forbid")

    reading: str
    label: str
    unit: str
    kind: Kind
    choices: tuple[ReadingChoice, ...]
    limit_text: str
    source: str


FLAMES = {
    "good": "Good, wraps the element",
    "small": "Small",
    "off_element": "Off the element",
    "lifting": "Lifting",
    "none": "None",
}
SPARKS = {
    "good": "Good",
    "weak": "Weak",
    "elsewhere": "Elsewhere than at the gap",
    "none": "None",
}
OPENS = {OPEN_CIRCUIT: "Open"}

STANDING = frozenset({Ignition.PILOT_THERMOCOUPLE, Ignition.PILOT_THERMOPILE})
ELECTRONIC = frozenset({Ignition.INTERMITTENT_PILOT, Ignition.HOT_SURFACE})
PILOT = STANDING | {Ignition.INTERMITTENT_PILOT}


class _Asked(NamedTuple):
    reading: str
    label: str
    kind: Kind
    unit: str = ""
    choices: dict[str, str] | None = None


IN_ORDER: tuple[_Asked, ...] = (
    _Asked("inlet_standing_in_wc", "Inlet pressure, standing", "number", "in wc"),
    _Asked("inlet_flowing_in_wc", "Inlet pressure, burner on", "number", "in wc"),
    _Asked("manifold_in_wc", "Manifold pressure", "number", "in wc"),
    _Asked("gas_at_pilot", "Gas at the pilot", "yes_no"),
    _Asked("flame", "Pilot flame", "choice", choices=FLAMES),
    _Asked("spark", "Spark", "choice", choices=SPARKS),
    _Asked("element_seated", "Element sits in the flame", "yes_no"),
    _Asked("element_clean", "Element clean", "yes_no"),
    _Asked("holds_while_pressed", "Lit while the knob is held", "yes_no"),
    _Asked("drops_when_released", "Drops when the knob is let go", "yes_no"),
    _Asked("millivolts_open", "Millivolts, open circuit", "number", "mV"),
    _Asked("millivolts_loaded", "Millivolts, under load", "number", "mV"),
    _Asked("millivolts_at_drop_out", "Millivolts, at drop-out", "number", "mV"),
    _Asked("limit_ohms", "Limit", "number", "Ω", OPENS),
    _Asked("fuse_ohms", "Thermal fuse", "number", "Ω", OPENS),
    _Asked("opened_cause", "What made it too hot", "text"),
    _Asked("joint_tight", "Joint at the control clean and tight", "yes_no"),
    _Asked("windy_or_downdraft", "Wind or downdraft at the vent", "yes_no"),
    _Asked("arrestor_clean", "Flame arrestor and screen clean", "yes_no"),
    _Asked("door_seal_sound", "Burner door seals", "yes_no"),
    _Asked("vapor_sensor_in_range", "Vapor sensor in range", "yes_no"),
    _Asked("igniter_ohms", "Igniter", "number", "Ω", OPENS),
    _Asked("flame_current_microamp", "Flame current", "number", "µA"),
    _Asked("outlet_f", "Water at the outlet", "number", "°F"),
)
"""Every reading, in the order in which they are taken at the heater."""

WITH_IGNITION: dict[str, frozenset[Ignition]] = {
    "flame": PILOT,
    "spark": PILOT,
    "gas_at_pilot": PILOT,
    "element_seated": STANDING,
    "element_clean": STANDING,
    "holds_while_pressed": STANDING,
    "drops_when_released": STANDING,
    "joint_tight": STANDING,
    "millivolts_open": STANDING,
    "millivolts_loaded": STANDING,
    "millivolts_at_drop_out": STANDING,
    "igniter_ohms": frozenset({Ignition.HOT_SURFACE}),
    "flame_current_microamp": ELECTRONIC,
}
"""Ignitions with which a reading can be taken; one not here goes with every one."""

SEALED_READINGS = frozenset({"arrestor_clean", "door_seal_sound", "vapor_sensor_in_range"})

FIELDS_OF: dict[str, tuple[str, ...]] = {"hold": ("holds_while_pressed", "drops_when_released")}
"""Fields of `Readings` that are read together as one reading."""


def fields_of(reading: str) -> tuple[str, ...]:
    """Return the fields of `Readings` that make up a reading.

    Parameters
    ----------
    reading
        Name of a reading, as the evidence rules call it.
    """
    return FIELDS_OF.get(reading, (reading,))


def can_be_taken(reading: str, plate: RatingPlate) -> bool:
    """Say whether a reading means something on this heater.

    Parameters
    ----------
    reading
        Name of a reading, or of a field of `Readings`.
    plate
        The rating plate: ignition, chamber and venting.
    """
    first = fields_of(reading)[0]
    if plate.ignition not in WITH_IGNITION.get(first, {plate.ignition}):
        return False
    if first in SEALED_READINGS and plate.chamber is not Chamber.SEALED:
        return False
    if first == "windy_or_downdraft" and plate.venting is Venting.POWER_VENT:
        return False
    return first != "millivolts_at_drop_out" or drop_out_of(plate) is not None


def label_of(reading: str) -> str:
    """Return how a reading is called.

    Parameters
    ----------
    reading
        Name of a reading, or of a field of `Readings`.
    """
    if reading == "hold":
        return "Pilot while the knob is held and let go"
    return next(asked.label for asked in IN_ORDER if asked.reading == reading)


def reading_guides(plate: RatingPlate) -> tuple[ReadingGuide, ...]:
    """Return the readings that mean something on this heater, in the order of taking them.

    Parameters
    ----------
    plate
        The rating plate: fuel, ignition, chamber and venting.

    Returns
    -------
    One guide for each.

    Notes
    -----
    The limits are common practice, no source, unless a guide says otherwise. The plate and
    the maker's instructions come first, and licensed people take the readings.
    """
    return tuple(_guide(asked, plate) for asked in IN_ORDER if can_be_taken(asked.reading, plate))


def _guide(asked: _Asked, plate: RatingPlate) -> ReadingGuide:
    text, source = LIMITS[asked.reading](plate)
    return ReadingGuide(
        reading=asked.reading,
        label=asked.label,
        unit=asked.unit,
        kind=asked.kind,
        choices=tuple(
            ReadingChoice(value=value, label=label)
            for value, label in (asked.choices or {}).items()
        ),
        limit_text=text,
        source=source,
    )
