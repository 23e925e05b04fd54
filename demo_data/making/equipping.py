"""The parts that the makers list for each heater family."""

from __future__ import annotations

from demo_data.making.heaters import HS, IP, TC, TP
from demo_data.making.rows import INVENTED, Row
from demo_data.making.shelf import Shelf
from demo_data.making.words import LEFT, RIGHT

STYLE = {
    "A": {"connection": RIGHT, "tip": "snap_in_collar", "tube": "compression_1_4",
          "mount": "two_screw_flat", "hood": "left", "knob": "round_dial"},
    "B": {"connection": "push_in", "tip": "flanged", "tube": "snap_fit_1_4",
          "mount": "tray_slide", "hood": "straight", "knob": "electronic"},
    "C": {"connection": LEFT, "tip": "threaded_collar", "tube": "compression_3_16",
          "mount": "two_screw_angle", "hood": "right", "knob": "push_and_turn"},
}  # fmt: skip
ELEMENT_INSIDE = ("c-50-lp-tp-nd-sealed-2017",)
"""Heater families whose sensing element comes only inside the pilot assembly."""


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
