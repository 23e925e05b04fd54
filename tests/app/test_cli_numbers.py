"""`heater compare` and `heater energy`: documented keys, exact numbers, plain refusals."""

from __future__ import annotations

import json
import re
from pathlib import Path

import pytest

from tests.app.command import run

CASE = """
years = 12
real_discount_rate = 0.03
fuel_escalation = 0.01
install_price_escalation = 0
urgency_premium = 0.15
failure_damage = 150
aging = 0

[defender]
age_years = 8
repair_price = 280
weibull = { shape = 2, scale_years = 12, delay_years = 1 }
energy_cost_per_year = 310
upkeep_per_year = 20
later_repairs_per_year = 0.06
later_repair_price = 240
like_for_like_price = 1800

[[challenger]]
name = "like for like"
weibull = { shape = 2, scale_years = 12, delay_years = 1 }
energy_cost_per_year = 265
upkeep_per_year = 20
later_repairs_per_year = 0.03
later_repair_price = 240
installed_price = 1800
incentives = 0
"""


@pytest.fixture
def case_file(tmp_path: Path) -> Path:
    path = tmp_path / "case.toml"
    path.write_text(CASE)
    return path


def test_compare_against_an_independent_plain_loop(case_file: Path) -> None:
    # Values from a plain-loop implementation written apart from this one, to the cent.
    done = run("compare", case_file, "--json")
    found = json.loads(done.stdout)
    assert found["repair_lcc"] == pytest.approx(4878.35, abs=0.005)
    assert found["challengers"][0]["lcc"] == pytest.approx(5178.39, abs=0.005)
    assert found["break_even_repair_price"] == pytest.approx(580.04, abs=0.005)
    # The equivalent annual cost is LCC over UPV(3 %, 12 yr), printed as 9.95 in Handbook 135.
    annual = found["challengers"][0]["equivalent_annual_cost"]
    assert found["challengers"][0]["lcc"] / annual == pytest.approx(9.95, abs=0.005)
    assert set(found) >= {"best_planned_year", "best_planned_lcc"}


def test_compare_draws_futures_around_its_own_exact_answer(case_file: Path) -> None:
    found = json.loads(run("compare", case_file, "--draws", 20_000, "--json").stdout)
    sure = found["how_sure"]
    assert sure["draws"] == 20_000
    assert 0 < sure["chance_repair_cheaper"] < 1
    assert sure["repair_lcc"]["low"] < found["repair_lcc"] < sure["repair_lcc"]["high"]
    again = json.loads(run("compare", case_file, "--draws", 20_000, "--json").stdout)
    other = json.loads(run("compare", case_file, "--draws", 20_000, "--seed", 2, "--json").stdout)
    assert again == found
    assert other["how_sure"] != sure
    assert "how_sure" not in json.loads(run("compare", case_file, "--json").stdout)
    told = run("compare", case_file, "--draws", 500).stdout
    assert re.search(r"In about \d+ of 10 futures, repairing costs less\.", told)
    assert "Over the study, 8 of 10 futures lie within" in told
    assert "how long this heater lasts: -25 % " in told
    assert "the price of this repair: " in told
    assert "turns at 580.04 USD" in told


def test_compare_draws_gives_bands_by_year_and_what_moves_the_answer(case_file: Path) -> None:
    found = json.loads(run("compare", case_file, "--draws", 2_000, "--json").stdout)
    sure = found["how_sure"]
    by_year = [sure["repair_by_year"], sure["replacement_by_year"]["like for like"]]
    for bands in by_year:
        assert len(bands) == 13
        assert all(band["low"] <= band["middle"] <= band["high"] for band in bands)
    assert by_year[0][0] == {"low": 280.0, "middle": 280.0, "high": 280.0}
    saved = found["challengers"][0]["lcc"] - found["repair_lcc"]
    widths = [abs(it["saves_at_low"] - it["saves_at_high"]) for it in found["moves_most"]]
    assert widths == sorted(widths, reverse=True)
    price = next(it for it in found["moves_most"] if it["name"] == "the price of this repair")
    assert price["saves_at_low"] == pytest.approx(saved + 0.15 * 280)
    assert price["saves_at_high"] == pytest.approx(saved - 0.15 * 280)


def test_compare_takes_price_indices_in_place_of_an_escalation(case_file: Path) -> None:
    indices = [1.01**year for year in range(1, 13)]
    by_rate = json.loads(run("compare", case_file, "--json").stdout)
    case_file.write_text(CASE.replace("fuel_escalation = 0.01", f"price_indices = {indices}"))
    by_index = json.loads(run("compare", case_file, "--json").stdout)
    assert by_index["repair_lcc"] == pytest.approx(by_rate["repair_lcc"], abs=1e-9)


@pytest.mark.parametrize(
    ("old", "new", "said"),
    [
        ("aging = 0", "ageing = 0", 'The key "ageing" is not known'),
        ("urgency_premium = 0.15", "", 'The key "urgency_premium" is missing'),
        ("repair_price = 280", "", 'The key "defender.repair_price" is missing'),
        ("years = 12", "years = 0", "years"),
        ("years = 12", "years = 12.5", "years"),
        ("fuel_escalation = 0.01", "", "give either fuel_escalation or price_indices"),
        ("years = 12", "years = twelve", "The file is not TOML"),
    ],
)
def test_compare_refuses_by_name(case_file: Path, old: str, new: str, said: str) -> None:
    case_file.write_text(CASE.replace(old, new, 1))
    done = run("compare", case_file, "--json")
    assert done.status == 2
    assert said.lower() in done.stderr.lower()
    assert done.stdout == ""
    assert "Traceback" not in done.stderr


def test_compare_says_when_a_file_is_missing(tmp_path: Path) -> None:
    done = run("compare", tmp_path / "none.toml")
    assert done.status == 2
    assert done.stderr.startswith("There is no file in ")


def test_energy_against_lutz_wham_case() -> None:
    # WHAM, Lutz et al., ACEEE 1998: 40 gal, EF .59, RE .76, 38,000 Btu/h at 55 gal/day.
    options = ("--ef", 0.59, "--recovery", 0.76, "--input", 38000, "--gallons-per-day", 55)
    found = json.loads(run("energy", *options, "--json").stdout)
    assert found["ua_btu_per_h_f"] == pytest.approx(10.2232, abs=5e-5)
    assert found["btu_per_day"] == pytest.approx(53_729.14, abs=0.005)
    assert found["therms_per_year"] == pytest.approx(196.111, abs=5e-4)


@pytest.mark.parametrize(
    ("options", "said"),
    [
        (("--ef", 0.59, "--uef", 0.6), "give either --ef or --uef"),
        (("--uef", 0.6), "--uef and --draw-bin go together"),
        (("--ef", 0.8), "recovery"),
        (("--ef", 0.59, "--inlet", 94, "--setpoint", 93), "colder than the set point"),
    ],
)
def test_energy_refuses_what_cannot_be(options: tuple[object, ...], said: str) -> None:
    rest = ("--recovery", 0.76, "--input", 38000, "--gallons-per-day", 55)
    done = run("energy", *options, *rest)
    assert done.status == 2
    assert said.lower() in done.stderr.lower()
    assert "Traceback" not in done.stderr
