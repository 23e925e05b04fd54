"""Stops: what closes the repair path whatever the money says."""

from __future__ import annotations

from estimator.cautions import Stop
from estimator.findings import Finding, Hazards, Readings, Remedy
from estimator.heater import Chamber, RatingPlate
from estimator.reading_words import OPEN_OHMS

INLET_LIMIT_IN_WC = 14.0
"""Highest inlet pressure [in wc] that a gas control is made for; half a pound per square inch."""

COMMON_PRACTICE = "common practice, no source"
CPSC_FLOODED = "US Consumer Product Safety Commission, 1993 safety alert and release 01-134"
FUEL_GAS_CODE = "NFPA 54, annex on inspecting an existing appliance, from memory"
INLET_SOURCE = "24 CFR 3280.705 (supply of 7 to 14 in wc); common practice"

GAS_ODOR = Stop(
    code="gas_odor",
    why="There is a smell of gas",
    what_to_do="Leave the house now, touch no switch and no phone inside, and call the gas "
    "supplier from outside. Nobody goes back in until the supplier says so.",
    source="common practice of gas suppliers, no source",
    closes_replacement=True,
)
CONTROL_UNDER_WATER = Stop(
    code="control_under_water",
    why="The gas control has been under water and may fail without warning",
    what_to_do="Turn the gas off. The control is replaced, never dried out, and a qualified "
    "person checks the rest of the heater before it is lit; most often the whole heater goes.",
    source=CPSC_FLOODED,
)
TANK_LEAKS = Stop(
    code="tank_leak",
    why="The tank itself leaks and cannot be mended",
    what_to_do="Turn off the gas and the cold water, and replace the heater.",
    source=COMMON_PRACTICE,
)
FLUE_SPILLS = Stop(
    code="flue_spills_or_co",
    why="Flue gas spills into the room, or carbon monoxide was measured",
    what_to_do="Shut the heater down, air the room and get people out if an alarm sounds. The "
    "vent and the combustion air are corrected before this heater or a new one is lit.",
    source=FUEL_GAS_CODE,
    closes_replacement=True,
)
FLAME_ROLL_OUT = Stop(
    code="flame_roll_out",
    why="The flame has rolled out, or wiring is scorched",
    what_to_do="Shut the heater down and find the cause (blocked flue or arrestor, wrong "
    "pressure, too little air) before anything is fitted or lit.",
    source=COMMON_PRACTICE,
)
WRONG_FUEL = Stop(
    code="wrong_fuel",
    why="The heater is not made or set up for the fuel that is piped to it",
    what_to_do="Shut it down. Only the maker's listed conversion, done by licensed people, may "
    "put it on this fuel; else replace the heater by one for this fuel.",
    source=COMMON_PRACTICE,
)
CHAMBER_BROKEN = Stop(
    code="sealed_chamber_broken",
    why="The sealed chamber is broken and the maker lists no part for it",
    what_to_do="Do not patch it: the seal keeps flammable vapor from the flame. "
    "Replace the heater.",
    source="CPSC, 8 July 2003, on flame-arrestor heaters; common practice",
)
CHAMBER_UNKNOWN = Stop(
    code="sealed_chamber_part_not_known",
    why="The sealed chamber is broken, and whether the maker lists a part for it is not known",
    what_to_do="Keep the heater shut down until the maker's list has been looked at.",
    source="CPSC, 8 July 2003, on flame-arrestor heaters; common practice",
)
OPENED_WITHOUT_CAUSE = Stop(
    code="opened_cause_not_found",
    why="A limit or thermal fuse has opened and its cause has not been found",
    what_to_do="Fit no part and do not reset it. Find what made it too hot (dry tank, blocked "
    "flue or arrestor, a control that does not shut off) and write it down; then the repair "
    "is open again.",
    source=COMMON_PRACTICE,
)
INLET_TOO_HIGH = Stop(
    code="inlet_above_14_in_wc",
    why="The inlet pressure is above 14 in wc, more than a gas control is made for",
    what_to_do="Shut the gas off. The supply is corrected first; then the control is replaced or "
    "proven safe, for its seats may be damaged. No heater, old or new, is lit on this pressure.",
    source=INLET_SOURCE,
    closes_replacement=True,
)

OPENED_FINDINGS = frozenset({Finding.LIMIT_OPEN, Finding.THERMAL_FUSE_OPEN})
OPENED_REMEDIES = frozenset({Remedy.RESET_LIMIT, Remedy.REPLACE_LIMIT, Remedy.REPLACE_FUSE})


_OPENED = (
    "readings.limit_ohms",
    "readings.fuse_ohms",
    "readings.opened_cause",
    "work.finding",
    "work.remedy",
)
_CHAMBER = ("hazards.sealed_chamber_broken", "work.finding")
RESTS_ON: dict[str, tuple[str, ...]] = {
    GAS_ODOR.code: ("hazards.gas_odor",),
    FLUE_SPILLS.code: ("hazards.flue_spills_or_co",),
    INLET_TOO_HIGH.code: ("readings.inlet_standing_in_wc", "readings.inlet_flowing_in_wc"),
    FLAME_ROLL_OUT.code: ("hazards.flame_roll_out",),
    WRONG_FUEL.code: ("hazards.wrong_fuel",),
    TANK_LEAKS.code: ("hazards.tank_leaks", "work.finding"),
    CONTROL_UNDER_WATER.code: ("hazards.control_under_water",),
    OPENED_WITHOUT_CAUSE.code: _OPENED,
    CHAMBER_BROKEN.code: _CHAMBER,
    CHAMBER_UNKNOWN.code: _CHAMBER,
}
"""Stop, by its code, to what of a visit it rests on; nothing else lifts it."""

STOPS: dict[str, Stop] = {
    stop.code: stop
    for stop in (
        *(GAS_ODOR, FLUE_SPILLS, INLET_TOO_HIGH, FLAME_ROLL_OUT, WRONG_FUEL, TANK_LEAKS),
        *(CONTROL_UNDER_WATER, OPENED_WITHOUT_CAUSE, CHAMBER_BROKEN, CHAMBER_UNKNOWN),
    )
}
"""Every stop by its code."""


def stops_for(
    finding: Finding,
    remedy: Remedy,
    plate: RatingPlate,
    readings: Readings,
    hazards: Hazards,
    sealed_part_listed: bool | None = None,
) -> tuple[Stop, ...]:
    """Say what closes the repair path, the most urgent first.

    Parameters
    ----------
    finding, remedy
        What the technician named.
    plate
        The rating plate.
    readings
        Pressures [in wc] and what opened; an opened limit or fuse needs its cause in words.
    hazards
        Conditions looked for at the heater.
    sealed_part_listed
        Whether the maker lists a part that closes the sealed chamber again; ``None`` when
        nobody has looked.

    Returns
    -------
    The stops that hold; none when the repair path is open.

    Notes
    -----
    A stop is never weighed against money. Local codes, the maker's instructions and
    licensed practice come before this list, which does not claim to be complete.

    Water over the control closes the repair even when the remedy is a new control: the
    rest of the heater has to be checked too. An inlet above 14 in wc closes replacement
    as well until the supply is corrected, since a new control would see the same pressure.

    References
    ----------
    US Consumer Product Safety Commission, 1993 safety alert on flooded gas controls and
    release 01-134; 24 CFR 3280.705; NFPA 54, annex, from memory; the rest is common
    practice, no source.
    """
    holds = (
        (hazards.gas_odor, GAS_ODOR),
        (hazards.flue_spills_or_co, FLUE_SPILLS),
        (_inlet_too_high(readings), INLET_TOO_HIGH),
        (hazards.flame_roll_out, FLAME_ROLL_OUT),
        (hazards.wrong_fuel, WRONG_FUEL),
        (hazards.tank_leaks or finding is Finding.TANK_LEAK, TANK_LEAKS),
        (hazards.control_under_water, CONTROL_UNDER_WATER),
        (_opened_without_cause(finding, remedy, readings), OPENED_WITHOUT_CAUSE),
    )
    stops = [stop for held, stop in holds if held]
    broken = hazards.sealed_chamber_broken or (
        finding is Finding.DOOR_SEAL_DAMAGED and plate.chamber is Chamber.SEALED
    )
    if broken and sealed_part_listed is False:
        stops.append(CHAMBER_BROKEN)
    elif hazards.sealed_chamber_broken and sealed_part_listed is None:
        stops.append(CHAMBER_UNKNOWN)
    return tuple(stops)


def _inlet_too_high(readings: Readings) -> bool:
    seen = (readings.inlet_standing_in_wc, readings.inlet_flowing_in_wc)
    return any(pressure is not None and pressure > INLET_LIMIT_IN_WC for pressure in seen)


def _opened_without_cause(finding: Finding, remedy: Remedy, readings: Readings) -> bool:
    measured = (readings.limit_ohms, readings.fuse_ohms)
    opened = (
        finding in OPENED_FINDINGS
        or remedy in OPENED_REMEDIES
        or any(ohms is not None and ohms >= OPEN_OHMS for ohms in measured)
    )
    return opened and not (readings.opened_cause or "").strip()
