"""Small invented catalogs, written part by part, for worked cases."""

from __future__ import annotations

import csv
from datetime import date
from pathlib import Path
from typing import Any

from catalog.part_rows import COMMON, FEATURES
from catalog.rows import PART_FILES
from estimator.findings import Remedy
from estimator.heater import Chamber, Fuel, Ignition, RatingPlate, Venting
from estimator.supply import PartFamily

ON = date(2026, 2, 2)
Features = dict[str, Any]

BASE: dict[PartFamily, Features] = {
    PartFamily.SENSING_ELEMENT: {
        "output_class_mv": 30,
        "connection": "threaded_right_11_32_32",
        "tip_style": "snap_in_collar",
        "cut_off_built_in": False,
        "length_in": 24,
    },
    PartFamily.PILOT_ASSEMBLY: {
        "fuel": "natural_gas",
        "mounting": "two_screw_flat",
        "hood_direction": "left",
        "tube_connection": "compression_1_4",
        "includes_igniter": True,
        "includes_element": True,
        "output_class_mv": 30,
        "connection": "threaded_right_11_32_32",
        "cut_off_built_in": False,
    },
    PartFamily.IGNITER: {
        "igniter_kind": "push_button",
        "terminal": "spade_1_4",
        "mounting": "panel_hole",
        "voltage_v": None,
        "lead_length_in": 24,
    },
    PartFamily.LIMIT: {
        "opens_at_f": 190,
        "reset_kind": "manual",
        "mounting": "surface_screw",
        "terminals": "spade_1_4",
        "lead_length_in": None,
    },
    PartFamily.GAS_CONTROL: {
        "fuel": "natural_gas",
        "inlet_size": "npt_1_2",
        "outlet_size": "inverted_flare_1_2",
        "max_input_btu_per_h": 50000,
        "manifold_in_wc": 4.0,
        "sensing_kind": "thermocouple",
        "connection": "threaded_right_11_32_32",
        "probe_length_in": 2.5,
        "insulation_in": 2.0,
        "cut_off_built_in": True,
        "knob": "round_dial",
    },
    PartFamily.PILOT_TUBE: {
        "tube_connection": "compression_1_4",
        "diameter_in": 0.25,
        "length_in": 24,
    },
    PartFamily.ORIFICE: {
        "fuel": "natural_gas",
        "orifice_kind": "pilot",
        "bore_in": 0.018,
        "thread": "push",
    },
    PartFamily.DOOR_KIT: {"chamber": "sealed", "door_width_in": 7.25, "includes_gasket": True},
    PartFamily.VAPOR_SENSOR: {
        "sensor_kind": "resistive",
        "terminal": "plug_two_pole",
        "mounting": "clip",
    },
    PartFamily.FLAME_ROD: {
        "mounting": "one_screw",
        "terminal": "spade_1_4",
        "rod_length_in": 3.5,
        "lead_length_in": 24,
    },
    PartFamily.SUNDRY: {
        "sundry_kind": "leak_solution",
        "tip_style": None,
        "adapts_feature": None,
        "adapts_from": None,
        "adapts_to": None,
    },
}
"""Features of the part that a worked case starts from."""

HEATER: Features = {
    "slug": "heater",
    "name": "Invented heater",
    "maker": "Maker A (invented)",
    "fuel": "natural_gas",
    "tank_volume_gal": 40,
    "input_btu_per_h": 40000,
    "ignition": "pilot_thermocouple",
    "venting": "natural_draft",
    "chamber": "open",
    "insulation_in": 2.0,
    "made_from": "2000-01-01",
    "made_to": "",
    "energy_factor": 0.59,
    "uniform_energy_factor": "",
    "draw_bin": "",
    "recovery_efficiency": 0.76,
    "first_hour_rating_gal": 67,
    "parts_warranty_years": 6,
    "tank_warranty_years": 6,
}
PLATE = RatingPlate(
    fuel=Fuel.NATURAL_GAS,
    tank_volume_gal=40,
    input_btu_per_h=40000,
    ignition=Ignition.PILOT_THERMOCOUPLE,
    venting=Venting.NATURAL_DRAFT,
    chamber=Chamber.OPEN,
    manufactured=date(2001, 5, 1),
)
HEADERS = {
    "listed": ["heater_family", "position", "part"],
    "alike": ["part", "alike"],
    "offer": ["part", "supplier", "cost", "list_price", "valid_from", "valid_to", "order_days",
              "supplier_number"],
    "other_number": ["number", "part", "kind", "whose"],
    "stock": ["part", "place", "place_kind", "pieces"],
    "operation": ["slug", "name", "kind", "hours", "goes_with"],
    "replacement_heater": [
        "slug", "name", "kind", "heater_class", "fuel", "volume_gal", "input_btu_per_h",
        "uniform_energy_factor", "draw_bin", "recovery_efficiency", "first_hour_rating_gal",
        "max_flow_gpm", "venting", "upkeep_per_year", "unit_cost", "install_operation",
        "circuit_240v", "condensate_drain", "gas_line", "min_room_volume_ft3", "valid_from",
        "valid_to",
    ],
    "site_item": [
        "slug", "name", "kind", "unit_cost", "hours", "conditions", "because", "look_for",
    ],
    "incentive": [
        "slug", "name", "amount", "heater_class", "min_uniform_energy_factor", "valid_from",
        "valid_to",
    ],
}  # fmt: skip


class SmallCatalog:
    """Source files in the making; `write` puts them in a folder."""

    def __init__(self) -> None:
        self.parts: dict[PartFamily, list[Features]] = {family: [] for family in PartFamily}
        self.heaters: list[Features] = [dict(HEATER)]
        self.rows: dict[str, list[Features]] = {name: [] for name in HEADERS}
        self.rows["operation"] = [
            {"slug": remedy.value, "name": remedy.value, "kind": "remedy", "hours": "0.50"}
            for remedy in Remedy
            if remedy is not Remedy.REPLACE_HEATER
        ]

    def part(
        self,
        family: PartFamily,
        number: str,
        changed: Features | None = None,
        *,
        universal: bool = False,
        replaced_by: str | None = None,
        discontinued: bool = False,
        cost: str | None = "10.00",
    ) -> str:
        """Add a part like the base one of its family but for what is changed."""
        self.parts[family].append(
            {
                "number": number,
                "description": f"Invented {family.value}",
                "maker": "Maker A (invented)",
                "universal": universal,
                "discontinued": discontinued or replaced_by is not None,
                "replaced_by": replaced_by,
                **BASE[family],
                **(changed or {}),
            }
        )
        if cost is not None:
            self.offer(number, cost)
        return number

    def offer(self, number: str, cost: str, **changed: Any) -> None:
        """Add an offer that holds from 2025 on."""
        row = {"part": number, "supplier": "Counter A (invented)", "cost": cost,
               "valid_from": "2025-01-01", "order_days": 2}  # fmt: skip
        self.rows["offer"].append({**row, **changed})

    def other(self, number: str, part: str, kind: str, whose: str) -> None:
        """Say which number somebody else has for a part."""
        self.rows["other_number"].append(
            {"number": number, "part": part, "kind": kind, "whose": whose}
        )

    def stock(self, number: str, place: str, pieces: int) -> None:
        """Put pieces of a part on a van or at the branch."""
        kind = "van" if place.startswith("van") else "branch"
        self.rows["stock"].append(
            {"part": number, "place": place, "place_kind": kind, "pieces": pieces}
        )

    def listed(self, position: str, number: str, heater: str = "heater") -> None:
        """List a part for a heater."""
        self.rows["listed"].append({"heater_family": heater, "position": position, "part": number})

    def alike(self, one: str, other: str) -> None:
        """Say that two parts serve for each other."""
        self.rows["alike"].append({"part": one, "alike": other})

    def adapter(self, number: str, feature: str, has: str, needs: str) -> None:
        """Add an adapter."""
        changed = {"sundry_kind": "adapter", "adapts_feature": feature, "adapts_from": has,
                   "adapts_to": needs}  # fmt: skip
        self.part(PartFamily.SUNDRY, number, changed, cost="3.00")

    def write(self, folder: Path) -> Path:
        """Write every file."""
        folder.mkdir(parents=True, exist_ok=True)
        for file in PART_FILES:
            family = PartFamily(file.name)
            columns = [name for name in (*COMMON, *FEATURES[family]) if name != "notice"]
            _write(folder / f"{file.name}.csv", columns, self.parts[family])
        _write(folder / "heater_family.csv", list(HEATER), self.heaters)
        for name, columns in HEADERS.items():
            _write(folder / f"{name}.csv", columns, self.rows[name])
        return folder


def _write(path: Path, columns: list[str], rows: list[Features]) -> None:
    with path.open("w", encoding="utf-8", newline="") as out:
        writer = csv.DictWriter(out, columns, restval="", lineterminator="\n")
        writer.writeheader()
        for row in rows:
            writer.writerow({name: _cell(value) for name, value in row.items()})


def _cell(value: object) -> object:
    if isinstance(value, bool):
        return "yes" if value else "no"
    return "" if value is None else value
