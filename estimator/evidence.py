"""Readings against the named finding: supported, open, or contradicted.

The rules are a table in `evidence_rules`: a reading, what it says, and its word on the
findings. All of it is common practice, no source.
"""

from __future__ import annotations

from datetime import date
from enum import StrEnum

from pydantic import BaseModel, ConfigDict

from estimator.evidence_plate import plate_rules_out
from estimator.evidence_rules import RULES, Rule
from estimator.findings import FINDINGS, Finding, Readings
from estimator.heater import RatingPlate
from estimator.likelihood_next import next_reading
from estimator.reading_words import Seen, reading_shown, words_of


class Support(StrEnum):
    """How the readings stand to a finding."""

    SUPPORTED = "supported"
    OPEN = "open"
    CONTRADICTED = "contradicted"


class Grade(BaseModel):
    """How the readings stand to the named finding, with each reading's word on it.

    `settle_next` names the reading, of those that decide, that tells most of the finding
    for the time it takes, where one is left.
    """

    model_config = ConfigDict(frozen=True, extra="forbid")

    support: Support
    supporting: tuple[str, ...] = ()
    contradicting: tuple[str, ...] = ()
    settle_next: str | None = None


def grade(
    finding: Finding,
    plate: RatingPlate,
    readings: Readings,
    setpoint_f: float | None = None,
    on: date | None = None,
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
    on
        The day of the visit, for the age; it bears only on what is read next.

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
        *plate_rules_out(finding, plate),
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
        settle_next=(
            _settle_next(finding, plate, readings, setpoint_f, on)
            if support is Support.OPEN
            else None
        ),
    )


def grade_all(
    plate: RatingPlate,
    readings: Readings,
    setpoint_f: float | None = None,
    on: date | None = None,
) -> dict[Finding, Grade]:
    """Grade every finding, for a table of them beside the named one.

    Parameters
    ----------
    plate, readings, setpoint_f, on
        As for `grade`.

    Returns
    -------
    Finding → grade, in the order of the findings.
    """
    return {finding: grade(finding, plate, readings, setpoint_f, on) for finding in FINDINGS}


def _said(rule: Rule, readings: Readings) -> str:
    return rule.sentence.format(value=reading_shown(rule.reading, readings)) + "."


def _settle_next(
    finding: Finding,
    plate: RatingPlate,
    readings: Readings,
    setpoint_f: float | None,
    on: date | None,
) -> str | None:
    can_settle = {rule.reading for rule in RULES if finding in rule.supports | rule.contradicts}
    best = next_reading(plate, readings, setpoint_f, on, finding=finding, among=can_settle)
    return best.reading if best else None
