"""What the rating plate rules out before anything is measured."""

from __future__ import annotations

from estimator.findings import FINDINGS, Finding
from estimator.heater import Chamber, Ignition, RatingPlate, Venting

STANDING = frozenset({Ignition.PILOT_THERMOCOUPLE, Ignition.PILOT_THERMOPILE})
ELECTRONIC = frozenset({Ignition.INTERMITTENT_PILOT, Ignition.HOT_SURFACE})
PILOT = STANDING | {Ignition.INTERMITTENT_PILOT}

IGNITIONS: dict[Finding, frozenset[Ignition]] = {
    Finding.NO_SPARK: PILOT,
    Finding.WEAK_PILOT: PILOT,
    Finding.PILOT_HOOD_BENT: PILOT,
    Finding.ELEMENT_MISPLACED: STANDING,
    Finding.ELEMENT_FOULED: STANDING,
    Finding.ELEMENT_WORN: STANDING,
    Finding.LOOSE_CONNECTION: STANDING,
    Finding.CONTROL_MAGNET: STANDING,
    Finding.THERMOPILE_WEAK: frozenset({Ignition.PILOT_THERMOPILE}),
    Finding.IGNITER_OPEN: frozenset({Ignition.HOT_SURFACE}),
    Finding.FLAME_ROD_FOULED: ELECTRONIC,
}
"""Ignitions that a finding can be found with; a finding not here goes with every one."""

SEALED_ONLY = frozenset(
    {Finding.ARRESTOR_BLOCKED, Finding.VAPOR_SENSOR_TRIPPED, Finding.DOOR_SEAL_DAMAGED}
)
NOT_POWER_VENTED = frozenset({Finding.DOWNDRAFT})


def plate_rules_out(finding: Finding, plate: RatingPlate) -> tuple[str, ...]:
    """Say why a finding cannot be found on this heater.

    Parameters
    ----------
    finding
        The finding.
    plate
        The rating plate: ignition, chamber and venting.

    Returns
    -------
    The reasons, as sentences; none where the finding is possible.
    """
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
    return tuple(said)
