"""A finding that the readings leave open: worked out beside the quote, shown to the technician."""

from __future__ import annotations

import json
from dataclasses import replace
from decimal import Decimal
from pathlib import Path
from typing import Any

import pytest

from app.doubting import Doubt, doubt_of
from app.files import read_toml
from app.shop import Shop
from app.views.doubt import build_doubt_view
from app.visiting import PricedVisit, price_visit, visit_from
from tests.acting import TESTER
from tests.app.command import run

OPEN = ("young_heater", "thermopile", "limit_opened", "sealed_door", "warranty_running")
SETTLED = ("worn_element", "no_label", "hot_surface", "rental_short_stay")
CLOSED = ("tank_leak", "flue_spills")


def priced(shop: Shop, visits: Path, name: str, **work: Any) -> PricedVisit:
    values = read_toml(visits / f"{name}.toml")
    values["work"] |= work
    return price_visit(shop, TESTER, visit_from(values, name))


def doubt(shop: Shop, visits: Path, name: str) -> Doubt:
    found = doubt_of(shop, TESTER, priced(shop, visits, name))
    assert found is not None
    return found


@pytest.mark.parametrize("name", SETTLED + CLOSED)
def test_nothing_is_said_where_the_finding_is_settled_or_the_path_closed(
    name: str, shop: Shop, visits: Path
) -> None:
    assert doubt_of(shop, TESTER, priced(shop, visits, name)) is None


@pytest.mark.parametrize("name", OPEN)
def test_the_first_attempt_is_the_repair_that_is_quoted(
    name: str, shop: Shop, visits: Path
) -> None:
    visit = priced(shop, visits, name)
    found = doubt(shop, visits, name)
    first = found.trials[0]
    assert first.attempt.remedy is visit.visit.work.remedy
    assert first.attempt.findings[0] is visit.visit.work.finding
    assert first.repair_price == float(visit.estimate.repair.priced.total)
    assert found.cost.chance_first_is_right < 0.9
    assert found.cost.lcc > found.cost.lcc_if_known
    assert sum(trial.attempt.probability for trial in found.trials) == pytest.approx(1)


def test_other_repairs_cost_what_a_visit_for_them_is_quoted(shop: Shop, visits: Path) -> None:
    """Cleaning is named; a new element is what may be needed, at the price of its own visit."""
    found = doubt(shop, visits, "young_heater")
    alone = priced(shop, visits, "young_heater", finding="element_worn", remedy="replace_element")
    assert found.trials[1].repair_price == float(alone.estimate.repair.priced.total)


def test_expected_cost_by_hand(shop: Shop, visits: Path) -> None:
    """Two findings: right at once, or the wrong repair in full, the trip again, the right one."""
    visit, found = priced(shop, visits, "young_heater"), doubt(shop, visits, "young_heater")
    estimate, trip = visit.estimate, 95.0
    assert visit.rate_sheet.sheet.trip.amount == Decimal("95.00")
    clean, new = (trial.repair_price or 0.0 for trial in found.trials)
    chance = found.trials[0].attempt.probability
    after = estimate.repair.cost.lcc - clean
    by_hand = after + chance * clean + (1 - chance) * (clean + trip + new)
    assert found.cost.lcc == pytest.approx(by_hand, abs=1e-6)
    assert found.cost.doubt_cost == pytest.approx((1 - chance) * (clean + trip), abs=1e-6)
    assert found.cost.dearest_price == pytest.approx(clean + trip + new)


def test_where_the_trip_is_charged_anyway_it_is_in_each_price(shop: Shop, visits: Path) -> None:
    visit = priced(shop, visits, "young_heater")
    sheet = visit.rate_sheet.sheet
    trip = sheet.trip.model_copy(update={"credited_when_work_goes_ahead": False})
    charged = visit.rate_sheet.model_copy(update={"sheet": sheet.model_copy(update={"trip": trip})})
    found = doubt_of(shop, TESTER, replace(visit, rate_sheet=charged))
    assert found is not None
    clean, new = (trial.repair_price or 0.0 for trial in found.trials)
    # The first price is of the visit as it was priced; the second holds its own trip charge.
    assert found.cost.dearest_price == pytest.approx(clean + new)


def test_the_view_says_what_follows(shop: Shop, visits: Path) -> None:
    view = build_doubt_view(doubt(shop, visits, "young_heater"))
    assert view is not None
    assert view.sentence == (
        "The readings leave it open: 54% that this repair mends it. The customer does not see this."
    )
    assert view.verdict.startswith("With the doubt counted, repairing still costs less, by $")
    assert [trial.name for trial in view.trials] == [
        "Clean the sensing element",
        "Replace the sensing element",
    ]
    assert view.trials[1].mends == "Mends: sensing element worn"
    assert dict(view.figures)["Replaced after all"] == "never: each repair is tried"


def test_where_replacing_is_cheaper_one_more_reading_comes_first(shop: Shop, visits: Path) -> None:
    found = doubt(shop, visits, "sealed_door")
    assert not found.repair_is_cheaper
    view = build_doubt_view(found)
    assert view is not None
    assert view.verdict.startswith("With the doubt counted, replacing now costs less, by $")
    assert view.verdict.endswith("Take one more reading before you offer the repair.")
    assert [trial.tried for trial in view.trials] == [True, False, False]


def test_no_view_without_doubt() -> None:
    assert build_doubt_view(None) is None


def test_json_of_the_command_has_it_and_the_terminal_keeps_it_from_the_customer(
    demo_shop_folder: Path, visits: Path
) -> None:
    visit = visits / "young_heater.toml"
    found = json.loads(run("quote", visit, "--shop", demo_shop_folder, "--json").stdout)["doubt"]
    assert [each["remedy"] for each in found["possible"]] == ["clean_element", "replace_element"]
    assert found["lcc"] == pytest.approx(found["lcc_if_known"] + found["doubt_cost"])
    assert found["chance_first_is_right"] == found["possible"][0]["chance"]
    done = run("quote", visit, "--shop", demo_shop_folder)
    assert "If the finding is wrong" in done.stderr
    assert "finding is wrong" not in done.stdout
    settled = run("quote", visits / "worn_element.toml", "--shop", demo_shop_folder, "--json")
    assert json.loads(settled.stdout)["doubt"] is None
