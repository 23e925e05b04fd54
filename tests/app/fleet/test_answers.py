"""Every answer of a fleet against the engine that serves one heater."""

from __future__ import annotations

from datetime import date, timedelta
from decimal import Decimal
from pathlib import Path
from typing import Any

import numpy as np
import pandas as pd
import pyarrow.parquet as pq
import pytest

from app.files import read_toml
from app.fleet.running import run_fleet
from app.fleet.setting import FleetSetting
from app.fleet.terms_file import FleetTerms
from estimator.comparison import Challenger, Comparison, Defender, Terms
from estimator.efficiency import rating_of
from estimator.energy import energy_cost_per_year, heater_energy, replacement_energy
from estimator.heater import Fuel, HeaterClass, Household, Ignition, RatingPlate
from estimator.life_cycle import compare
from estimator.mains import daily_draw_gal
from estimator.price_outlook import price_indices
from estimator.supply import Operation, ReplacementHeater
from estimator.survival import DEFAULT_LIVES, conditional_survival

WITHIN = 1e-9


def number(text: object) -> float | None:
    return None if text == "" else float(str(text))


def alone(row: dict[str, Any], terms: FleetTerms) -> tuple[Comparison, Household]:
    """Cost one row by the functions of one heater, from the cells of the file."""
    years = terms.years or 13
    fuel = Fuel(row["fuel"])
    age = number(row["age_years"])
    if age is None:
        made = date.fromisoformat(row["manufactured"])
        age = (terms.on - made).days / 365.25
    else:
        made = terms.on - timedelta(days=round(age * 365.25))
    plate = RatingPlate(
        fuel=fuel,
        tank_volume_gal=row["tank_volume_gal"],
        input_btu_per_h=row["input_btu_per_h"],
        ignition=Ignition.PILOT_THERMOCOUPLE,
        manufactured=made,
        energy_factor=number(row["energy_factor"]),
        uniform_energy_factor=number(row["uniform_energy_factor"]),
        draw_bin=row["draw_bin"] or None,
    )
    household = Household(
        gallons_per_day=number(row["gallons_per_day"]),
        people=row["people"] or None,
        setpoint_f=number(row["setpoint_f"]) or 125.0,
        inlet_f=number(row["inlet_f"]),
    )

    def cost(use: Any, of: Fuel) -> float:
        return energy_cost_per_year(
            use,
            of,
            natural_gas_per_therm=terms.fuel_prices.natural_gas_per_therm,
            propane_per_gal=terms.fuel_prices.propane_per_gal,
            electricity_per_kwh=terms.fuel_prices.electricity_per_kwh,
        )

    def running(of: HeaterClass, burns: Fuel, upkeep: Any) -> dict[str, Any]:
        return {
            "life": DEFAULT_LIVES[of],
            "price_indices": price_indices(burns, years, terms.on.year),
            "upkeep_per_year": float(upkeep.upkeep_per_year),
            "later_repairs_per_year": upkeep.repairs_per_year,
            "later_repair_price": float(upkeep.repair_price),
        }

    challengers = []
    for each in terms.challenger:
        burns = Fuel.ELECTRICITY if each.heater_class is HeaterClass.HEAT_PUMP else fuel
        replacement = ReplacementHeater(
            slug=each.name,
            name=each.name,
            heater_class=each.heater_class,
            fuel=burns,
            like_for_like=each.like_for_like,
            volume_gal=40,
            input_btu_per_h=each.input_btu_per_h,
            uniform_energy_factor=each.uniform_energy_factor,
            draw_bin=each.draw_bin,
            recovery_efficiency=each.recovery_efficiency,
            first_hour_rating_gal=None,
            unit_cost=Decimal(0),
            install=Operation(slug="install", name="Install", hours=Decimal(1)),
        )
        upkeep = terms.economics.challenger_upkeep[each.heater_class]
        challengers.append(
            Challenger(
                name=each.name,
                energy_cost_per_year=cost(replacement_energy(replacement, household), burns),
                installed_price=each.installed_price,
                incentives=each.incentives,
                **running(each.heater_class, burns, upkeep),
            )
        )
    use = heater_energy(plate, rating_of(plate), household)
    defender = Defender(
        name="in place",
        energy_cost_per_year=cost(use, fuel),
        installed_price=next(e.installed_price for e in terms.challenger if e.like_for_like),
        age_years=age,
        repair_price=row["repair_price"],
        **running(HeaterClass.GAS_STORAGE, fuel, terms.economics.defender_upkeep),
    )
    economics = terms.economics
    engine_terms = Terms(
        years=years,
        real_discount_rate=economics.real_discount_rate,
        urgency_premium=economics.urgency_premium,
        failure_damage=float(economics.failure_damage),
    )
    return compare(defender, challengers, engine_terms, with_break_even_age=False), household


@pytest.mark.parametrize("seed", [1, 2])
def test_each_row_against_the_single_heater_engine(
    seed: int, rows: Any, as_csv: Any, setting: FleetSetting, terms_file: Path, tmp_path: Path
) -> None:
    given = rows(300, seed)
    source = as_csv(tmp_path / "in.csv", given)
    finished = run_fleet(source, tmp_path / "out.parquet", setting, part_rows=128)
    assert finished.summary.heaters == 300
    assert finished.parts == 3
    terms = FleetTerms.model_validate(read_toml(terms_file))
    answers = pq.read_table(tmp_path / "out.parquet").to_pylist()
    for row, answer in zip(given, answers, strict=True):
        found, household = alone(row, terms)
        assert answer["id"] == row["id"]
        assert answer["draw_gal_per_day"] == pytest.approx(daily_draw_gal(household), rel=1e-12)
        assert answer["repair_lcc"] == pytest.approx(found.repair.lcc, abs=WITHIN, rel=0)
        for path in found.challengers:
            assert answer[f"lcc_{path.name}"] == pytest.approx(path.lcc, abs=WITHIN, rel=0)
        assert answer["best_challenger"] == found.cheapest
        assert answer["break_even_repair_price"] == pytest.approx(
            found.break_even_repair_price, abs=WITHIN
        )
        assert found.best_planned is not None
        assert answer["best_planned_after_years"] == found.best_planned.year
        assert answer["best_planned_lcc"] == pytest.approx(
            found.best_planned.lcc, abs=WITHIN, rel=0
        )
        least = min(found.repair.lcc, found.best_planned.lcc)
        now = min(path.lcc for path in found.challengers) <= least
        assert (answer["advice"] == "replace_now") == now
        assert (answer["replace_in_year"] == 2026) == now


def test_summary_adds_up_to_the_answers(
    rows: Any, as_csv: Any, setting: FleetSetting, tmp_path: Path
) -> None:
    source = as_csv(tmp_path / "in.csv", rows(400, 5))
    summary = run_fleet(source, tmp_path / "out.parquet", setting, part_rows=100).summary
    answers = pd.read_parquet(tmp_path / "out.parquet")
    table = pd.read_csv(tmp_path / "out.summary.csv")
    due = answers[answers.replace_in_year.notna()]
    for (site, year), here in due.groupby(["site", "replace_in_year"]):
        line = table[(table.site == site) & (table.year == year)].iloc[0]
        assert line.heaters_to_replace == len(here)
        assert line.replacement_budget_usd == pytest.approx(here.replacement_budget.sum(), abs=0.01)
    kept = answers[answers.advice != "replace_now"]
    assert table.heaters_to_repair.sum() == len(kept)
    assert table.repair_budget_usd.sum() == pytest.approx(kept.repair_price.sum(), abs=0.05)
    first = table[table.year == 2026]
    assert first.expected_failures.sum() == pytest.approx(
        kept.chance_fails_first_year.sum(), abs=0.05
    )
    # Heaters run to failure: those that fail within the study, and what that costs.
    life, bare = DEFAULT_LIVES[HeaterClass.GAS_STORAGE], 1 + 0.15
    fails, cost = 0.0, 0.0
    for each in kept.itertuples():
        last = 13 if np.isnan(each.replace_in_year) else int(each.replace_in_year) - 2026
        chance = 1 - conditional_survival(life, each.age_years, float(last))
        fails += chance
        cost += chance * (each.best_challenger_price * bare + 150)
    assert table.expected_failures.sum() == pytest.approx(fails, abs=0.3)
    assert table.expected_failure_cost_usd.sum() == pytest.approx(cost, abs=0.5)
    assert fails > 50
    assert sum(summary.advice.values()) == sum(summary.chances) == 400
    assert summary.advice["replace_now"] == len(answers) - len(kept)
