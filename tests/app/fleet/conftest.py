"""Invented fleets, and the terms that they are costed with."""

from __future__ import annotations

import csv
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from app.fleet.setting import FleetSetting
from app.fleet.terms_file import setting_from_terms

DEMO_DATA = Path(__file__).resolve().parents[3] / "demo_data"
Row = dict[str, Any]


def invented_rows(count: int, seed: int = 1) -> list[Row]:
    """Rows of every sort that is usable, as a person would write them."""
    rng = np.random.default_rng(seed)

    def maybe(value: object) -> object:
        return value if rng.random() < 0.5 else ""

    rows = []
    for number in range(1, count + 1):
        label = rng.integers(0, 3)
        dated = rng.random() < 0.7
        day = np.datetime64("1985-01-01") + int(rng.integers(0, 14_900))
        rows.append(
            {
                "id": f"H-{number}",
                "site": f"Site {rng.integers(1, 6)}",
                "fuel": str(rng.choice(["natural_gas", "propane"])),
                "tank_volume_gal": int(rng.choice([30, 40, 50, 75])),
                "input_btu_per_h": int(rng.choice([30_000, 36_000, 40_000, 75_100])),
                "manufactured": str(day) if dated else "",
                "age_years": "" if dated else round(float(rng.uniform(0, 40)), 1),
                "energy_factor": round(float(rng.uniform(0.5, 0.62)), 2) if label == 0 else "",
                "uniform_energy_factor": (
                    round(float(rng.uniform(0.54, 0.64)), 2) if label == 1 else ""
                ),
                "draw_bin": maybe("medium") if label == 1 else "",
                "gallons_per_day": maybe(round(float(rng.uniform(20, 90)), 1)),
                "people": maybe(int(rng.integers(1, 6))),
                "setpoint_f": maybe(130),
                "inlet_f": maybe(52.5),
                "repair_price": round(float(rng.uniform(90, 900)), 2),
            }
        )
    return rows


def write_csv(path: Path, rows: list[Row], *, delimiter: str = ",", bom: bool = False) -> Path:
    with path.open("w", newline="", encoding="utf-8-sig" if bom else "utf-8") as file:
        writer = csv.DictWriter(file, list(rows[0]), delimiter=delimiter)
        writer.writeheader()
        writer.writerows(rows)
    return path


@pytest.fixture
def rows() -> Any:
    return invented_rows


@pytest.fixture
def as_csv() -> Any:
    return write_csv


@pytest.fixture(scope="session")
def terms_file() -> Path:
    return DEMO_DATA / "fleet_terms.toml"


@pytest.fixture
def setting(terms_file: Path) -> FleetSetting:
    return setting_from_terms(terms_file)
