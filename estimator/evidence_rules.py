"""What each reading says about findings: the table behind a grade.

A longer file than most because it is a table. All of it is common practice, no source;
the thresholds behind the words are in `reading_words`.
"""

from __future__ import annotations

from typing import NamedTuple

from estimator.findings import Finding


class Rule(NamedTuple):
    """What one reading, saying one word, says about findings.

    `supports` decides for a finding; `fits` is only what one would see with it and
    decides nothing; `contradicts` decides against it.
    """

    reading: str
    says: str
    sentence: str
    supports: frozenset[Finding] = frozenset()
    fits: frozenset[Finding] = frozenset()
    contradicts: frozenset[Finding] = frozenset()


def _findings(*slugs: str) -> frozenset[Finding]:
    return frozenset(Finding(slug) for slug in slugs)


SENSING = _findings(
    "element_worn",
    "element_fouled",
    "element_misplaced",
    "thermopile_weak",
    "loose_connection",
    "limit_open",
    "thermal_fuse_open",
    "control_magnet",
)
OUTPUT = _findings("element_worn", "element_fouled", "element_misplaced", "thermopile_weak")
WORN = _findings("element_worn", "thermopile_weak")
MAGNET = _findings("control_magnet")

RULES: tuple[Rule, ...] = (
    Rule(
        "flame",
        "good",
        "The pilot flame is good and wraps the element",
        contradicts=_findings("weak_pilot", "pilot_hood_bent", "no_gas"),
    ),
    Rule(
        "flame",
        "small",
        "The pilot flame is small",
        supports=_findings("weak_pilot"),
        fits=_findings("arrestor_blocked"),
        contradicts=_findings("no_gas"),
    ),
    Rule(
        "flame",
        "off_element",
        "The pilot flame does not touch the element",
        supports=_findings("pilot_hood_bent", "element_misplaced"),
        fits=_findings("downdraft", "weak_pilot"),
        contradicts=_findings("no_gas"),
    ),
    Rule(
        "flame",
        "lifting",
        "The pilot flame lifts off",
        supports=_findings("downdraft"),
        fits=_findings("arrestor_blocked"),
        contradicts=_findings("no_gas"),
    ),
    Rule("flame", "none", "There is no pilot flame", fits=_findings("no_gas", "no_spark")),
    Rule(
        "hold",
        "drops",
        "The pilot drops when the knob is released",
        fits=SENSING | _findings("weak_pilot", "pilot_hood_bent"),
        contradicts=_findings("no_gas", "no_spark"),
    ),
    Rule(
        "hold",
        "never",
        "The pilot goes out even while the knob is held, which bypasses the sensing circuit",
        fits=_findings("weak_pilot", "downdraft", "arrestor_blocked", "no_gas"),
        contradicts=WORN | MAGNET | _findings("loose_connection"),
    ),
    Rule(
        "hold",
        "holds",
        "The pilot stays lit after the knob is released",
        contradicts=MAGNET | _findings("limit_open", "thermal_fuse_open", "no_gas"),
    ),
    Rule(
        "joint_tight",
        "no",
        "The joint at the control is not tight",
        supports=_findings("loose_connection"),
        contradicts=MAGNET,
    ),
    Rule(
        "joint_tight",
        "yes",
        "The joint at the control is clean and tight",
        contradicts=_findings("loose_connection"),
    ),
    Rule(
        "element_seated",
        "no",
        "The element is not seated in the flame",
        supports=_findings("element_misplaced"),
        contradicts=WORN,
    ),
    Rule(
        "element_seated",
        "yes",
        "The element is seated in the flame",
        contradicts=_findings("element_misplaced"),
    ),
    Rule(
        "element_clean",
        "no",
        "The element carries soot or oxide",
        supports=_findings("element_fouled"),
    ),
    Rule("element_clean", "yes", "The element is clean", contradicts=_findings("element_fouled")),
    Rule(
        "millivolts_open",
        "good",
        "The element gives its normal open-circuit voltage ({value})",
        contradicts=_findings("element_misplaced", "weak_pilot"),
    ),
    Rule(
        "millivolts_open",
        "low in a good flame",
        "The element gives too little voltage in a good flame ({value} open circuit)",
        supports=WORN,
        fits=_findings("element_fouled", "element_misplaced"),
        contradicts=MAGNET,
    ),
    Rule(
        "millivolts_open",
        "low in a poor flame",
        "The open-circuit voltage is low ({value}), but in a poor flame, which proves nothing "
        "against the element",
        fits=_findings("weak_pilot", "pilot_hood_bent", "element_misplaced", "downdraft"),
        contradicts=MAGNET,
    ),
    Rule(
        "millivolts_open",
        "low",
        "The open-circuit voltage is low ({value}); the flame was not judged",
        fits=OUTPUT | _findings("weak_pilot", "pilot_hood_bent"),
        contradicts=MAGNET,
    ),
    Rule(
        "millivolts_loaded",
        "good",
        "The element feeds the control well under load ({value})",
        supports=MAGNET,
        contradicts=OUTPUT | _findings("weak_pilot", "pilot_hood_bent", "loose_connection"),
    ),
    Rule(
        "millivolts_loaded",
        "low, open good",
        "The voltage is good open but falls too far under load ({value})",
        supports=_findings("loose_connection"),
        fits=WORN | _findings("limit_open", "thermal_fuse_open"),
        contradicts=MAGNET | _findings("element_misplaced"),
    ),
    Rule(
        "millivolts_loaded",
        "low",
        "The voltage under load is low ({value}): the magnet is not being fed",
        fits=OUTPUT | _findings("loose_connection", "weak_pilot", "pilot_hood_bent"),
        contradicts=MAGNET,
    ),
    Rule(
        "limit_ohms",
        "open",
        "The limit reads open ({value})",
        supports=_findings("limit_open"),
        contradicts=MAGNET,
    ),
    Rule(
        "limit_ohms",
        "between",
        "The limit reads {value}, neither closed nor open",
        fits=_findings("limit_open", "loose_connection"),
    ),
    Rule(
        "limit_ohms",
        "closed",
        "The limit reads closed ({value})",
        contradicts=_findings("limit_open"),
    ),
    Rule(
        "fuse_ohms",
        "open",
        "The thermal fuse reads open ({value})",
        supports=_findings("thermal_fuse_open"),
        contradicts=MAGNET,
    ),
    Rule(
        "fuse_ohms",
        "between",
        "The thermal fuse reads {value}, neither closed nor open",
        fits=_findings("thermal_fuse_open", "loose_connection"),
    ),
    Rule(
        "fuse_ohms",
        "closed",
        "The thermal fuse reads closed ({value})",
        contradicts=_findings("thermal_fuse_open"),
    ),
    Rule(
        "millivolts_at_drop_out",
        "high",
        "The magnet lets go while it is still fed ({value})",
        supports=MAGNET,
    ),
    Rule(
        "millivolts_at_drop_out",
        "good",
        "The magnet lets go where a sound one does ({value})",
        contradicts=MAGNET,
    ),
    Rule(
        "millivolts_at_drop_out",
        "between",
        "The magnet lets go at {value}, where those of some controls do; the maker's figure for "
        "this control would tell",
    ),
    Rule(
        "gas_at_pilot",
        "no",
        "No gas comes out at the pilot",
        supports=_findings("no_gas"),
        fits=_findings("weak_pilot"),
        contradicts=SENSING,
    ),
    Rule("gas_at_pilot", "yes", "Gas comes out at the pilot", contradicts=_findings("no_gas")),
    Rule(
        "spark",
        "none",
        "There is no spark",
        supports=_findings("no_spark"),
    ),
    Rule(
        "spark",
        "elsewhere",
        "The spark jumps somewhere else than at the gap",
        supports=_findings("no_spark"),
    ),
    Rule("spark", "weak", "The spark is weak", fits=_findings("no_spark")),
    Rule("spark", "good", "The spark is good", contradicts=_findings("no_spark")),
    Rule(
        "windy_or_downdraft",
        "yes",
        "Wind or a downdraft was seen at the vent",
        supports=_findings("downdraft"),
    ),
    Rule(
        "windy_or_downdraft",
        "no",
        "No wind or downdraft was seen at the vent",
        contradicts=_findings("downdraft"),
    ),
    Rule(
        "arrestor_clean",
        "no",
        "The flame arrestor or its screen is clogged",
        supports=_findings("arrestor_blocked"),
    ),
    Rule(
        "arrestor_clean",
        "yes",
        "The flame arrestor and its screen are clean",
        contradicts=_findings("arrestor_blocked"),
    ),
    Rule(
        "inlet_standing_in_wc",
        "low",
        "The standing inlet pressure is low ({value})",
        supports=_findings("no_gas"),
        fits=_findings("weak_pilot"),
    ),
    Rule(
        "inlet_flowing_in_wc",
        "low",
        "The inlet pressure with the burner on is low ({value})",
        fits=_findings("weak_pilot", "no_gas"),
    ),
    Rule(
        "inlet_flowing_in_wc",
        "good",
        "The inlet pressure with the burner on is good ({value})",
        contradicts=_findings("no_gas"),
    ),
    Rule(
        "door_seal_sound",
        "no",
        "The burner door no longer seals",
        supports=_findings("door_seal_damaged"),
    ),
    Rule(
        "door_seal_sound",
        "yes",
        "The burner door seals",
        contradicts=_findings("door_seal_damaged"),
    ),
    Rule(
        "vapor_sensor_in_range",
        "no",
        "The vapor sensor is out of range",
        supports=_findings("vapor_sensor_tripped"),
    ),
    Rule(
        "vapor_sensor_in_range",
        "yes",
        "The vapor sensor is in range",
        contradicts=_findings("vapor_sensor_tripped"),
    ),
    Rule(
        "igniter_ohms",
        "open",
        "The igniter reads open ({value})",
        supports=_findings("igniter_open"),
    ),
    Rule(
        "igniter_ohms",
        "closed",
        "The igniter is not open ({value})",
        contradicts=_findings("igniter_open"),
    ),
    Rule(
        "flame_current_microamp",
        "low",
        "The flame current is low ({value})",
        supports=_findings("flame_rod_fouled"),
    ),
    Rule(
        "flame_current_microamp",
        "good",
        "The flame current is good ({value})",
        contradicts=_findings("flame_rod_fouled"),
    ),
    Rule(
        "flame_current_microamp",
        "none",
        "There is no flame current ({value}): no flame, or no path through it",
        fits=_findings("flame_rod_fouled", "igniter_open", "no_gas", "no_spark"),
    ),
    Rule(
        "outlet_f",
        "high",
        "The water is far above the set temperature ({value})",
        supports=_findings("thermostat_drift"),
    ),
    Rule(
        "outlet_f",
        "low",
        "The water is far below the set temperature ({value}), as it is whenever the burner is out",
        fits=_findings("thermostat_drift"),
    ),
    Rule(
        "outlet_f",
        "good",
        "The water comes at the set temperature ({value})",
        contradicts=_findings("thermostat_drift"),
    ),
)
