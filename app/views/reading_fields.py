"""The readings as questions: in the order in which they are taken, each with its limit.

Labels, units, limits and words are the estimator's; here they become fields of a form.
"""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING, Final

from app.views.fields import Choice, Field, filled
from app.views.payload import IGNITER_OPEN, Payload, read, readings_of, setpoint_of
from estimator.evidence_rules import RULES
from estimator.findings import OPEN_CIRCUIT, Finding
from estimator.reading_guides import IN_ORDER, can_be_taken, fields_of, reading_guides
from estimator.reading_states import ReadingState, reading_state
from estimator.reading_words import CLOSED_OHMS, OPEN_OHMS

if TYPE_CHECKING:
    from app.views.fields import Kind
    from estimator.findings import Readings
    from estimator.heater import RatingPlate

CLOSED = 0
CIRCUIT: Final = (Choice(CLOSED, "Closed, near 0 Ω"), Choice(OPEN_CIRCUIT, "Open"))
SWITCHES: Final = frozenset({"limit_ohms", "fuse_ohms"})
"""What is either closed or open: asked as a choice, not as a number."""
KINDS: Final[dict[str, Kind]] = {
    "number": "number",
    "choice": "choice",
    "yes_no": "yes_no",
    "text": "long_text",
}
WORDLESS: Final = frozenset({ReadingState.NOT_TAKEN, ReadingState.NOTED})


def reading_fields(payload: Payload, plate: RatingPlate | None) -> tuple[Field, ...]:
    """Build the readings as questions, in the order in which they are taken.

    Parameters
    ----------
    payload
        The draft.
    plate
        The rating plate; without it every reading is asked, and none has a limit.

    Returns
    -------
    The readings that mean something on this heater, and those that were taken all the same.
    """
    limits = _limits(plate)
    asked = [
        field
        for field in every_reading()
        if _name(field) in limits or read(payload, field.path) is not None
    ]
    shown = filled(
        tuple(replace(field, hint=limits.get(_name(field), "")) for field in asked), payload
    )
    seen = readings_of(payload)
    told = (_told(field, plate, seen, setpoint_of(payload)) for field in shown)
    circuits = tuple(_as_circuit(field, seen) for field in told)
    return tuple(part for field in circuits for part in _with_open_tick(field, seen))


def every_reading() -> tuple[Field, ...]:
    """Return every reading as a field, in the order of taking them, without a limit."""
    return tuple(
        Field(
            f"readings.{asked.reading}",
            asked.label,
            "choice" if asked.reading in SWITCHES else KINDS[asked.kind],
            unit="" if asked.reading in SWITCHES else asked.unit,
            choices=CIRCUIT
            if asked.reading in SWITCHES
            else tuple(Choice(value, said) for value, said in (asked.choices or {}).items())
            if asked.kind == "choice"
            else (),
        )
        for asked in IN_ORDER
    )


def _limits(plate: RatingPlate | None) -> dict[str, str]:
    """Return the readings that can be taken, each with its limit."""
    if plate is None:
        return {asked.reading: "" for asked in IN_ORDER}
    return {guide.reading: guide.limit_text for guide in reading_guides(plate)}


def _name(field: Field) -> str:
    return field.path.removeprefix("readings.")


def _told(
    field: Field, plate: RatingPlate | None, seen: Readings, setpoint_f: float | None
) -> Field:
    """Say in a word, with its tone, how a reading stands to its limit."""
    name = _name(field)
    if plate is None or field.problem or getattr(seen, name) is None:
        return field
    state = (
        reading_state(name, plate, seen, setpoint_f)
        if can_be_taken(name, plate)
        else ReadingState.NOT_ON_THIS_HEATER
    )
    if state in WORDLESS:
        return field
    return replace(field, word=state.value, tone=state.tone)


def _as_circuit(field: Field, seen: Readings) -> Field:
    """Show a limit or a fuse as open or closed, whatever stands for it in the draft."""
    ohms = getattr(seen, _name(field))
    if _name(field) not in SWITCHES or ohms is None:
        return field
    if CLOSED_OHMS < ohms < OPEN_OHMS:
        return replace(field, value=None, hint=f"reads {ohms:g} Ω; {field.hint}")
    return replace(field, value=OPEN_CIRCUIT if ohms >= OPEN_OHMS else CLOSED)


def _with_open_tick(field: Field, seen: Readings) -> tuple[Field, ...]:
    """Put beside the igniter's resistance what a number pad cannot type: an open circuit."""
    if _name(field) != "igniter_ohms":
        return (field,)
    ohms = seen.igniter_ohms
    is_open = ohms is not None and ohms >= OPEN_OHMS
    tick = Field(IGNITER_OPEN, "Igniter reads open", "tick", value=is_open or None)
    return (replace(field, value=None if is_open else field.value), tick)


def telling(finding: Finding | None) -> frozenset[str]:
    """Return the readings that can tell for or against a finding.

    Parameters
    ----------
    finding
        The finding, if one is named.

    Returns
    -------
    Names of fields of `Readings`, and of the tick that goes with one.
    """
    if finding is None:
        return frozenset()
    told = {
        field
        for rule in RULES
        if finding in rule.supports | rule.contradicts | rule.fits
        for field in fields_of(rule.reading)
    }
    if finding in (Finding.LIMIT_OPEN, Finding.THERMAL_FUSE_OPEN):
        told.add("opened_cause")
    if "igniter_ohms" in told:
        told.add(IGNITER_OPEN.removeprefix("ui."))
    return frozenset(told)
