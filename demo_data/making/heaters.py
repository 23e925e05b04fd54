"""The invented heater families, from heaters.csv."""

from __future__ import annotations

import csv
from collections.abc import Iterator
from pathlib import Path

from demo_data.making.rows import INVENTED, Row

TC, TP, IP, HS = "pilot_thermocouple", "pilot_thermopile", "intermittent_pilot", "hot_surface"
ND, PV, DV = "natural_draft", "power_vent", "direct_vent"


def heater_rows() -> Iterator[tuple[str, Row]]:
    """Yield each heater family as slug and row."""
    short = {TC: "tc", TP: "tp", IP: "ip", HS: "hs"}
    vent = {ND: "nd", PV: "pv", DV: "dv"}
    fuels = {"ng": "natural gas", "lp": "propane"}
    lights = {TC: "standing pilot", TP: "standing pilot with thermopile",
              IP: "intermittent pilot", HS: "hot surface"}  # fmt: skip
    vents = {ND: "", PV: ", power vent", DV: ", direct vent"}
    for held in _held():
        maker, gal, fuel, lit = (
            held[key] for key in ("maker", "tank_volume_gal", "fuel", "ignition")
        )
        venting, chamber, start = held["venting"], held["chamber"], held["made_from"]
        fhr, uef = int(held["first_hour_rating_gal"]), held["uniform_energy_factor"]
        slug = f"{maker}-{gal}-{fuel}-{short[lit]}-{vent[venting]}-{chamber}-{start[:4]}".lower()
        end = held["made_to"]
        years = f"{start[:4]}\N{EN DASH}{end[:4]}" if end else f"since {start[:4]}"
        label = f"{gal} gal {fuels[fuel]}, {lights[lit]}{vents[venting]}, {chamber}, {years}"
        yield (
            slug,
            {
                "slug": slug,
                "name": f"Maker {maker} {label} (invented)",
                "maker": f"Maker {maker} (invented)",
                "fuel": "natural_gas" if fuel == "ng" else "propane",
                "tank_volume_gal": int(gal),
                "input_btu_per_h": int(held["input_btu_per_h"]),
                "ignition": lit,
                "venting": venting,
                "chamber": chamber,
                "insulation_in": 1.0 if chamber == "open" else 2.0,
                "made_from": start,
                "made_to": end,
                "energy_factor": held["energy_factor"],
                "uniform_energy_factor": uef,
                "draw_bin": "medium" if uef and fhr < 75 else ("high" if uef else ""),
                "recovery_efficiency": held["recovery_efficiency"],
                "first_hour_rating_gal": fhr,
                "parts_warranty_years": 6,
                "tank_warranty_years": 6 if maker != "B" else 8,
                "notice": INVENTED,
            },
        )


def _held() -> list[dict[str, str]]:
    with (Path(__file__).parent / "heaters.csv").open(encoding="utf-8", newline="") as held:
        return list(csv.DictReader(held))
