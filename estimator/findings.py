"""Findings, remedies and readings: the words of the visit, as types.

Which remedies a finding has, and what part a remedy needs, is a fact of the trade:
common practice, no source.
"""

from __future__ import annotations

import math
from enum import StrEnum
from typing import Annotated, Literal, NamedTuple

from pydantic import BaseModel, BeforeValidator, ConfigDict, Field, PlainSerializer

from estimator.supply import PartFamily


class Finding(StrEnum):
    """What is wrong with the heater."""

    NO_SPARK = "no_spark"
    NO_GAS = "no_gas"
    WEAK_PILOT = "weak_pilot"
    PILOT_HOOD_BENT = "pilot_hood_bent"
    ELEMENT_MISPLACED = "element_misplaced"
    ELEMENT_FOULED = "element_fouled"
    ELEMENT_WORN = "element_worn"
    LOOSE_CONNECTION = "loose_connection"
    LIMIT_OPEN = "limit_open"
    THERMAL_FUSE_OPEN = "thermal_fuse_open"
    DOWNDRAFT = "downdraft"
    CONTROL_MAGNET = "control_magnet"
    THERMOPILE_WEAK = "thermopile_weak"
    ARRESTOR_BLOCKED = "arrestor_blocked"
    VAPOR_SENSOR_TRIPPED = "vapor_sensor_tripped"
    DOOR_SEAL_DAMAGED = "door_seal_damaged"
    IGNITER_OPEN = "igniter_open"
    FLAME_ROD_FOULED = "flame_rod_fouled"
    THERMOSTAT_DRIFT = "thermostat_drift"
    TANK_LEAK = "tank_leak"


class Remedy(StrEnum):
    """What is done about a finding. Each is also the slug of its labor operation."""

    CLEAN_SPARK_GAP = "clean_spark_gap"
    REPLACE_IGNITER = "replace_igniter"
    REPLACE_PILOT_ASSEMBLY = "replace_pilot_assembly"
    RESTORE_SUPPLY = "restore_supply"
    SUPPLY_WORK = "supply_work"
    CLEAR_PILOT = "clear_pilot"
    REPLACE_PILOT_TUBE = "replace_pilot_tube"
    REPLACE_ORIFICE = "replace_orifice"
    RESEAT_ELEMENT = "reseat_element"
    CLEAN_ELEMENT = "clean_element"
    REPLACE_ELEMENT = "replace_element"
    TIGHTEN_JOINT = "tighten_joint"
    RESET_LIMIT = "reset_limit"
    REPLACE_LIMIT = "replace_limit"
    REPLACE_FUSE = "replace_fuse"
    VENT_WORK = "vent_work"
    REPLACE_GAS_CONTROL = "replace_gas_control"
    CLEAN_ARRESTOR = "clean_arrestor"
    REPLACE_VAPOR_SENSOR = "replace_vapor_sensor"
    REPLACE_DOOR_KIT = "replace_door_kit"
    CLEAN_FLAME_ROD = "clean_flame_rod"
    REPLACE_FLAME_ROD = "replace_flame_rod"
    REPLACE_HEATER = "replace_heater"


class RemedyFacts(NamedTuple):
    """Plain name of a remedy and the family of the part that it puts in, if any."""

    name: str
    family: PartFamily | None


class FindingFacts(NamedTuple):
    """Plain name of a finding, what it means to the customer, and its usual remedies."""

    name: str
    plain: str
    remedies: tuple[Remedy, ...]


REMEDIES: dict[Remedy, RemedyFacts] = {
    Remedy.CLEAN_SPARK_GAP: RemedyFacts("Clean the electrode and set the gap", None),
    Remedy.REPLACE_IGNITER: RemedyFacts("Replace the igniter", PartFamily.IGNITER),
    Remedy.REPLACE_PILOT_ASSEMBLY: RemedyFacts(
        "Replace the pilot assembly", PartFamily.PILOT_ASSEMBLY
    ),
    Remedy.RESTORE_SUPPLY: RemedyFacts("Restore the gas supply and light", None),
    Remedy.SUPPLY_WORK: RemedyFacts("Correct the supply pressure", None),
    Remedy.CLEAR_PILOT: RemedyFacts("Clear the pilot orifice and tube", None),
    Remedy.REPLACE_PILOT_TUBE: RemedyFacts("Replace the pilot tube", PartFamily.PILOT_TUBE),
    Remedy.REPLACE_ORIFICE: RemedyFacts("Replace the pilot orifice", PartFamily.ORIFICE),
    Remedy.RESEAT_ELEMENT: RemedyFacts("Reseat the sensing element with the right clip", None),
    Remedy.CLEAN_ELEMENT: RemedyFacts("Clean the sensing element", None),
    Remedy.REPLACE_ELEMENT: RemedyFacts("Replace the sensing element", PartFamily.SENSING_ELEMENT),
    Remedy.TIGHTEN_JOINT: RemedyFacts("Clean and tighten the joint at the control", None),
    Remedy.RESET_LIMIT: RemedyFacts("Mend the cause, then reset the limit", None),
    Remedy.REPLACE_LIMIT: RemedyFacts("Mend the cause, then replace the limit", PartFamily.LIMIT),
    Remedy.REPLACE_FUSE: RemedyFacts(
        "Mend the cause, then replace the thermal fuse", PartFamily.LIMIT
    ),
    Remedy.VENT_WORK: RemedyFacts("Correct the vent termination", None),
    Remedy.REPLACE_GAS_CONTROL: RemedyFacts("Replace the gas control", PartFamily.GAS_CONTROL),
    Remedy.CLEAN_ARRESTOR: RemedyFacts("Clean the flame arrestor and screen", None),
    Remedy.REPLACE_VAPOR_SENSOR: RemedyFacts(
        "Find the vapor, then replace the sensor", PartFamily.VAPOR_SENSOR
    ),
    Remedy.REPLACE_DOOR_KIT: RemedyFacts("Replace the burner door and gasket", PartFamily.DOOR_KIT),
    Remedy.CLEAN_FLAME_ROD: RemedyFacts("Clean the flame rod", None),
    Remedy.REPLACE_FLAME_ROD: RemedyFacts("Replace the flame rod", PartFamily.FLAME_ROD),
    Remedy.REPLACE_HEATER: RemedyFacts("Replace the heater", None),
}

FINDINGS: dict[Finding, FindingFacts] = {
    Finding.NO_SPARK: FindingFacts(
        "No spark at the electrode",
        "The igniter does not make a spark, so the pilot flame cannot be lit.",
        (Remedy.CLEAN_SPARK_GAP, Remedy.REPLACE_IGNITER, Remedy.REPLACE_PILOT_ASSEMBLY),
    ),
    Finding.NO_GAS: FindingFacts(
        "No gas at the pilot",
        "Gas does not reach the heater.",
        (Remedy.RESTORE_SUPPLY, Remedy.SUPPLY_WORK),
    ),
    Finding.WEAK_PILOT: FindingFacts(
        "Weak pilot flame",
        "The pilot flame is too small to keep the heater lit.",
        (
            Remedy.CLEAR_PILOT,
            Remedy.REPLACE_PILOT_TUBE,
            Remedy.REPLACE_ORIFICE,
            Remedy.REPLACE_PILOT_ASSEMBLY,
            Remedy.SUPPLY_WORK,
        ),
    ),
    Finding.PILOT_HOOD_BENT: FindingFacts(
        "Pilot hood bent",
        "The pilot flame is thrown to the wrong side, so the heater goes out.",
        (Remedy.REPLACE_PILOT_ASSEMBLY,),
    ),
    Finding.ELEMENT_MISPLACED: FindingFacts(
        "Sensing element not seated in the flame",
        "The part that senses the pilot flame does not sit in the flame.",
        (Remedy.RESEAT_ELEMENT,),
    ),
    Finding.ELEMENT_FOULED: FindingFacts(
        "Sensing element fouled",
        "Soot covers the part that senses the pilot flame.",
        (Remedy.CLEAN_ELEMENT, Remedy.REPLACE_ELEMENT),
    ),
    Finding.ELEMENT_WORN: FindingFacts(
        "Sensing element worn",
        "The part that senses the pilot flame is worn out, so the gas shuts off.",
        (Remedy.REPLACE_ELEMENT, Remedy.REPLACE_PILOT_ASSEMBLY),
    ),
    Finding.LOOSE_CONNECTION: FindingFacts(
        "Loose joint at the control",
        "A joint in the flame-sensing circuit is loose.",
        (Remedy.TIGHTEN_JOINT,),
    ),
    Finding.LIMIT_OPEN: FindingFacts(
        "Limit has opened",
        "A safety switch has opened because something got too hot.",
        (Remedy.RESET_LIMIT, Remedy.REPLACE_LIMIT),
    ),
    Finding.THERMAL_FUSE_OPEN: FindingFacts(
        "Thermal fuse has opened",
        "A one-time safety fuse has opened because something got too hot.",
        (Remedy.REPLACE_FUSE, Remedy.REPLACE_GAS_CONTROL),
    ),
    Finding.DOWNDRAFT: FindingFacts(
        "Downdraft blows the pilot off",
        "Wind comes down the vent and blows the pilot flame away.",
        (Remedy.VENT_WORK,),
    ),
    Finding.CONTROL_MAGNET: FindingFacts(
        "Holding magnet in the control failed",
        "The safety valve inside the gas control no longer holds.",
        (Remedy.REPLACE_GAS_CONTROL,),
    ),
    Finding.THERMOPILE_WEAK: FindingFacts(
        "Thermopile weak",
        "The small generator in the pilot flame makes too little current.",
        (Remedy.REPLACE_ELEMENT, Remedy.REPLACE_PILOT_ASSEMBLY),
    ),
    Finding.ARRESTOR_BLOCKED: FindingFacts(
        "Flame arrestor blocked",
        "Lint or dust keeps air from the flame.",
        (Remedy.CLEAN_ARRESTOR,),
    ),
    Finding.VAPOR_SENSOR_TRIPPED: FindingFacts(
        "Vapor sensor tripped",
        "A sensor that guards against flammable fumes has tripped.",
        (Remedy.REPLACE_VAPOR_SENSOR,),
    ),
    Finding.DOOR_SEAL_DAMAGED: FindingFacts(
        "Burner door seal damaged",
        "The burner door no longer closes tight.",
        (Remedy.REPLACE_DOOR_KIT,),
    ),
    Finding.IGNITER_OPEN: FindingFacts(
        "Hot-surface igniter open",
        "The part that lights the burner is broken.",
        (Remedy.REPLACE_IGNITER,),
    ),
    Finding.FLAME_ROD_FOULED: FindingFacts(
        "Flame rod fouled",
        "The rod that proves the flame is dirty.",
        (Remedy.CLEAN_FLAME_ROD, Remedy.REPLACE_FLAME_ROD),
    ),
    Finding.THERMOSTAT_DRIFT: FindingFacts(
        "Thermostat holds the wrong temperature",
        "The control does not hold the water at the temperature that is set.",
        (Remedy.REPLACE_GAS_CONTROL,),
    ),
    Finding.TANK_LEAK: FindingFacts(
        "Tank leaks",
        "The tank itself leaks and cannot be mended.",
        (Remedy.REPLACE_HEATER,),
    ),
}

Pressure = Annotated[float, Field(ge=-5, le=60, allow_inf_nan=False)]
Millivolts = Annotated[float, Field(ge=-50, le=1500, allow_inf_nan=False)]
OPEN_CIRCUIT = "open"
LONGEST_NUMBER = 40
"""Signs of a number that somebody wrote."""


def _read_open(given: object) -> object:
    if given == OPEN_CIRCUIT:
        return math.inf
    # A text of ten thousand nines would be read as infinite, which means an open circuit.
    if isinstance(given, str) and (len(given) > LONGEST_NUMBER or "in" in given.lower()):
        raise ValueError(f'must be a resistance in ohms, or "{OPEN_CIRCUIT}"')
    return given


def _write_open(ohms: float) -> float | str:
    return OPEN_CIRCUIT if math.isinf(ohms) else ohms


Ohms = Annotated[
    float,
    Field(ge=0, json_schema_extra={"description": 'ohms, or "open" for an open circuit'}),
    BeforeValidator(_read_open, json_schema_input_type=float | Literal["open"]),
    PlainSerializer(_write_open),
]
"""A resistance [Ω]; an open circuit is infinite and is read and written as "open"."""


class Readings(BaseModel):
    """What was measured and seen at the heater; ``None`` is "not looked at".

    Pressures [in wc], voltages [mV], resistances [Ω] where "open" is an open circuit.
    """

    model_config = ConfigDict(frozen=True, extra="forbid")

    inlet_standing_in_wc: Pressure | None = None
    inlet_flowing_in_wc: Pressure | None = None
    manifold_in_wc: Pressure | None = None
    flame: Literal["good", "small", "off_element", "lifting", "none"] | None = None
    spark: Literal["good", "weak", "elsewhere", "none"] | None = None
    gas_at_pilot: bool | None = None
    holds_while_pressed: bool | None = None
    drops_when_released: bool | None = None
    millivolts_open: Millivolts | None = None
    millivolts_loaded: Millivolts | None = None
    millivolts_at_drop_out: Millivolts | None = None
    element_seated: bool | None = None
    element_clean: bool | None = None
    joint_tight: bool | None = None
    limit_ohms: Ohms | None = None
    fuse_ohms: Ohms | None = None
    opened_cause: Annotated[str, Field(max_length=500)] | None = None
    windy_or_downdraft: bool | None = None
    arrestor_clean: bool | None = None
    door_seal_sound: bool | None = None
    vapor_sensor_in_range: bool | None = None
    igniter_ohms: Ohms | None = None
    flame_current_microamp: Annotated[float, Field(ge=-50, le=100)] | None = None
    outlet_f: Annotated[float, Field(ge=33, le=212)] | None = None


class Hazards(BaseModel):
    """Conditions that close the repair path. ``False`` means looked at and not found."""

    model_config = ConfigDict(frozen=True, extra="forbid")

    gas_odor: bool = False
    control_under_water: bool = False
    tank_leaks: bool = False
    flue_spills_or_co: bool = False
    flame_roll_out: bool = False
    sealed_chamber_broken: bool = False
    wrong_fuel: bool = False
