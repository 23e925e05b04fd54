"""Readings against the named finding: supported, open, or contradicted.

The rules are a table in `evidence_rules`: a reading, what it says, and its word on the
findings. All of it is common practice, no source.
"""

from __future__ import annotations

from enum import StrEnum
from math import isinf

from pydantic import BaseModel, ConfigDict

from estimator.evidence_rules import IGNITIONS, NOT_POWER_VENTED, RULES, SEALED_ONLY, Rule
from estimator.findings import FINDINGS, Finding, Readings
from estimator.heater import Chamber, RatingPlate, Venting
from estimator.reading_words import WORDS, Seen, words_of

__all__ = [
    "IGNITIONS",
    "NOT_POWER_VENTED",
    "RULES",
    "SEALED_ONLY",
    "Grade",
    "Rule",
    "Support",
    "grade",
    "grade_all",
    "reading_shown",
]


class Support(StrEnum):
    """How the readings stand to a finding."""

    SUPPORTED = "supported"
    OPEN = "open"
    CONTRADICTED = "contradicted"


class Grade(BaseModel):
    """How the readings stand to the named finding, with each reading's word on it.

    `settle_next` names the reading that would settle it soonest, where one would.
    """

    model_config = ConfigDict(frozen=True, extra="forbid")

    support: Support
    supporting: tuple[str, ...] = ()
    contradicting: tuple[str, ...] = ()
    settle_next: str | None = None


UNITS = {
    "in_wc": "in wc",
    "millivolts": "mV",
    "ohms": "ohm",
    "microamp": "microamp",
    "outlet_f": "°F",
}


def grade(
    finding: Finding,
    plate: RatingPlate,
    readings: Readings,
    setpoint_f: float | None = None,
) -> Grade:
    """Say how the readings and the plate stand to the named finding.

    Parameters
    ----------
    finding
        What the technician named.
    plate
        The rating plate: fuel, ignition, chamber and venting.
    readings
        What was measured and seen; what was not looked at says nothing.
    setpoint_f
        Set point [°F], for the outlet temperature to be held against.

    Returns
    -------
    The grade. One contradiction is enough for "contradicted"; "supported" takes a
    reading that decides for the finding; else it is open.

    Notes
    -----
    Common practice, no source. A grade never says that a finding is true: it says
    whether the readings bear it out.
    """
    words = words_of(Seen(plate, readings, setpoint_f))
    told = [rule for rule in RULES if words.get(rule.reading) == rule.says]
    deciding = [rule for rule in told if finding in rule.supports]
    fitting = [rule for rule in told if finding in rule.fits]
    against = [
        *_plate_contradicts(finding, plate),
        *(_said(rule, readings) for rule in told if finding in rule.contradicts),
    ]
    support = Support.OPEN
    if against:
        support = Support.CONTRADICTED
    elif deciding:
        support = Support.SUPPORTED
    return Grade(
        support=support,
        supporting=tuple(_said(rule, readings) for rule in deciding + fitting),
        contradicting=tuple(against),
        settle_next=_settle_next(finding, words) if support is Support.OPEN else None,
    )


def grade_all(
    plate: RatingPlate, readings: Readings, setpoint_f: float | None = None
) -> dict[Finding, Grade]:
    """Grade every finding, for a table of them beside the named one.

    Parameters
    ----------
    plate, readings, setpoint_f
        As for `grade`.

    Returns
    -------
    Finding → grade, in the order of the findings.
    """
    return {finding: grade(finding, plate, readings, setpoint_f) for finding in FINDINGS}


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


def _said(rule: Rule, readings: Readings) -> str:
    return rule.sentence.format(value=reading_shown(rule.reading, readings)) + "."


def _plate_contradicts(finding: Finding, plate: RatingPlate) -> list[str]:
    said = []
    ignitions = IGNITIONS.get(finding)
    name = FINDINGS[finding].name
    if ignitions is not None and plate.ignition not in ignitions:
        kind = plate.ignition.value.replace("_", " ")
        said.append(f'By its plate the heater has {kind} ignition; "{name}" cannot be found on it.')
    if finding in SEALED_ONLY and plate.chamber is not Chamber.SEALED:
        said.append(f'By its plate the chamber is open; "{name}" is of a sealed one.')
    if finding in NOT_POWER_VENTED and plate.venting is Venting.POWER_VENT:
        said.append(f'By its plate the heater is power vented; "{name}" is of a natural draft.')
    return said


def _settle_next(finding: Finding, words: dict[str, str]) -> str | None:
    can_settle = {rule.reading for rule in RULES if finding in rule.supports | rule.contradicts}
    return next(
        (reading for reading in WORDS if reading in can_settle and reading not in words), None
    )
