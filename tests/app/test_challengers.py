"""`heater challengers`: ranked, what each wins on, frontier, hot water, keeping, tornado."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest

from app.challengers import challengers_of
from app.files import read_toml
from app.shop import Shop
from app.views.challengers import ChallengersView, build_challengers_view
from app.visiting import price_visit, visit_from
from estimator.hot_water import PeakHour
from tests.acting import TESTER
from tests.app.command import run

VISITS = ("worn_element", "old_propane", "young_heater", "rental_short_stay", "tank_leak")


def found(visits: Path, shop_folder: Path, name: str = "worn_element", *more: object) -> Any:
    done = run("challengers", visits / f"{name}.toml", "--shop", shop_folder, "--json", *more)
    assert done.status == 0, done.stderr
    return json.loads(done.stdout)


def view(shop: Shop, visits: Path, name: str, hour: PeakHour | None = None) -> ChallengersView:
    path = visits / f"{name}.toml"
    priced = price_visit(shop, TESTER, visit_from(read_toml(path), str(path)))
    return build_challengers_view(challengers_of(priced, hour))


@pytest.mark.parametrize("name", VISITS)
def test_the_same_figures_as_the_quote(visits: Path, demo_shop_folder: Path, name: str) -> None:
    ours = found(visits, demo_shop_folder, name)
    quote = json.loads(
        run("quote", visits / f"{name}.toml", "--shop", demo_shop_folder, "--json").stdout
    )
    assert ours["study_years"] == quote["study_years"]
    assert [it["slug"] for it in ours["challengers"]] == [
        it["slug"] for it in quote["replacements"]
    ]
    for one, other in zip(ours["challengers"], quote["replacements"], strict=True):
        for key in ("closed_reason", "price_today", "lcc", "per_month", "co2_kg_per_year"):
            assert one[key] == other[key]
    assert ours["repair"]["lcc"] == quote["repair"]["lcc"]


@pytest.mark.parametrize("name", VISITS)
def test_closed_ones_come_last_with_a_reason_and_win_nothing(
    visits: Path, demo_shop_folder: Path, name: str
) -> None:
    every = found(visits, demo_shop_folder, name)["challengers"]
    closed = [it["closed_reason"] is not None for it in every]
    assert closed == sorted(closed)
    for it in every:
        if it["closed_reason"] is not None:
            assert (it["wins_on"], it["on_frontier"]) == ([], False)


@pytest.mark.parametrize("name", VISITS)
def test_wins_and_frontier_by_plain_comparison(
    visits: Path, demo_shop_folder: Path, name: str
) -> None:
    ours = found(visits, demo_shop_folder, name)
    going = [it for it in ours["challengers"] if it["closed_reason"] is None]
    keys = {
        "price today": lambda it: it["price_after_incentives"],
        "monthly cost": lambda it: it["equivalent_annual_cost"],
        "energy cost": lambda it: it["energy_cost_per_year"],
        "CO₂": lambda it: it["co2_kg_per_year"],
        "hot water": lambda it: -it["hot_water"]["gives"] / it["hot_water"]["needed"],
    }
    for count, key in keys.items():
        best = min(map(key, going))
        for it in going:
            assert (count in it["wins_on"]) == (key(it) == best), (it["slug"], count)
    for it in going:
        price, cost = it["price_after_incentives"], it["lcc"]
        beaten = any(
            other["price_after_incentives"] <= price and other["lcc"] <= cost and other is not it
            for other in going
        )
        assert it["on_frontier"] != beaten
    by_price = sorted(
        (it for it in going if it["on_frontier"]), key=lambda it: it["price_after_incentives"]
    )
    assert ours["frontier"] == [it["slug"] for it in by_price]


def test_hot_water_by_counted_uses(visits: Path, demo_shop_folder: Path) -> None:
    guessed = found(visits, demo_shop_folder)
    assert guessed["peak_hour"]["assumed"] is True
    counted = found(
        visits, demo_shop_folder, "worn_element", "--showers", 5, "--dishwasher-loads", 1,
        "--showers-at-once", 3,
    )  # fmt: skip
    assert counted["peak_hour"]["assumed"] is False
    tank = next(it for it in counted["challengers"] if it["slug"] == "tank-40-ng-nd")
    assert tank["hot_water"] == {"unit": "gal", "gives": 70.0, "needed": 107.0, "enough": False}
    flow = next(it for it in counted["challengers"] if it["slug"].startswith("instantaneous"))
    assert flow["hot_water"]["unit"] == "gal/min"
    assert flow["hot_water"]["enough"] is False
    assert [it["lcc"] for it in counted["challengers"]] == [
        it["lcc"] for it in guessed["challengers"]
    ]


def test_the_words(visits: Path, demo_shop_folder: Path) -> None:
    said = run("challengers", visits / "worn_element.toml", "--shop", demo_shop_folder).stdout
    assert said.startswith("Repair: $217.26 today")
    assert "Taken from the number of people: ask them." in said
    assert "hot water: 70 gal in the first hour, 65 needed: enough" in said
    assert "Cannot go here: There is no 240 V circuit here, and this heater needs one." in said
    assert "Best on price today, monthly cost" in said
    assert "What moves the answer most" in said


def test_a_closed_repair_has_no_figures_no_tornado_and_no_keeping(
    visits: Path, demo_shop_folder: Path, shop: Shop
) -> None:
    ours = found(visits, demo_shop_folder, "tank_leak")
    repair = ours["repair"]
    assert ours["by_the_year"] is None
    assert repair["open"] is False
    assert repair["closed_reason"]
    assert {value for key, value in repair.items() if key not in ("open", "closed_reason")} == {
        None
    }
    seen = view(shop, visits, "tank_leak")
    assert (seen.tornado, seen.keeping) == (None, ())
    assert seen.repair.startswith("Repair is closed: ")
    assert not any(point.is_repair for point in seen.frontier.points)


def test_the_plot_holds_what_goes_here_and_the_repair(shop: Shop, visits: Path) -> None:
    seen = view(shop, visits, "worn_element")
    names = [point.name for point in seen.frontier.points]
    assert names == [row.name for row in seen.rows if row.rank is not None] + ["Repair"]
    assert [point.on_frontier for point in seen.frontier.points].count(True) == len(
        seen.frontier.line
    )
    assert list(seen.frontier.line) == sorted(seen.frontier.line)


def test_the_tornado_holds_the_widest_first_and_its_middle(shop: Shop, visits: Path) -> None:
    seen = view(shop, visits, "worn_element")
    assert seen.tornado is not None
    widths = [abs(bar.saves_at_high_usd - bar.saves_at_low_usd) for bar in seen.tornado.bars]
    assert widths == sorted(widths, reverse=True)
    for bar in seen.tornado.bars:
        low, high = sorted((bar.saves_at_low_usd, bar.saves_at_high_usd))
        assert low - 1e-6 <= seen.tornado.saves_as_quoted_usd <= high + 1e-6
    assert seen.tornado.description.startswith("As quoted repairing saves $344.")


def test_by_the_year_against_plain_reading(
    visits: Path, demo_shop_folder: Path, shop: Shop
) -> None:
    ours = found(visits, demo_shop_folder)
    best = ours["challengers"][0]
    old, new = ours["by_the_year"]["heater_in_place"], ours["by_the_year"][best["slug"]]
    for each in (old, new):
        annual = each["annual_cost_by_years_kept"]
        assert len(annual) == len(each["cost_of_each_year"]) == 40
        assert annual[0] == pytest.approx(each["cost_of_each_year"][0])
        assert each["least_per_year"] == min(annual)
        assert each["economic_life_years"] == 1 + annual.index(min(annual))
    # One year of the new heater: its price and interest, energy, upkeep and repairs (20 +
    # 0.03 x 290), and nothing fails before the delay of one year.
    running = best["energy_cost_per_year"] * 0.99, best["energy_cost_per_year"] * 1.01
    first = new["cost_of_each_year"][0] - best["price_after_incentives"] * 1.03 - 28.70
    assert running[0] < first < running[1]
    said = view(shop, visits, "worn_element").keeping
    assert f"costs ${old['least_per_year']:,.0f} a year, less than" in said[0]
    assert old["least_per_year"] < new["least_per_year"]


def test_by_the_year_does_not_hang_on_how_long_they_stay(
    visits: Path, demo_shop_folder: Path
) -> None:
    stays, leaves = (
        found(visits, demo_shop_folder, "worn_element", "--study", study)
        for study in ("customer", "remaining_life")
    )
    assert stays["study_years"] != leaves["study_years"]
    assert stays["by_the_year"] == leaves["by_the_year"]


@pytest.mark.parametrize(
    ("study", "years"), [("customer", 10), ("challenger_life", 13), ("remaining_life", 6)]
)
def test_study_by_what_is_asked(
    visits: Path, demo_shop_folder: Path, study: str, years: int
) -> None:
    """The heater was made in September 2015 and has 6 years left at its mean; they stay 10."""
    assert found(visits, demo_shop_folder, "worn_element", "--study", study)["study_years"] == years


def test_no_cost_of_the_shop_and_no_margin_in_it(visits: Path, demo_shop_folder: Path) -> None:
    text = json.dumps(found(visits, demo_shop_folder))
    assert "margin" not in text
    assert "unit_cost" not in text


def test_refusals_are_plain(visits: Path, demo_shop_folder: Path, tmp_path: Path) -> None:
    done = run("challengers", tmp_path / "none.toml", "--shop", demo_shop_folder)
    assert (done.status, done.stdout) == (2, "")
    assert done.stderr.startswith("There is no file in ")
    done = run("challengers", visits / "worn_element.toml", "--shop", tmp_path)
    assert done.stderr.startswith("There is no shop in the folder")


def test_what_the_place_asks_for_and_who_pays_until_when(
    visits: Path, demo_shop_folder: Path
) -> None:
    every = {it["slug"]: it for it in found(visits, demo_shop_folder, "sealed_door")["challengers"]}
    heat_pump, tank = every["heat-pump-50"], every["tank-50-ng-nd"]
    # The rebate of 2024 is over on the day of the visit.
    assert heat_pump["incentives"] == [
        {
            "name": "Utility rebate (invented)",
            "amount": "600.00",
            "last_day": "2027-12-31",
        }
    ]
    taken_off = heat_pump["price_today"] - heat_pump["price_after_incentives"]
    assert taken_off == pytest.approx(600)
    assert tank["incentives"] == []
    assert {"slug", "name", "because"} == set(tank["site_asks_for"][0])
    assert "Sediment trap" in {it["name"] for it in tank["site_asks_for"]}
    assert "Sediment trap" not in {it["name"] for it in heat_pump["site_asks_for"]}
    told = run("challengers", visits / "sealed_door.toml", "--shop", demo_shop_folder).stdout
    assert "Off the price: $600.00 from Utility rebate (invented), until December 31, 2027" in told
    assert "With it: Cap the gas line and test" in told
