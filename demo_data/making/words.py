"""Descriptions that a person tells parts apart by, in the words of the trade."""

from __future__ import annotations

import tomllib
from collections.abc import Callable
from pathlib import Path

from demo_data.making.rows import Row

RIGHT, LEFT = "threaded_right_11_32_32", "threaded_left_11_32_32"

NAMES = {
    "sensing_element": "Sensing element",
    "pilot_assembly": "Pilot assembly",
    "igniter": "Igniter",
    "limit": "Limit",
    "gas_control": "Gas control",
    "pilot_tube": "Pilot tube",
    "orifice": "Orifice",
    "door_kit": "Burner door kit",
    "vapor_sensor": "Vapor sensor",
    "flame_rod": "Flame rod",
    "sundry": "Sundry",
}


def description(family: str, features: Row, note: str) -> str:
    """Return a line that a person tells parts apart by, in the words of the trade."""
    if family == "sundry":
        return sundry_words(features, note)
    name = NAMES[family]
    if family == "orifice":
        name = f"{str(features['orifice_kind']).capitalize()} orifice"
    order = sorted(features, key=lambda feature: (feature not in SAID_FIRST, feature in SAID_LAST))
    held = {feature: features[feature] for feature in order if features[feature]}
    said = [SAID[feature](value) for feature, value in held.items()]
    return ", ".join([name, *(words for words in said if words), *([note] if note else [])])


def word(group: str) -> Callable[[object], str]:
    """Return how the values of a group are said; the fit rules hold the words."""
    return lambda value: SHORT_WORDS.get(str(value), RULES["values"][group].get(str(value), ""))


def measure(unit: str, what: str = "") -> Callable[[object], str]:
    """Return how a number with its unit is said."""
    return lambda value: f"{what} {float(str(value)):,.10g} {unit}".strip()


def only(words: str) -> Callable[[object], str]:
    """Return words that a feature is said by where a part has it."""
    return lambda _: words


def sundry_words(features: Row, note: str) -> str:
    """Return what a sundry is called."""
    kind = str(features["sundry_kind"])
    if kind == "gasket":
        return f"Gasket {note}"
    if kind == "clip":
        return f"Clip for a sensing element, {word('tip_style')(features['tip_style'])}"
    if kind == "adapter":
        group = {"inlet_size": "pipe_size"}.get(
            str(features["adapts_feature"]), str(features["adapts_feature"])
        )
        has, needs = (word(group)(features[key]) for key in ("adapts_from", "adapts_to"))
        return f"Adapter, from {has} to {needs}"
    called = RULES["values"]["sundry_kind"][kind]
    return f"{called[:1].upper()}{called[1:]}, {note}"


RULES = tomllib.loads(
    (Path(__file__).parents[2] / "catalog" / "fit_rules.toml").read_text(encoding="utf-8")
)
SAID_FIRST = ("output_class_mv", "length_in", "fuel")
SAID_LAST = ("cut_off_built_in",)
SHORT_WORDS = {
    RIGHT: "11/32-32 right-hand thread",
    LEFT: "11/32-32 left-hand thread",
    "push_in": "push-in end",
    "two_screw_flat": "flat bracket",
    "two_screw_angle": "angled bracket",
    "sealed": "for a sealed chamber",
}
SAID: dict[str, Callable[[object], str]] = {
    "output_class_mv": measure("mV"),
    "connection": word("connection"),
    "tip_style": word("tip_style"),
    "cut_off_built_in": only("built-in cut-off"),
    "length_in": measure("in"),
    "fuel": word("fuel"),
    "mounting": word("mounting"),
    "hood_direction": lambda value: f"hood {value}",
    "tube_connection": word("tube_connection"),
    "includes_igniter": only("with igniter"),
    "includes_element": only("with element"),
    "igniter_kind": word("igniter_kind"),
    "terminal": word("terminal"),
    "terminals": word("terminals"),
    "voltage_v": measure("V"),
    "lead_length_in": measure("in", "lead"),
    "opens_at_f": measure("°F", "opens at"),
    "reset_kind": word("reset_kind"),
    "inlet_size": word("pipe_size"),
    "outlet_size": lambda value: f"to {word('pipe_size')(value)}",
    "max_input_btu_per_h": measure("Btu/h"),
    "manifold_in_wc": only(""),
    "sensing_kind": word("sensing_kind"),
    "probe_length_in": measure("in", "probe"),
    "insulation_in": only(""),
    "knob": only(""),
    "diameter_in": lambda value: f"{ {0.1875: '3/16', 0.25: '1/4'}[float(str(value))] } in tube",
    "orifice_kind": only(""),
    "bore_in": measure("in", "bore"),
    "thread": lambda value: f"{word('thread')(value)} thread" if value != "push" else "push-in",
    "chamber": word("chamber"),
    "door_width_in": measure("in wide"),
    "includes_gasket": only("with gasket"),
    "sensor_kind": word("sensor_kind"),
    "rod_length_in": measure("in", "rod"),
    "sundry_kind": only(""),
    "adapts_feature": only(""),
    "adapts_from": only(""),
    "adapts_to": only(""),
}
"""How each feature is said, where a part has it."""
