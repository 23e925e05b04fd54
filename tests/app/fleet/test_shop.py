"""A fleet costed with a shop's rates and catalog against the estimate of a visit."""

from __future__ import annotations

from datetime import date
from decimal import Decimal
from pathlib import Path
from typing import Any

import pyarrow.parquet as pq
import pytest

from app.fleet.running import run_fleet
from app.fleet.shop_offers import setting_from_shop
from app.wiring import build_demo_shop, open_shop
from catalog.replacements import replacements
from estimator.case import Case
from estimator.errors import LedgerTrouble
from estimator.estimating import estimate_case
from estimator.findings import Finding, Remedy
from estimator.heater import DrawBin, Fuel, Household, Ignition, RatingPlate, Site, Venting
from estimator.supply import Supply
from tests.acting import TESTER

ON = date(2026, 6, 1)


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    made = tmp_path_factory.mktemp("shop")
    build_demo_shop(made).close()
    return made


ROWS: list[dict[str, Any]] = [
    {"fuel": "natural_gas", "tank_volume_gal": 40, "input_btu_per_h": 40_000},
    {"fuel": "propane", "tank_volume_gal": 30, "input_btu_per_h": 30_000},
    {"fuel": "natural_gas", "tank_volume_gal": 50, "input_btu_per_h": 40_000, "energy_factor": 0.6},
    {"tank_volume_gal": 50, "venting": "power_vent", "uniform_energy_factor": 0.62},
    {"circuit_240v": "yes", "condensate_drain": "yes", "gas_line_btu_per_h": 250_000},
    {"circuit_240v": "no", "condensate_drain": "no", "access": "very_tight"},
    {"location": "attic", "access": "tight", "people": 4},
    {"gas_line_btu_per_h": 45_000, "circuit_240v": "yes", "setpoint_f": 140},
]
USUAL = {
    "fuel": "natural_gas",
    "tank_volume_gal": 40,
    "input_btu_per_h": 38_000,
    "manufactured": "2014-09-12",
    "draw_bin": "medium",
    "repair_price": 350.0,
}


def estimated(folder: Path, row: dict[str, Any]) -> Any:
    """Estimate one row as a visit; the repair is priced by the shop, not by the row."""
    plate = RatingPlate(
        fuel=Fuel(row["fuel"]),
        tank_volume_gal=row["tank_volume_gal"],
        input_btu_per_h=row["input_btu_per_h"],
        ignition=Ignition.PILOT_THERMOCOUPLE,
        venting=Venting(row.get("venting", "natural_draft")),
        manufactured=date.fromisoformat(row["manufactured"]),
        energy_factor=row.get("energy_factor"),
        uniform_energy_factor=row.get("uniform_energy_factor"),
        draw_bin=DrawBin(row["draw_bin"]),
    )
    answers = {"yes": True, "no": False, None: None}
    site = Site(
        location=row.get("location", "basement"),
        access=row.get("access", "open"),
        circuit_240v=answers[row.get("circuit_240v")],
        condensate_drain=answers[row.get("condensate_drain")],
        gas_line_btu_per_h=row.get("gas_line_btu_per_h"),
    )
    household = Household(people=row.get("people"), setpoint_f=row.get("setpoint_f", 125.0))
    shop = open_shop(folder)
    try:
        catalog = shop.catalog()
        supply = Supply(
            catalog_version=catalog.version,
            replacements=replacements(catalog, plate, site, household, ON),
        )
        rates = shop.ledger.rate_sheets.on(ON).sheet
    finally:
        shop.close()
    case = Case(
        heater=plate,
        site=site,
        household=household,
        finding=Finding.LOOSE_CONNECTION,
        remedy=Remedy.TIGHTEN_JOINT,
    )
    return estimate_case(case, supply, rates, ON).estimate


def test_each_row_against_the_estimate_of_a_visit(
    folder: Path, tmp_path: Path, as_csv: Any
) -> None:
    names = dict.fromkeys(name for row in (USUAL, *ROWS) for name in row)
    rows = [
        {"id": f"H{n}", **{k: (USUAL | row).get(k, "") for k in names}}
        for n, row in enumerate(ROWS)
    ]
    setting = setting_from_shop(folder, TESTER, ON, None, None)
    finished = run_fleet(as_csv(tmp_path / "in.csv", rows), tmp_path / "out.parquet", setting)
    assert (finished.summary.heaters, finished.summary.rejected) == (len(ROWS), 0)
    answers = pq.read_table(tmp_path / "out.parquet").to_pylist()
    for row, answer in zip(ROWS, answers, strict=True):
        estimate = estimated(folder, USUAL | row)
        best = estimate.replacements[0]
        assert answer["best_challenger"] == best.slug
        assert answer["best_challenger_lcc"] == pytest.approx(best.cost.lcc, abs=1e-9, rel=0)
        assert Decimal(repr(answer["best_challenger_price"])) == best.priced.total
        assert answer["energy_cost_per_year"] == pytest.approx(
            estimate.heater.energy_cost_per_year, rel=1e-12
        )
        # The price at which both paths cost the same does not go by the price itself.
        exact = estimate.repair.priced.total + Decimal(
            repr(best.cost.lcc - estimate.repair.cost.lcc)
        )
        assert answer["break_even_repair_price"] == pytest.approx(float(exact), abs=1e-8)
        costs = sorted(p.cost.lcc for p in estimate.replacements if p.closed_reason is None)
        shown = sorted(v for k, v in answer.items() if k.startswith("lcc_") and v is not None)
        assert shown == pytest.approx(costs, abs=1e-9, rel=0)


def test_years_and_repair_price_given_outright(folder: Path, tmp_path: Path, as_csv: Any) -> None:
    setting = setting_from_shop(folder, TESTER, ON, 7, 275.0)
    assert (setting.years, setting.repair_price) == (7, 275.0)
    row = {"id": "H", **USUAL, "repair_price": ""}
    run_fleet(as_csv(tmp_path / "in.csv", [row]), tmp_path / "out.parquet", setting)
    (answer,) = pq.read_table(tmp_path / "out.parquet").to_pylist()
    assert answer["repair_price"] == 275.0
    assert setting.fingerprint() != setting_from_shop(folder, TESTER, ON, 7, 276.0).fingerprint()


def test_no_shop_is_said_plainly(tmp_path: Path) -> None:
    with pytest.raises(LedgerTrouble, match="There is no shop in the folder"):
        setting_from_shop(tmp_path, TESTER, ON, None, None)
