"""What the rating plate rules out before anything is measured."""

from __future__ import annotations

from estimator.evidence_rules import IGNITIONS, NOT_POWER_VENTED, SEALED_ONLY
from estimator.findings import FINDINGS, Finding
from estimator.heater import Chamber, RatingPlate, Venting


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
