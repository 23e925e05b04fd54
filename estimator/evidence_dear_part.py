"""A dear part named while a cheap cause is open: what to look at first, and why."""

from __future__ import annotations

from datetime import date

from estimator.cautions import Caution
from estimator.evidence import Support, grade
from estimator.findings import FINDINGS, REMEDIES, Finding, Readings, Remedy
from estimator.heater import RatingPlate
from estimator.likelihood import rank_findings
from estimator.likelihood_next import next_reading
from estimator.reading_guides import STANDING, fields_of, label_of
from estimator.supply import PartFamily

CONTRADICTED = Support.CONTRADICTED
COMMON_PRACTICE = "common practice, no source"

CHEAP_CAUSES: dict[Finding, dict[str, str]] = {
    Finding.CONTROL_MAGNET: {
        "flame": "the pilot flame judged",
        "joint_tight": "the joint at the control checked",
        "millivolts_loaded": "the millivolts measured under load",
        "limit_ohms": "the limit measured where there is one",
        "fuse_ohms": "the thermal fuse measured where there is one",
    },
    Finding.THERMAL_FUSE_OPEN: {"fuse_ohms": "the thermal fuse measured"},
    Finding.THERMOSTAT_DRIFT: {"outlet_f": "the water measured at the outlet"},
}
"""Reading → what is looked at before a gas control is put in, by what it is blamed for."""

CHEAP_CAUSE_LIKELY = 0.10
"""A cheap cause as probable as this [1], and not contradicted, is worth a word."""
CAUSES_SAID = 3

ASSUMED_HOLD: dict[Finding, dict[str, bool]] = {
    Finding.CONTROL_MAGNET: {"holds_while_pressed": True, "drops_when_released": True},
    Finding.THERMAL_FUSE_OPEN: {"holds_while_pressed": True, "drops_when_released": True},
    Finding.THERMOSTAT_DRIFT: {"holds_while_pressed": True, "drops_when_released": False},
}
"""What naming a finding says of the pilot where that was not written down."""


def dear(finding: Finding, remedy: Remedy | None) -> bool:
    """Say whether a gas control, the dearest part, is blamed or to be put in.

    Parameters
    ----------
    finding, remedy
        What the technician named.
    """
    return finding is Finding.CONTROL_MAGNET or remedy is Remedy.REPLACE_GAS_CONTROL


def dear_part_cautions(
    finding: Finding,
    plate: RatingPlate,
    readings: Readings,
    setpoint_f: float | None = None,
    on: date | None = None,
) -> tuple[Caution, ...]:
    """Say what cheap cause is open where a dear part is named.

    Parameters
    ----------
    finding
        What the technician named.
    plate, readings, setpoint_f, on
        As for `likelihood.rank_findings`.

    Returns
    -------
    What was not looked at yet, and the cheap causes that the readings do not contradict
    and leave at `CHEAP_CAUSE_LIKELY` or more.

    Notes
    -----
    Naming the finding says something of the pilot itself (a failed magnet drops it), which
    is taken as read where nobody wrote it down. Common practice, no source.
    """
    return (
        *_not_looked_at(finding, readings),
        *_cheap_cause_likely(finding, plate, readings, setpoint_f, on),
    )


def _not_looked_at(finding: Finding, readings: Readings) -> list[Caution]:
    causes = CHEAP_CAUSES.get(finding, {})
    not_yet = [cause for reading, cause in causes.items() if getattr(readings, reading) is None]
    if not not_yet:
        return []
    return [
        Caution(
            topic="evidence",
            source=COMMON_PRACTICE,
            code="cheap_cause_not_ruled_out",
            message="The gas control is the dearest part and seldom the fault. Before it is "
            f"replaced, have {_listed(not_yet)}.",
        )
    ]


def _cheap_cause_likely(
    finding: Finding,
    plate: RatingPlate,
    readings: Readings,
    setpoint_f: float | None,
    on: date | None,
) -> list[Caution]:
    """Name the cheap causes that the readings leave probable, and what would tell."""
    seen = _with_symptom(finding, plate, readings)
    likely = [
        each
        for each in rank_findings(plate, seen, setpoint_f, on)
        if each.finding is not finding
        and each.probability >= CHEAP_CAUSE_LIKELY
        and cheap(each.finding)
        and grade(each.finding, plate, readings, setpoint_f, on).support is not CONTRADICTED
    ]
    if not likely:
        return []
    named = [
        f'"{FINDINGS[each.finding].name}" (about {each.probability:.0%})'
        for each in likely[:CAUSES_SAID]
    ]
    best = next_reading(plate, seen, setpoint_f, on, finding=likely[0].finding)
    tell = f" {label_of(best.reading)} would tell soonest." if best else ""
    return [
        Caution(
            topic="evidence",
            source=COMMON_PRACTICE,
            code="cheap_cause_likely",
            message="A dear part is named while a cheaper cause is open: the readings leave "
            f"{_listed(named)}.{tell}",
        )
    ]


def cheap(finding: Finding) -> bool:
    """Say whether some remedy of a finding takes neither a gas control nor a new heater.

    Parameters
    ----------
    finding
        The finding.
    """
    return any(
        remedy is not Remedy.REPLACE_HEATER
        and REMEDIES[remedy].family is not PartFamily.GAS_CONTROL
        for remedy in FINDINGS[finding].remedies
    )


def _with_symptom(finding: Finding, plate: RatingPlate, readings: Readings) -> Readings:
    """Add what naming the finding says of the pilot, where nobody wrote it down."""
    unknown = all(getattr(readings, name) is None for name in fields_of("hold"))
    if plate.ignition not in STANDING or not unknown:
        return readings
    return readings.model_copy(update=ASSUMED_HOLD.get(finding, {}))


def _listed(items: list[str]) -> str:
    return items[0] if len(items) == 1 else f"{', '.join(items[:-1])} and {items[-1]}"
