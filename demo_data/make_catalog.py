"""Make the demo catalog: invented parts, prices and heaters, the same on every run.

Run ``python demo_data/make_catalog.py`` to write demo_data/catalog anew. Nothing in it is
taken from any maker, supplier or shop: numbers, makers, prices and stock are invented.
"""

from __future__ import annotations

import csv
import random
import tomllib
from collections.abc import Callable, Iterable, Iterator
from itertools import count
from pathlib import Path

Row = dict[str, object]

HERE = Path(__file__).parent / "catalog"
SEED = 20_260_101
INVENTED = "invented"
PREFIX = {
    "sensing_element": "SE",
    "pilot_assembly": "PA",
    "igniter": "IG",
    "limit": "LM",
    "gas_control": "GC",
    "pilot_tube": "PT",
    "orifice": "OR",
    "door_kit": "DK",
    "vapor_sensor": "VS",
    "flame_rod": "FR",
    "sundry": "SU",
}
COST_RANGE = {
    "sensing_element": (6, 24),
    "pilot_assembly": (28, 85),
    "igniter": (7, 48),
    "limit": (6, 22),
    "gas_control": (88, 210),
    "pilot_tube": (4, 11),
    "orifice": (3, 9),
    "door_kit": (24, 62),
    "vapor_sensor": (19, 44),
    "flame_rod": (11, 27),
    "sundry": (2, 9),
}
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
RIGHT, LEFT = "threaded_right_11_32_32", "threaded_left_11_32_32"
SUPPLIERS = ("Counter North (invented)", "Counter South (invented)", "Counter East (invented)")
TC, TP, IP, HS = "pilot_thermocouple", "pilot_thermopile", "intermittent_pilot", "hot_surface"
ND, PV, DV = "natural_draft", "power_vent", "direct_vent"

# maker, gallons, fuel, input, ignition, venting, chamber, from, to, EF, UEF, RE, FHR
HEATERS = (
    ("A", 30, "ng", 30000, TC, ND, "open", "1994-01-01", "2003-06-30", 0.56, None, 0.76, 50),
    ("A", 40, "ng", 36000, TC, ND, "open", "1994-01-01", "2003-06-30", 0.54, None, 0.76, 62),
    ("A", 50, "ng", 40000, TC, ND, "open", "1994-01-01", "2003-06-30", 0.53, None, 0.76, 78),
    ("A", 40, "lp", 34000, TC, ND, "open", "1994-01-01", "2003-06-30", 0.54, None, 0.77, 60),
    ("A", 40, "ng", 38000, TC, ND, "sealed", "2003-07-01", "2016-12-31", 0.59, None, 0.76, 67),
    ("A", 50, "ng", 40000, TC, ND, "sealed", "2003-07-01", "2016-12-31", 0.58, None, 0.76, 81),
    ("A", 40, "lp", 36000, TC, ND, "sealed", "2003-07-01", "2016-12-31", 0.59, None, 0.77, 65),
    ("A", 50, "lp", 38000, TC, ND, "sealed", "2003-07-01", "2016-12-31", 0.58, None, 0.77, 79),
    ("A", 40, "ng", 40000, TC, ND, "sealed", "2017-06-12", None, None, 0.61, 0.79, 72),
    ("A", 50, "ng", 40000, TC, ND, "sealed", "2017-06-12", None, None, 0.60, 0.79, 83),
    ("B", 40, "ng", 38000, TP, ND, "sealed", "2008-03-01", "2016-12-31", 0.60, None, 0.78, 68),
    ("B", 50, "ng", 42000, TP, ND, "sealed", "2008-03-01", "2016-12-31", 0.59, None, 0.78, 84),
    ("B", 40, "lp", 36000, TP, ND, "sealed", "2008-03-01", "2016-12-31", 0.60, None, 0.78, 66),
    ("B", 50, "lp", 40000, TP, ND, "sealed", "2008-03-01", "2016-12-31", 0.59, None, 0.78, 82),
    ("B", 50, "ng", 42000, HS, PV, "sealed", "2006-01-01", None, 0.65, None, 0.80, 90),
    ("B", 75, "ng", 75100, HS, PV, "sealed", "2006-01-01", None, 0.60, None, 0.80, 128),
    ("B", 40, "ng", 40000, IP, PV, "sealed", "2010-01-01", None, 0.65, None, 0.80, 74),
    ("C", 30, "ng", 32000, TC, ND, "open", "1996-01-01", "2003-06-30", 0.57, None, 0.76, 52),
    ("C", 40, "ng", 38000, TC, ND, "sealed", "2003-07-01", "2016-12-31", 0.59, None, 0.76, 66),
    ("C", 50, "ng", 40000, TC, ND, "sealed", "2003-07-01", "2016-12-31", 0.58, None, 0.76, 80),
    ("C", 40, "lp", 36000, TC, ND, "sealed", "2003-07-01", "2016-12-31", 0.59, None, 0.76, 64),
    ("C", 40, "ng", 40000, TP, ND, "sealed", "2017-06-12", None, None, 0.62, 0.80, 73),
    ("C", 50, "ng", 40000, TP, ND, "sealed", "2017-06-12", None, None, 0.61, 0.80, 86),
    ("C", 50, "lp", 38000, TP, ND, "sealed", "2017-06-12", None, None, 0.61, 0.80, 84),
    ("C", 40, "ng", 40000, TC, DV, "sealed", "2005-01-01", "2019-12-31", 0.59, None, 0.78, 70),
    ("C", 50, "ng", 42000, TP, DV, "sealed", "2009-01-01", None, 0.60, None, 0.79, 85),
)
STYLE = {
    "A": {"connection": RIGHT, "tip": "snap_in_collar", "tube": "compression_1_4",
          "mount": "two_screw_flat", "hood": "left", "knob": "round_dial"},
    "B": {"connection": "push_in", "tip": "flanged", "tube": "snap_fit_1_4",
          "mount": "tray_slide", "hood": "straight", "knob": "electronic"},
    "C": {"connection": LEFT, "tip": "threaded_collar", "tube": "compression_3_16",
          "mount": "two_screw_angle", "hood": "right", "knob": "push_and_turn"},
}  # fmt: skip


WORKED_PART = "SE-20104"
"""The part of the README's worked visit: it is on its van."""

ELEMENT_INSIDE = ("c-50-lp-tp-nd-sealed-2017",)
"""Heater families whose sensing element comes only inside the pilot assembly."""


class Shelf:
    """The parts made so far; the same features of one maker give the same part."""

    def __init__(self, chance: random.Random) -> None:
        self.chance = chance
        self.rows: dict[str, list[Row]] = {family: [] for family in PREFIX}
        self.by_features: dict[tuple[object, ...], str] = {}
        self.serial = {family: count(20101) for family in PREFIX}
        self.listed: list[Row] = []
        self.alike: list[Row] = []

    def add(self, family: str, maker: str, note: str = "", **features: object) -> str:
        """Add a part, whatever is there already."""
        number = f"{PREFIX[family]}-{next(self.serial[family])}"
        row: Row = {
            "number": number,
            "description": description(family, features, note),
            "maker": f"Maker {maker} (invented)",
            "universal": "no",
            "discontinued": "no",
            "replaced_by": "",
            **{name: written(value) for name, value in features.items()},
            "notice": INVENTED,
        }
        self.rows[family].append(row)
        return number

    def part(self, family: str, maker: str, **features: object) -> str:
        """Return the maker's part of these features, made once."""
        key = (family, maker, *sorted(features.items(), key=str))
        if key not in self.by_features:
            self.by_features[key] = self.add(family, maker, **features)
        return self.by_features[key]

    def row(self, number: str) -> Row:
        """Return the row of a number."""
        return next(row for rows in self.rows.values() for row in rows if row["number"] == number)

    def predecessors(self, family: str, number: str, generations: int) -> str:
        """Put older generations before a part, each replaced by the next."""
        after = number
        for _ in range(generations):
            older = dict(self.row(after))
            older["number"] = f"{PREFIX[family]}-{next(self.serial[family])}"
            older["discontinued"] = "yes"
            older["replaced_by"] = after
            self.rows[family].append(older)
            after = str(older["number"])
        return after


def written(value: object) -> object:
    """Write a value as the CSV files hold it."""
    if isinstance(value, bool):
        return "yes" if value else "no"
    return "" if value is None else value


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
    (Path(__file__).parents[1] / "catalog" / "fit_rules.toml").read_text(encoding="utf-8")
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


def heater_rows() -> Iterator[tuple[str, Row]]:
    """Yield each heater family as slug and row."""
    short = {TC: "tc", TP: "tp", IP: "ip", HS: "hs"}
    vent = {ND: "nd", PV: "pv", DV: "dv"}
    fuels = {"ng": "natural gas", "lp": "propane"}
    lights = {TC: "standing pilot", TP: "standing pilot with thermopile",
              IP: "intermittent pilot", HS: "hot surface"}  # fmt: skip
    vents = {ND: "", PV: ", power vent", DV: ", direct vent"}
    for maker, gal, fuel, burner, lit, venting, chamber, start, end, ef, uef, re, fhr in HEATERS:
        slug = f"{maker}-{gal}-{fuel}-{short[lit]}-{vent[venting]}-{chamber}-{start[:4]}".lower()
        years = f"{start[:4]}\N{EN DASH}{end[:4]}" if end else f"since {start[:4]}"
        label = f"{gal} gal {fuels[fuel]}, {lights[lit]}{vents[venting]}, {chamber}, {years}"
        yield (
            slug,
            {
                "slug": slug,
                "name": f"Maker {maker} {label} (invented)",
                "maker": f"Maker {maker} (invented)",
                "fuel": "natural_gas" if fuel == "ng" else "propane",
                "tank_volume_gal": gal,
                "input_btu_per_h": burner,
                "ignition": lit,
                "venting": venting,
                "chamber": chamber,
                "insulation_in": 1.0 if chamber == "open" else 2.0,
                "made_from": start,
                "made_to": written(end),
                "energy_factor": written(ef),
                "uniform_energy_factor": written(uef),
                "draw_bin": "medium" if uef and fhr < 75 else ("high" if uef else ""),
                "recovery_efficiency": re,
                "first_hour_rating_gal": fhr,
                "parts_warranty_years": 6,
                "tank_warranty_years": 6 if maker != "B" else 8,
                "notice": INVENTED,
            },
        )


def equip(shelf: Shelf, slug: str, heater: Row) -> None:
    """Make and list the parts of one heater family."""
    maker = str(heater["maker"]).split()[1]
    style = STYLE[maker]
    lit, sealed = heater["ignition"], heater["chamber"] == "sealed"
    gal = int(str(heater["tank_volume_gal"]))
    piloted = lit in (TC, TP)
    output = 750 if lit == TP else 30
    cut_off = sealed and maker == "A"
    reach = {30: 18, 40: 24, 50: 30, 75: 36}[gal]
    listed: dict[str, str] = {}
    if piloted:
        listed["sensing_element"] = shelf.part(
            "sensing_element", maker, output_class_mv=output, connection=style["connection"],
            tip_style=style["tip"], cut_off_built_in=cut_off, length_in=reach,
        )  # fmt: skip
        listed["element_clip"] = shelf.part(
            "sundry", maker, sundry_kind="clip", tip_style=style["tip"]
        )
    if lit != HS:
        listed["pilot_assembly"] = shelf.part(
            "pilot_assembly", maker, fuel=heater["fuel"], mounting=style["mount"],
            hood_direction=style["hood"], tube_connection=style["tube"],
            includes_igniter=sealed, includes_element=piloted and sealed,
            output_class_mv=output if piloted and sealed else None,
            connection=style["connection"] if piloted and sealed else None,
            cut_off_built_in=cut_off and piloted,
        )  # fmt: skip
        listed["pilot_tube"] = shelf.part(
            "pilot_tube", maker, tube_connection=style["tube"],
            diameter_in=0.1875 if style["tube"] == "compression_3_16" else 0.25, length_in=reach,
        )  # fmt: skip
        bore = {"natural_gas": 0.018, "propane": 0.011}[str(heater["fuel"])]
        listed["pilot_orifice"] = shelf.part(
            "orifice", maker, fuel=heater["fuel"], orifice_kind="pilot",
            bore_in=bore + {"A": 0.0, "B": 0.002, "C": 0.001}[maker],
            thread={"A": "push", "B": "m6", "C": "unf_1_4_28"}[maker],
        )  # fmt: skip
    listed["igniter"] = igniter(shelf, maker, str(lit), reach)
    listed["limit"] = shelf.part(
        "limit", maker, opens_at_f={30: 180, 40: 190, 50: 190, 75: 200}[gal],
        reset_kind="manual", mounting="surface_screw" if maker != "C" else "surface_strap",
        terminals="spade_1_4" if maker != "C" else "spade_3_16", lead_length_in=None,
    )  # fmt: skip
    if sealed and maker != "A":
        listed["thermal_fuse"] = shelf.part(
            "limit", maker, opens_at_f={"B": 310, "C": 290}[maker], reset_kind="one_shot",
            mounting="door_clip", terminals="leads_stripped", lead_length_in=12,
        )  # fmt: skip
    listed["gas_control"] = gas_control(shelf, maker, heater, style, str(lit), sealed=sealed)
    burner = int(str(heater["input_btu_per_h"]))
    listed["burner_orifice"] = shelf.part(
        "orifice", maker, fuel=heater["fuel"], orifice_kind="burner",
        bore_in=round((burner / 38000) ** 0.5 * (0.101 if heater["fuel"] == "natural_gas"
                                                else 0.062), 3),
        thread="unf_1_4_28",
    )  # fmt: skip
    if sealed:
        width = {30: 6.5, 40: 7.25, 50: 7.75, 75: 9.0}[gal] + {"A": 0, "B": 0.5, "C": 0.25}[maker]
        listed["burner_door"] = shelf.part(
            "door_kit", maker, chamber="sealed", door_width_in=width, includes_gasket=True
        )
        key = ("sundry", maker, "gasket", width)
        if key not in shelf.by_features:
            shelf.by_features[key] = shelf.add(
                "sundry", maker, f"for a {width:g} in burner door", sundry_kind="gasket"
            )
        listed["door_gasket"] = shelf.by_features[key]
        if maker != "A":
            listed["vapor_sensor"] = shelf.part(
                "vapor_sensor", maker, sensor_kind="resistive" if maker == "B" else "switch",
                terminal="plug_two_pole" if maker == "B" else "spade_3_16",
                mounting="clip" if maker == "B" else "one_screw",
            )  # fmt: skip
    if lit in (HS, IP):
        listed["flame_rod"] = shelf.part(
            "flame_rod", maker, mounting="one_screw", terminal="spade_1_4",
            rod_length_in=3.5 if gal < 75 else 4.25, lead_length_in=reach,
        )  # fmt: skip
    if slug in ELEMENT_INSIDE:
        del listed["sensing_element"], listed["element_clip"]
    for position, number in listed.items():
        shelf.listed.append(
            {"heater_family": slug, "position": position, "part": number, "notice": INVENTED}
        )


def igniter(shelf: Shelf, maker: str, lit: str, reach: int) -> str:
    """Return the igniter of a heater."""
    if lit == HS:
        return shelf.part(
            "igniter", maker, igniter_kind="hot_surface", terminal="plug_two_pole",
            mounting="one_screw", voltage_v=120 if reach < 36 else 80, lead_length_in=reach,
        )  # fmt: skip
    if lit == IP:
        return shelf.part(
            "igniter", maker, igniter_kind="electrode_and_lead", terminal="spade_3_16",
            mounting="clip", voltage_v=None, lead_length_in=reach,
        )  # fmt: skip
    return shelf.part(
        "igniter", maker, igniter_kind="push_button",
        terminal={"A": "spade_1_4", "B": "pin", "C": "spade_3_16"}[maker],
        mounting="panel_hole", voltage_v=None, lead_length_in=reach,
    )  # fmt: skip


def gas_control(
    shelf: Shelf, maker: str, heater: Row, style: dict[str, str], lit: str, *, sealed: bool
) -> str:
    """Return the gas control of a heater."""
    gas = heater["fuel"] == "natural_gas"
    piloted = lit in (TC, TP)
    return shelf.part(
        "gas_control", maker, fuel=heater["fuel"], inlet_size="npt_1_2",
        outlet_size="inverted_flare_1_2" if maker != "C" else "npt_1_2",
        max_input_btu_per_h=50000 if heater["tank_volume_gal"] != 75 else 80000,
        manifold_in_wc=(4.0 if maker != "C" else 3.5) if gas else 10.0,
        sensing_kind={TC: "thermocouple", TP: "thermopile"}.get(lit, "flame_rod"),
        connection=style["connection"] if piloted else "spade",
        probe_length_in=1.5 if not sealed else 2.5, insulation_in=heater["insulation_in"],
        cut_off_built_in=sealed or maker != "A", knob=style["knob"],
    )  # fmt: skip


def near_misses(shelf: Shelf) -> None:
    """Add parts that differ from a listed one in one feature, and cross-references."""
    turns: dict[str, dict[str, tuple[object, ...]]] = {
        "sensing_element": {
            "length_in": (18, 24, 30, 36, 48), "connection": (RIGHT, LEFT, "push_in", "spade"),
            "cut_off_built_in": ("yes", "no"),
            "tip_style": ("plain", "snap_in_collar", "threaded_collar", "flanged"),
        },
        "pilot_assembly": {
            "fuel": ("natural_gas", "propane"), "hood_direction": ("left", "right", "straight"),
            "tube_connection": ("compression_1_4", "compression_3_16", "snap_fit_1_4"),
            "mounting": ("two_screw_flat", "two_screw_angle", "tray_slide"),
            "includes_igniter": ("yes", "no"),
        },
        "igniter": {
            "lead_length_in": (12, 18, 24, 30, 36), "terminal": ("spade_1_4", "spade_3_16", "pin"),
        },
        "limit": {
            "opens_at_f": (170, 180, 190, 200, 210, 290, 310),
            "reset_kind": ("manual", "automatic"),
            "terminals": ("spade_1_4", "spade_3_16", "leads_stripped"),
        },
        "gas_control": {
            "fuel": ("natural_gas", "propane"), "inlet_size": ("npt_1_2", "npt_3_4"),
            "max_input_btu_per_h": (36000, 50000, 80000), "probe_length_in": (1.0, 1.5, 2.5, 3.0),
            "cut_off_built_in": ("yes", "no"), "knob": ("round_dial", "lever", "push_and_turn"),
            "connection": (RIGHT, LEFT, "push_in"),
        },
        "pilot_tube": {
            "length_in": (12, 18, 24, 30, 36), "tube_connection": ("compression_1_4",
                                                                  "compression_3_16"),
        },
        "orifice": {"fuel": ("natural_gas", "propane"), "thread": ("push", "m6", "unf_1_4_28")},
        "door_kit": {"door_width_in": (6.5, 7.0, 7.25, 7.5)},
        "vapor_sensor": {"terminal": ("spade_3_16", "plug_two_pole")},
        "flame_rod": {"rod_length_in": (3.0, 3.5, 4.25), "terminal": ("spade_1_4", "pin")},
    }  # fmt: skip
    for family, features in turns.items():
        for row in list(shelf.rows[family]):
            for feature, values in features.items():
                for value in values:
                    if str(value) != str(row[feature]):
                        copy(shelf, family, row, {feature: value})


def copy(shelf: Shelf, family: str, row: Row, changed: Row) -> str | None:
    """Add a part like another but for some features, unless there is one already."""
    common = {"number", "description", "universal", "discontinued", "replaced_by", "notice"}
    made = {name: value for name, value in {**row, **changed}.items() if name not in common}
    same = [
        r for r in shelf.rows[family]
        if all(str(r.get(name)) == str(value) for name, value in made.items())
    ]  # fmt: skip
    # Not every neighbor is made: a shelf has gaps.
    if same or shelf.chance.random() < GAPS[family]:
        return None
    maker = str(made.pop("maker")).split()[1]
    typed = {k: {"yes": True, "no": False, "": None}.get(str(v), v) for k, v in made.items()}
    return shelf.add(family, maker, **typed)


GAPS = {
    "sensing_element": 0.35, "pilot_assembly": 0.5, "igniter": 0.35, "limit": 0.3,
    "gas_control": 0.55, "pilot_tube": 0.4, "orifice": 0.4, "door_kit": 0.4,
    "vapor_sensor": 0.2, "flame_rod": 0.2,
}  # fmt: skip


def cross_references(shelf: Shelf) -> None:
    """Add alike and universal parts, older generations, and parts no longer made."""
    listed = sorted({str(row["part"]) for row in shelf.listed})
    for number in listed:
        family = family_of(number)
        row = shelf.row(number)
        if family in ("sensing_element", "igniter", "limit", "pilot_tube", "orifice", "flame_rod"):
            twin = copy(shelf, family, row, {"maker": "Maker D (invented)"})
            if twin is not None:
                shelf.alike.append({"part": number, "alike": twin, "notice": INVENTED})
    for family in ("sensing_element", "pilot_assembly", "gas_control", "igniter"):
        for number in [n for n in listed if family_of(n) == family][::2]:
            made = copy(shelf, family, shelf.row(number), universal_changes(family))
            if made is not None:
                row = shelf.row(made)
                row["universal"] = "yes"
                said = str(row["description"])
                row["description"] = f"Universal {said[:1].lower()}{said[1:]}"
    for place, number in enumerate(listed):
        family = family_of(number)
        if family != "sundry" and place % 4 == 0:
            oldest = shelf.predecessors(family, number, 1 + place % 3)
            for row in shelf.listed:
                if row["part"] == number:
                    row["part"] = oldest
    gone = ["a-30-ng-tc-nd-open-1994", "c-30-ng-tc-nd-open-1996"]
    for row in shelf.listed:
        if row["heater_family"] in gone and row["position"] in ("gas_control", "pilot_assembly"):
            old = dict(shelf.row(str(row["part"])))
            family = family_of(str(row["part"]))
            old["number"] = f"{PREFIX[family]}-{next(shelf.serial[family])}"
            old["discontinued"], old["replaced_by"] = "yes", ""
            shelf.rows[family].append(old)
            row["part"] = old["number"]


def universal_changes(family: str) -> Row:
    """Return how a universal part differs from the listed one."""
    return {
        "sensing_element": {"maker": "Maker D (invented)", "length_in": 36},
        "pilot_assembly": {"maker": "Maker D (invented)", "includes_igniter": "no"},
        "gas_control": {"maker": "Maker D (invented)", "knob": "lever"},
        "igniter": {"maker": "Maker D (invented)", "lead_length_in": 36},
    }[family]


def family_of(number: str) -> str:
    """Return the family that a number's first letters stand for."""
    return next(family for family, prefix in PREFIX.items() if number.startswith(prefix))


def sundries(shelf: Shelf) -> None:
    """Add leak solution, sealant, adapters."""
    shelf.add("sundry", "D", "8 oz bottle", sundry_kind="leak_solution")
    shelf.add("sundry", "D", "32 oz bottle", sundry_kind="leak_solution")
    shelf.add("sundry", "D", "stick, for gas", sundry_kind="thread_sealant")
    shelf.add("sundry", "D", "soft", sundry_kind="brush")
    shelf.add("sundry", "D", "round", sundry_kind="screen")
    for feature, has, needs in (
        ("connection", RIGHT, LEFT),
        ("connection", RIGHT, "push_in"),
        ("tube_connection", "compression_1_4", "compression_3_16"),
        ("inlet_size", "npt_3_4", "npt_1_2"),
        ("terminal", "spade_1_4", "spade_3_16"),
    ):
        shelf.add(
            "sundry", "D", sundry_kind="adapter", adapts_feature=feature, adapts_from=has,
            adapts_to=needs,
        )  # fmt: skip


def offers(shelf: Shelf) -> Iterator[Row]:
    """Yield several offers for each part, some past, some with an end."""
    for family, rows in shelf.rows.items():
        low, high = COST_RANGE[family]
        for row in rows:
            sold = row["discontinued"] == "no"
            base = shelf.chance.uniform(low, high)
            for place in range(shelf.chance.randint(2, 3)):
                cost = round(base * shelf.chance.uniform(0.94, 1.12), 2)
                yield {
                    "part": row["number"],
                    "supplier": SUPPLIERS[place],
                    "cost": f"{cost:.2f}",
                    "list_price": f"{base * 2.1:.2f}",
                    "valid_from": "2025-01-01",
                    "valid_to": "" if sold else "2025-06-30",
                    "order_days": shelf.chance.choice((1, 2, 2, 3, 5)),
                    "supplier_number": supplier_number(row["number"]) if place == 1 else "",
                    "notice": INVENTED,
                }
            if sold and shelf.chance.random() < 0.5:
                yield {
                    "part": row["number"],
                    "supplier": SUPPLIERS[0],
                    "cost": f"{base * 0.9:.2f}",
                    "list_price": f"{base * 2.0:.2f}",
                    "valid_from": "2026-01-15",
                    "valid_to": "2026-03-31",
                    "order_days": 4,
                    "supplier_number": "",
                    "notice": INVENTED,
                }


def supplier_number(number: object) -> str:
    """Return the number that one of the suppliers has for a part; the others use the maker's."""
    prefix, serial = str(number).split("-")
    return f"7{list(PREFIX.values()).index(prefix):02d}-{int(serial) - 20000:04d}"


def other_numbers(shelf: Shelf) -> Iterator[Row]:
    """Yield the shop's own number of every part that a maker lists."""
    listed = sorted({str(row["part"]) for row in shelf.listed})
    for place, number in enumerate(listed):
        yield {
            "number": f"LSW {4100 + place}",
            "part": number,
            "kind": "shop",
            "whose": "Lantern Street Water Heater Service (invented)",
            "notice": INVENTED,
        }


def stock(shelf: Shelf) -> Iterator[Row]:
    """Yield stock of two vans and a branch; much is out of stock."""
    places = (("van-1", "van", 0.22), ("van-2", "van", 0.22), ("branch-1", "branch", 0.5))
    listed = {str(row["part"]) for row in shelf.listed}
    for rows in shelf.rows.values():
        for row in rows:
            if row["discontinued"] == "yes":
                continue
            if row["number"] == WORKED_PART:
                yield {"part": WORKED_PART, "place": "van-1", "place_kind": "van", "pieces": 2,
                       "notice": INVENTED}  # fmt: skip
            liked = row["number"] in listed or row.get("sundry_kind") in (
                "leak_solution",
                "thread_sealant",
            )
            for place, kind, share in places:
                if shelf.chance.random() < share * (2.2 if liked else 0.7):
                    yield {
                        "part": row["number"],
                        "place": place,
                        "place_kind": kind,
                        "pieces": shelf.chance.choice((0, 1, 1, 2, 3, 6)),
                        "notice": INVENTED,
                    }


OPERATIONS = (
    ("clean_spark_gap", "Clean the electrode and set the gap", "remedy", "0.50", ""),
    ("replace_igniter", "Replace the igniter", "remedy", "0.75", ""),
    ("replace_pilot_assembly", "Replace the pilot assembly", "remedy", "1.25", ""),
    ("restore_supply", "Restore the gas supply", "remedy", "0.50", ""),
    ("supply_work", "Correct the supply pressure", "remedy", "1.00", ""),
    ("clear_pilot", "Clear the pilot orifice and tube", "remedy", "0.75", ""),
    ("replace_pilot_tube", "Replace the pilot tube", "remedy", "0.75", ""),
    ("replace_orifice", "Replace the pilot orifice", "remedy", "0.75", ""),
    ("reseat_element", "Reseat the sensing element", "remedy", "0.50", ""),
    ("clean_element", "Clean the sensing element", "remedy", "0.50", ""),
    ("replace_element", "Replace the sensing element", "remedy", "0.75", ""),
    ("tighten_joint", "Clean and tighten the joint at the control", "remedy", "0.25", ""),
    ("reset_limit", "Mend the cause and reset the limit", "remedy", "0.50", ""),
    ("replace_limit", "Mend the cause and replace the limit", "remedy", "0.75", ""),
    ("replace_fuse", "Mend the cause and replace the thermal fuse", "remedy", "0.75", ""),
    ("vent_work", "Correct the vent termination", "remedy", "1.50", ""),
    ("replace_gas_control", "Drain, replace the gas control, refill", "remedy", "1.75", ""),
    ("clean_arrestor", "Clean the flame arrestor and screen", "remedy", "1.00", ""),
    ("replace_vapor_sensor", "Find the vapor and replace the sensor", "remedy", "0.75", ""),
    ("replace_door_kit", "Replace the burner door and gasket", "remedy", "1.00", ""),
    ("clean_flame_rod", "Clean the flame rod", "remedy", "0.50", ""),
    ("replace_flame_rod", "Replace the flame rod", "remedy", "0.75", ""),
    ("light_and_test", "Light, test joints for leaks, check the flame", "with_remedy", "0.25",
     "replace_pilot_assembly|replace_gas_control|replace_pilot_tube|replace_orifice|clear_pilot|"
     "supply_work|replace_element|replace_door_kit|clean_arrestor"),
    ("install_gas_tank", "Install a gas tank heater", "install", "3.50", ""),
    ("install_power_vent_tank", "Install a power-vented gas tank heater", "install", "5.00", ""),
    ("install_instantaneous", "Install an instantaneous gas heater", "install", "8.00", ""),
    ("install_heat_pump", "Install a heat-pump water heater", "install", "5.50", ""),
    ("install_electric_tank", "Install an electric tank heater", "install", "3.00", ""),
)  # fmt: skip


def replacement_heaters() -> Iterator[Row]:
    """Yield the heaters that may stand in the old one's place."""
    for fuel, tag in (("natural_gas", "ng"), ("propane", "lp")):
        more = 0 if tag == "ng" else 60
        for gal, burner, fhr, cost in (
            (30, 30000, 54, 455), (40, 40000, 70, 515), (50, 40000, 84, 595), (75, 75100, 130, 1290)
        ):  # fmt: skip
            for venting, short, extra in ((ND, "nd", 0), (PV, "pv", 420), (DV, "dv", 310)):
                yield heater(
                    f"tank-{gal}-{tag}-{short}", f"{gal} gal gas tank", "standard",
                    "gas_storage", fuel, gal, burner, 0.6 if gal < 75 else 0.57, fhr,
                    cost + extra + more, venting=venting, circuit="no",
                )  # fmt: skip
        for gal, fhr, cost in ((40, 74, 890), (50, 90, 985)):
            yield heater(
                f"tank-{gal}-{tag}-damper", f"{gal} gal gas tank with flue damper",
                "high_efficiency", "gas_storage", fuel, gal, 40000, 0.68, fhr, cost + more,
            )  # fmt: skip
        yield heater(
            f"condensing-50-{tag}", "50 gal condensing gas tank", "condensing",
            "gas_storage_condensing", fuel, 50, 76000, 0.86, 127, 2350 + more, venting=PV,
            drain="can_be_added", gas_line="can_be_added",
        )  # fmt: skip
        for slug, label, kind, uef, cost, drain in (
            (f"instantaneous-{tag}", "Instantaneous gas heater", "instantaneous", 0.82, 940, "no"),
            (f"instantaneous-condensing-{tag}", "Condensing instantaneous gas heater",
             "instantaneous", 0.95, 1310, "must_exist"),
        ):  # fmt: skip
            yield heater(
                slug, label, kind, "gas_instantaneous", fuel, 0, 180000, uef, None, cost + more,
                venting=DV, drain=drain, gas_line="can_be_added", flow=4.8,
            )  # fmt: skip
    for gal, fhr, cost in ((50, 66, 1390), (65, 78, 1690), (80, 90, 1990)):
        yield heater(
            f"heat-pump-{gal}", f"{gal} gal heat-pump water heater", "heat_pump", "heat_pump",
            "electricity", gal, None, 3.5, fhr, cost, circuit="must_exist", drain="must_exist",
            room=700,
        )  # fmt: skip
    for gal, fhr, cost in ((40, 52, 410), (50, 62, 465)):
        yield heater(
            f"electric-{gal}", f"{gal} gal electric tank", "electric",
            "electric_storage", "electricity", gal, None, 0.92, fhr, cost, circuit="must_exist",
        )  # fmt: skip


def heater(
    slug: str, name: str, kind: str, heater_class: str, fuel: str, gal: int,
    burner: int | None, uef: float, fhr: int | None, cost: int, *, venting: str = ND,
    circuit: str = "no", drain: str = "no", gas_line: str = "must_exist",
    flow: float | None = None, room: int | None = None,
) -> Row:  # fmt: skip
    """Return the row of one replacement heater."""
    gas = fuel != "electricity"
    install = {
        "instantaneous": "install_instantaneous",
        "heat_pump": "install_heat_pump",
        "electric": "install_electric_tank",
        "condensing": "install_power_vent_tank",
    }.get(kind, "install_power_vent_tank" if venting == PV else "install_gas_tank")
    vents = {ND: ", natural draft", PV: ", power vent", DV: ", direct vent"}
    return {
        "slug": slug,
        "name": f"{name.replace('gas', 'propane') if fuel == 'propane' else name}"
        f"{vents[venting] if gas else ''}",
        "kind": kind,
        "heater_class": heater_class,
        "fuel": fuel,
        "volume_gal": gal,
        "input_btu_per_h": written(burner),
        "uniform_energy_factor": uef,
        "draw_bin": "high" if gal >= 65 or (fhr or 0) >= 75 or kind == "instantaneous"
        else "medium",
        "recovery_efficiency": {"standard": 0.79, "high_efficiency": 0.82, "condensing": 0.92,
                                "electric": 0.98}.get(kind, ""),
        "first_hour_rating_gal": written(fhr),
        "max_flow_gpm": written(flow),
        "venting": venting if gas else "",
        "upkeep_per_year": {"instantaneous": "85.00", "heat_pump": "30.00",
                            "condensing": "45.00"}.get(kind, "20.00"),
        "unit_cost": f"{cost}.00",
        "install_operation": install,
        "circuit_240v": circuit,
        "condensate_drain": drain,
        "gas_line": gas_line if gas else "no",
        "min_room_volume_ft3": written(room),
        "valid_from": "2025-01-01",
        "valid_to": "",
        "notice": INVENTED,
    }  # fmt: skip


SITE_ITEMS = (
    ("permit", "Permit", "permit", "85.00", "0", "", "the work needs a permit", ""),
    ("haul-away", "Haul away the old heater", "disposal", "35.00", "0.25", "",
     "the old heater is taken away", ""),
    ("expansion-tank", "Thermal expansion tank", "material", "48.00", "0.50",
     "closed_water_system=yes;expansion_tank=no;stores=yes",
     "the water system is closed and has no expansion tank",
     "whether the water system is closed and has an expansion tank"),
    ("drain-pan", "Drain pan and line", "material", "38.00", "0.50",
     "drain_pan_needed=yes;stores=yes", "a leak here would do damage", ""),
    ("sediment-trap", "Sediment trap", "material", "14.00", "0.25", "burns_gas=yes",
     "the gas line to a new heater gets a sediment trap", ""),
    ("vent-connector", "Vent connector and fittings", "material", "46.00", "0.50",
     "venting=natural_draft;same_venting=yes", "the old vent connector is renewed", ""),
    ("vent-new", "New vent through the wall or roof", "material", "210.00", "2.50",
     "burns_gas=yes;same_venting=no", "the new heater is vented another way", ""),
    ("vent-cap", "Close the old vent", "material", "25.00", "0.50",
     "same_venting=no", "the old vent is no longer used", ""),
    ("seismic-straps", "Seismic straps", "material", "26.00", "0.50",
     "seismic_zone=yes;stores=yes", "heaters here are strapped against earthquakes", ""),
    ("gas-line", "Larger gas line", "material", "160.00", "3.00",
     "gas_line=can_be_added;gas_line_enough=no", "the gas line is too small for its input",
     "whether the gas line carries its input"),
    ("condensate", "Condensate pump and neutralizer", "material", "115.00", "1.00",
     "needs_condensate_drain=can_be_added;condensate_drain=no",
     "there is no drain for condensate here", "whether there is a drain for condensate"),
    ("circuit-240v", "240 V circuit by an electrician", "material", "420.00", "0",
     "needs_circuit_240v=can_be_added;circuit_240v=no", "there is no 240 V circuit here",
     "whether there is a 240 V circuit"),
    ("cap-gas", "Cap the gas line and test", "material", "12.00", "0.50", "burns_gas=no",
     "the gas line is no longer used", ""),
)  # fmt: skip
INCENTIVES = (
    ("heat-pump-2025", "Utility rebate for heat-pump water heaters (invented)", "600.00",
     "heat_pump", 3.3, "2025-01-01", "2027-12-31"),
    ("condensing-2026", "Utility rebate for condensing heaters (invented)", "150.00",
     "gas_storage_condensing", 0.8, "2026-01-01", "2026-12-31"),
    ("instantaneous-2026", "Utility rebate for instantaneous heaters (invented)", "200.00",
     "gas_instantaneous", 0.9, "2026-01-01", "2026-12-31"),
    ("heat-pump-2024", "Past rebate for heat-pump water heaters (invented)", "300.00",
     "heat_pump", 2.0, "2024-01-01", "2024-12-31"),
)  # fmt: skip


def write(folder: Path, name: str, rows: Iterable[Row]) -> None:
    """Write one file."""
    held = list(rows)
    columns = list(dict.fromkeys(column for row in held for column in row))
    with (folder / f"{name}.csv").open("w", encoding="utf-8", newline="") as out:
        writer = csv.DictWriter(out, columns, restval="", lineterminator="\n")
        writer.writeheader()
        writer.writerows(held)


def make(folder: Path) -> None:
    """Write the whole demo catalog into a folder."""
    folder.mkdir(parents=True, exist_ok=True)
    shelf = Shelf(random.Random(SEED))
    families = list(heater_rows())
    for slug, row in families:
        equip(shelf, slug, row)
    cross_references_after_near_misses(shelf)
    write(folder, "heater_family", (row for _, row in families))
    for family, rows in shelf.rows.items():
        write(folder, family, rows)
    write(folder, "listed", shelf.listed)
    write(folder, "alike", shelf.alike)
    write(folder, "offer", offers(shelf))
    write(folder, "other_number", other_numbers(shelf))
    write(folder, "stock", stock(shelf))
    names = ("slug", "name", "kind", "hours", "goes_with")
    write(folder, "operation", named(names, OPERATIONS))
    write(folder, "replacement_heater", replacement_heaters())
    names = ("slug", "name", "kind", "unit_cost", "hours", "conditions", "because", "look_for")
    write(folder, "site_item", named(names, SITE_ITEMS))
    names = (
        "slug", "name", "amount", "heater_class", "min_uniform_energy_factor", "valid_from",
        "valid_to",
    )  # fmt: skip
    write(folder, "incentive", named(names, INCENTIVES))


def cross_references_after_near_misses(shelf: Shelf) -> None:
    """Add neighbors, then what refers to other parts, then the sundries."""
    near_misses(shelf)
    cross_references(shelf)
    sundries(shelf)


def named(names: tuple[str, ...], rows: Iterable[tuple[object, ...]]) -> Iterator[Row]:
    """Yield rows by column name, marked as invented."""
    for row in rows:
        yield {**dict(zip(names, row, strict=True)), "notice": INVENTED}


if __name__ == "__main__":
    make(HERE)
