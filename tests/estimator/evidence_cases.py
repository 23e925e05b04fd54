"""Worked evidence cases: what was read at a heater, and what is to be made of it.

Each was written from how the trade reasons, before it was run; all of it is common
practice, no source. `first` is the most probable finding; `among` those that stand in the
first three; `cautions` all that the readings, the finding and its remedy call for.
"""

from __future__ import annotations

from datetime import date
from typing import NamedTuple

from estimator.findings import FINDINGS, Finding, Hazards, Readings, Remedy
from estimator.heater import RatingPlate


def plate(**changes: object) -> RatingPlate:
    values = {
        "fuel": "natural_gas",
        "tank_volume_gal": 40,
        "input_btu_per_h": 38_000,
        "ignition": "pilot_thermocouple",
        "manufactured": date(2018, 5, 1),
    }
    return RatingPlate.model_validate(values | changes)


ON = date(2026, 5, 1)
SETPOINT_F = 125.0
INF = float("inf")

TANK = plate()
OLD = plate(manufactured=date(2008, 5, 1))
YOUNG = plate(manufactured=date(2024, 5, 1))
PROPANE = plate(fuel="propane")
THERMOPILE = plate(ignition="pilot_thermopile", chamber="sealed")
SEALED = plate(chamber="sealed")
SPARK = plate(ignition="intermittent_pilot", venting="power_vent")
HOT = plate(ignition="hot_surface", venting="power_vent")
HOT_SEALED = plate(ignition="hot_surface", chamber="sealed", venting="power_vent")

DROPS = {"holds_while_pressed": True, "drops_when_released": True}
HOLDS = {"holds_while_pressed": True, "drops_when_released": False}
SUPPORTED, OPEN, CONTRADICTED = "supported", "open", "contradicted"


HOLD = {
    "drops": DROPS,
    "holds": HOLDS,
    "never": {"holds_while_pressed": False},
}
VALUES = {
    "inlet_standing_in_wc": {"low": 2, "good": 7, "high": 13},
    "inlet_flowing_in_wc": {"low": 2, "good": 7, "high": 13},
    "millivolts_at_drop_out": {"good": 1.5, "between": 4, "high": 9},
    "limit_ohms": {"closed": 0, "between": 40, "open": INF},
    "fuse_ohms": {"closed": 0, "between": 40, "open": INF},
    "igniter_ohms": {"closed": 50, "open": INF},
    "flame_current_microamp": {"good": 3, "low": 0.5, "none": 0},
    "outlet_f": {"low": 90, "good": 125, "high": 150},
}
# Scales of the output class, so that one row serves both: [mV] of the 30 mV class.
VOLTAGES = {
    ("millivolts_open", "good"): {"millivolts_open": 27},
    ("millivolts_open", "low"): {"millivolts_open": 12},
    ("millivolts_open", "low in a good flame"): {"flame": "good", "millivolts_open": 12},
    ("millivolts_open", "low in a poor flame"): {"flame": "small", "millivolts_open": 12},
    ("millivolts_loaded", "good"): {"millivolts_loaded": 13},
    ("millivolts_loaded", "low"): {"millivolts_loaded": 4},
    ("millivolts_loaded", "low, open good"): {"millivolts_open": 27, "millivolts_loaded": 4},
}
CLASS_SCALE = {"pilot_thermopile": 20}


def readings_saying(reading: str, word: str, on: RatingPlate) -> dict[str, object]:
    """Return readings that make one reading say a word on a heater."""
    if (reading, word) in VOLTAGES:
        scale = CLASS_SCALE.get(on.ignition.value, 1)
        return {
            name: value if isinstance(value, str) else value * scale
            for name, value in VOLTAGES[reading, word].items()
        }
    if reading == "hold":
        return dict(HOLD[word])
    if reading in VALUES:
        return {reading: VALUES[reading][word]}
    return {reading: {"yes": True, "no": False}.get(word, word)}


class EvidenceCase(NamedTuple):
    name: str
    on: RatingPlate
    readings: dict[str, object]
    finding: str
    grade: str
    first: str = ""
    among: tuple[str, ...] = ()
    cautions: tuple[str, ...] = ()
    remedy: str = ""
    tank_leaks: bool = False

    def ask(self) -> tuple[RatingPlate, Readings, Finding, Remedy, Hazards]:
        finding = Finding(self.finding)
        remedy = Remedy(self.remedy) if self.remedy else FINDINGS[finding].remedies[0]
        readings = Readings.model_validate(self.readings)
        return self.on, readings, finding, remedy, Hazards(tank_leaks=self.tank_leaks)


CASES = [
    # no_spark: a spark is seen even with no gas, so its absence is the igniter's path
    EvidenceCase(
        "a click and no spark at the gap",
        TANK,
        {"spark": "elsewhere", "flame": "none", "gas_at_pilot": True},
        "no_spark",
        SUPPORTED,
        first="no_spark",
    ),
    EvidenceCase(
        "no spark at all on an electronic pilot",
        SPARK,
        {"spark": "none", "flame": "none"},
        "no_spark",
        SUPPORTED,
        first="no_spark",
    ),
    EvidenceCase(
        "a good spark and no flame is not the igniter",
        TANK,
        {"spark": "good", "flame": "none"},
        "no_spark",
        CONTRADICTED,
        first="no_gas",
        cautions=("finding_contradicted",),
    ),
    # no_gas
    EvidenceCase(
        "empty propane tank",
        PROPANE,
        {"inlet_standing_in_wc": 0.4, "flame": "none", "spark": "good", "gas_at_pilot": False},
        "no_gas",
        SUPPORTED,
        first="no_gas",
        cautions=("inlet_low",),
    ),
    EvidenceCase(
        "valve shut before the heater",
        TANK,
        {"gas_at_pilot": False, "spark": "good"},
        "no_gas",
        SUPPORTED,
        first="no_gas",
    ),
    EvidenceCase(
        "there is a flame, so there is gas",
        TANK,
        {"flame": "good", **DROPS},
        "no_gas",
        CONTRADICTED,
        first="element_worn",
        cautions=("finding_contradicted",),
    ),
    # weak_pilot
    EvidenceCase(
        "small flame and low voltage: the flame first, not the element",
        TANK,
        {"flame": "small", "millivolts_open": 12},
        "weak_pilot",
        SUPPORTED,
        first="weak_pilot",
        cautions=("flame_before_element",),
    ),
    EvidenceCase(
        "small flame on a starved supply",
        TANK,
        {"flame": "small", "inlet_standing_in_wc": 7, "inlet_flowing_in_wc": 3.9},
        "weak_pilot",
        SUPPORTED,
        first="weak_pilot",
        cautions=("inlet_low",),
    ),
    EvidenceCase(
        "the same low voltage, but the element is named",
        TANK,
        {"flame": "small", "millivolts_open": 12},
        "element_worn",
        OPEN,
        first="weak_pilot",
        cautions=("flame_before_element",),
    ),
    EvidenceCase(
        "small pilot of an electronic ignition",
        SPARK,
        {"flame": "small", "spark": "good", "flame_current_microamp": 0.6},
        "weak_pilot",
        SUPPORTED,
        first="weak_pilot",
    ),
    # pilot_hood_bent, element_misplaced: the flame misses the element
    EvidenceCase(
        "flame thrown aside, element where it should be",
        TANK,
        {"flame": "off_element", "element_seated": True, "gas_at_pilot": True},
        "pilot_hood_bent",
        SUPPORTED,
        among=("pilot_hood_bent",),
    ),
    EvidenceCase(
        "flame wraps the element: the hood is right",
        TANK,
        {"flame": "good"},
        "pilot_hood_bent",
        CONTRADICTED,
        first="element_worn",
        cautions=("finding_contradicted",),
    ),
    EvidenceCase(
        "element slipped out of its clip",
        YOUNG,
        {"element_seated": False, **DROPS},
        "element_misplaced",
        SUPPORTED,
        first="element_misplaced",
    ),
    EvidenceCase(
        "misplaced and cold, though the flame burns well",
        TANK,
        {"element_seated": False, "flame": "off_element", "millivolts_open": 3},
        "element_misplaced",
        SUPPORTED,
        first="element_misplaced",
        cautions=("flame_before_element",),
    ),
    EvidenceCase(
        "a worn element is not said of one that sits beside the flame",
        TANK,
        {"element_seated": False, "flame": "off_element"},
        "element_worn",
        CONTRADICTED,
        first="element_misplaced",
        cautions=("finding_contradicted",),
    ),
    # element_fouled
    EvidenceCase(
        "sooted element on a young heater: clean it first",
        YOUNG,
        {"element_clean": False, "flame": "good", "millivolts_open": 17, **DROPS},
        "element_fouled",
        SUPPORTED,
        first="element_fouled",
        among=("element_worn",),
    ),
    EvidenceCase(
        "a clean element is not fouled",
        TANK,
        {"element_clean": True},
        "element_fouled",
        CONTRADICTED,
        cautions=("finding_contradicted",),
        among=("element_worn",),
    ),
    # element_worn
    EvidenceCase(
        "little voltage in a good flame",
        OLD,
        {"flame": "good", "millivolts_open": 9, **DROPS},
        "element_worn",
        SUPPORTED,
        first="element_worn",
    ),
    EvidenceCase(
        "all else looked at",
        TANK,
        {
            "flame": "good",
            "millivolts_open": 12,
            "millivolts_loaded": 5,
            "element_seated": True,
            "element_clean": True,
            "joint_tight": True,
            "limit_ohms": 0,
            **DROPS,
        },
        "element_worn",
        SUPPORTED,
        first="element_worn",
    ),
    EvidenceCase(
        "it feeds the control well under load",
        TANK,
        {"flame": "good", "millivolts_loaded": 14, **DROPS},
        "element_worn",
        CONTRADICTED,
        among=("control_magnet",),
        cautions=("finding_contradicted",),
    ),
    EvidenceCase(
        "nothing read at all: the commonest stands first",
        TANK,
        {},
        "element_worn",
        OPEN,
        first="element_worn",
        among=("weak_pilot",),
    ),
    # loose_connection
    EvidenceCase(
        "good open, falls away under load",
        TANK,
        {"flame": "good", "millivolts_open": 27, "millivolts_loaded": 4, **DROPS},
        "loose_connection",
        SUPPORTED,
        first="loose_connection",
    ),
    EvidenceCase(
        "joint found loose and corroded",
        OLD,
        {"joint_tight": False, **DROPS},
        "loose_connection",
        SUPPORTED,
        first="loose_connection",
    ),
    EvidenceCase(
        "joint clean and tight",
        TANK,
        {"joint_tight": True, "flame": "good", "millivolts_open": 11},
        "loose_connection",
        CONTRADICTED,
        first="element_worn",
        cautions=("finding_contradicted",),
    ),
    # limit_open, thermal_fuse_open: closed is about 0 ohm, open is infinite
    EvidenceCase(
        "limit reads open",
        TANK,
        {"limit_ohms": INF, "flame": "good", **DROPS},
        "limit_open",
        SUPPORTED,
        first="limit_open",
    ),
    EvidenceCase(
        "limit open, and lint is why",
        THERMOPILE,
        {"limit_ohms": INF, "arrestor_clean": False, "opened_cause": "lint in the arrestor"},
        "limit_open",
        SUPPORTED,
        among=("limit_open", "arrestor_blocked"),
    ),
    EvidenceCase(
        "limit reads closed",
        TANK,
        {"limit_ohms": 0.2, "flame": "good", **DROPS},
        "limit_open",
        CONTRADICTED,
        first="element_worn",
        cautions=("finding_contradicted",),
    ),
    EvidenceCase(
        "a limit between closed and open decides nothing",
        TANK,
        {"limit_ohms": 35, **DROPS},
        "limit_open",
        OPEN,
        among=("element_worn",),
        cautions=("circuit_between",),
    ),
    EvidenceCase(
        "fuse reads open",
        TANK,
        {"fuse_ohms": INF, "flame": "good", "opened_cause": "fired dry", **DROPS},
        "thermal_fuse_open",
        SUPPORTED,
        first="thermal_fuse_open",
    ),
    EvidenceCase(
        "fuse built into the control, named without being measured",
        TANK,
        {"flame": "good", **DROPS},
        "thermal_fuse_open",
        OPEN,
        first="element_worn",
        remedy="replace_gas_control",
        cautions=("cheap_cause_not_ruled_out", "cheap_cause_likely"),
    ),
    # downdraft
    EvidenceCase(
        "flame lifts on a windy day",
        TANK,
        {"flame": "lifting", "windy_or_downdraft": True},
        "downdraft",
        SUPPORTED,
        first="downdraft",
    ),
    EvidenceCase(
        "no wind at the vent",
        TANK,
        {"windy_or_downdraft": False, "flame": "small"},
        "downdraft",
        CONTRADICTED,
        first="weak_pilot",
        cautions=("finding_contradicted",),
    ),
    EvidenceCase(
        "a power vent has no downdraft",
        SPARK,
        {},
        "downdraft",
        CONTRADICTED,
        among=("flame_rod_fouled", "no_spark", "weak_pilot"),
        cautions=("finding_contradicted",),
    ),
    # control_magnet: rare, the last to blame
    EvidenceCase(
        "blamed because the pilot drops, with nothing measured",
        TANK,
        {**DROPS},
        "control_magnet",
        OPEN,
        first="element_worn",
        cautions=("cheap_cause_not_ruled_out", "cheap_cause_likely"),
    ),
    EvidenceCase(
        "everything before it ruled out",
        TANK,
        {
            "flame": "good",
            "millivolts_open": 27,
            "millivolts_loaded": 14,
            "joint_tight": True,
            "element_seated": True,
            "limit_ohms": 0,
            "fuse_ohms": 0,
            "windy_or_downdraft": False,
            **DROPS,
        },
        "control_magnet",
        SUPPORTED,
        first="control_magnet",
    ),
    EvidenceCase(
        "supported by the load, but the limit was not measured",
        TANK,
        {"flame": "good", "millivolts_loaded": 14, "joint_tight": True, **DROPS},
        "control_magnet",
        SUPPORTED,
        among=("control_magnet", "limit_open"),
        cautions=("cheap_cause_not_ruled_out", "cheap_cause_likely"),
    ),
    EvidenceCase(
        "a magnet that is not fed cannot be blamed",
        TANK,
        {"flame": "good", "millivolts_open": 11, "millivolts_loaded": 4, **DROPS},
        "control_magnet",
        CONTRADICTED,
        first="element_worn",
        cautions=(
            "finding_contradicted",
            "cheap_cause_not_ruled_out",
            "cheap_cause_likely",
        ),
    ),
    EvidenceCase(
        "lets go at 9 mV, where no sound magnet does",
        TANK,
        {
            "flame": "good",
            "millivolts_open": 27,
            "millivolts_loaded": 14,
            "millivolts_at_drop_out": 9,
            "joint_tight": True,
            "limit_ohms": 0,
            "fuse_ohms": 0,
        },
        "control_magnet",
        SUPPORTED,
        first="control_magnet",
    ),
    EvidenceCase(
        "lets go at 4 mV: some controls do, this one by its maker does not",
        plate(drop_out_most_millivolts=3),
        {"millivolts_at_drop_out": 4, "millivolts_loaded": 14, "flame": "good", **DROPS},
        "control_magnet",
        SUPPORTED,
        first="control_magnet",
        cautions=("cheap_cause_not_ruled_out",),
    ),
    # thermopile_weak
    EvidenceCase(
        "750 mV generator low open and under load",
        THERMOPILE,
        {"flame": "good", "millivolts_open": 240, "millivolts_loaded": 110, "joint_tight": True},
        "thermopile_weak",
        SUPPORTED,
        first="thermopile_weak",
    ),
    EvidenceCase(
        "low under load alone, joint tight",
        THERMOPILE,
        {"flame": "good", "millivolts_open": 430, "millivolts_loaded": 90, "joint_tight": True},
        "thermopile_weak",
        OPEN,
        first="thermopile_weak",
    ),
    EvidenceCase(
        "a thermocouple heater has no thermopile",
        TANK,
        {"flame": "good", "millivolts_open": 12},
        "thermopile_weak",
        CONTRADICTED,
        first="element_worn",
        cautions=("finding_contradicted",),
    ),
    # sealed chambers
    EvidenceCase(
        "lint starves the chamber",
        SEALED,
        {"arrestor_clean": False, "flame": "small"},
        "arrestor_blocked",
        SUPPORTED,
        first="arrestor_blocked",
    ),
    EvidenceCase(
        "goes out even while held, arrestor full of lint",
        SEALED,
        {"arrestor_clean": False, "holds_while_pressed": False, "flame": "lifting"},
        "arrestor_blocked",
        SUPPORTED,
        first="arrestor_blocked",
    ),
    EvidenceCase(
        "an open chamber has no arrestor",
        TANK,
        {"flame": "small"},
        "arrestor_blocked",
        CONTRADICTED,
        first="weak_pilot",
        cautions=("finding_contradicted",),
    ),
    EvidenceCase(
        "vapor sensor out of range",
        THERMOPILE,
        {"vapor_sensor_in_range": False, "flame": "good", **DROPS},
        "vapor_sensor_tripped",
        SUPPORTED,
        first="vapor_sensor_tripped",
    ),
    EvidenceCase(
        "vapor sensor in range",
        HOT_SEALED,
        {"vapor_sensor_in_range": True},
        "vapor_sensor_tripped",
        CONTRADICTED,
        first="igniter_open",
        cautions=("finding_contradicted",),
    ),
    EvidenceCase(
        "burner door gasket torn",
        SEALED,
        {"door_seal_sound": False, "arrestor_clean": True, "flame": "lifting"},
        "door_seal_damaged",
        SUPPORTED,
        first="door_seal_damaged",
    ),
    EvidenceCase(
        "door found tight",
        SEALED,
        {"door_seal_sound": True, "arrestor_clean": False},
        "door_seal_damaged",
        CONTRADICTED,
        first="arrestor_blocked",
        cautions=("finding_contradicted",),
    ),
    # electronic ignitions
    EvidenceCase(
        "hot-surface igniter reads open",
        HOT,
        {"igniter_ohms": INF},
        "igniter_open",
        SUPPORTED,
        first="igniter_open",
    ),
    EvidenceCase(
        "igniter sound, flame current low",
        HOT,
        {"igniter_ohms": 55, "flame_current_microamp": 0.4},
        "flame_rod_fouled",
        SUPPORTED,
        first="flame_rod_fouled",
    ),
    EvidenceCase(
        "no current at all may be no flame",
        HOT,
        {"flame_current_microamp": 0},
        "flame_rod_fouled",
        OPEN,
        first="igniter_open",
        among=("flame_rod_fouled",),
    ),
    EvidenceCase(
        "flame current good",
        SPARK,
        {"flame_current_microamp": 3.2},
        "flame_rod_fouled",
        CONTRADICTED,
        among=("weak_pilot",),
        cautions=("finding_contradicted",),
    ),
    EvidenceCase(
        "an electronic ignition has no magnet to blame",
        HOT,
        {"igniter_ohms": INF},
        "control_magnet",
        CONTRADICTED,
        first="igniter_open",
        cautions=(
            "finding_contradicted",
            "cheap_cause_not_ruled_out",
            "cheap_cause_likely",
        ),
    ),
    # thermostat_drift
    EvidenceCase(
        "water far too hot, pilot holding",
        TANK,
        {"outlet_f": 150, **HOLDS},
        "thermostat_drift",
        SUPPORTED,
        first="thermostat_drift",
    ),
    EvidenceCase(
        "cold water is no drift: the pilot is out",
        TANK,
        {"outlet_f": 68, "flame": "good", "millivolts_open": 10, **DROPS},
        "thermostat_drift",
        OPEN,
        first="element_worn",
        cautions=("cheap_cause_likely",),
        remedy="replace_gas_control",
    ),
    EvidenceCase(
        "water at the set point",
        TANK,
        {"outlet_f": 122},
        "thermostat_drift",
        CONTRADICTED,
        first="element_worn",
        cautions=("finding_contradicted", "cheap_cause_likely"),
    ),
    # tank_leak
    EvidenceCase(
        "water under the heater, from the shell",
        OLD,
        {},
        "tank_leak",
        OPEN,
        first="tank_leak",
        tank_leaks=True,
    ),
    # readings that cannot be right count as not taken
    EvidenceCase(
        "leads swapped",
        TANK,
        {"flame": "good", "millivolts_open": -14},
        "element_worn",
        OPEN,
        first="element_worn",
        cautions=("millivolts_below_zero",),
    ),
    EvidenceCase(
        "propane pressure of a natural-gas supply",
        PROPANE,
        {"inlet_standing_in_wc": 6, "flame": "small"},
        "weak_pilot",
        SUPPORTED,
        among=("weak_pilot", "no_gas"),
        cautions=("inlet_low",),
    ),
]
