"""Parts that differ a little from those listed, what replaces what, what is alike, sundries."""

from __future__ import annotations

from demo_data.making.rows import INVENTED, PREFIX, Row, family_of
from demo_data.making.shelf import Shelf
from demo_data.making.words import LEFT, RIGHT


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
