"""Other numbers on a priced visit: as quoted they give the quote, and each moves what it should."""

from __future__ import annotations

from pathlib import Path

import pytest

from app.files import read_toml
from app.shop import Shop
from app.trying import Tried, setting_of, try_numbers
from app.views.trying import SLIDERS, build_tried_view, factor
from app.visiting import PricedVisit, price_visit, visit_from
from tests.acting import TESTER

OPEN = (
    "worn_element",
    "young_heater",
    "old_propane",
    "no_label",
    "sealed_door",
    "thermopile",
    "warranty_running",
    "rental_short_stay",
)


def priced(shop: Shop, visits: Path, name: str = "worn_element") -> PricedVisit:
    path = visits / f"{name}.toml"
    return price_visit(shop, TESTER, visit_from(read_toml(path), str(path)))


@pytest.mark.parametrize("name", OPEN)
def test_the_numbers_as_quoted_give_what_the_quote_says(
    name: str, shop: Shop, visits: Path
) -> None:
    visit = priced(shop, visits, name)
    estimate, tried = visit.estimate, try_numbers(visit, {})
    assert tried.repair_lcc == estimate.repair.cost.lcc
    assert tried.replace_lcc == estimate.replacements[0].cost.lcc
    assert tried.replacement == estimate.replacements[0].name
    assert tried.chance_repair_cheaper == estimate.futures.chance_repair_cheaper


def test_each_slider_moves_the_answer_as_the_swings_say(shop: Shop, visits: Path) -> None:
    visit = priced(shop, visits)
    assert {slider.name for slider in SLIDERS} == {it.name for it in visit.estimate.moves_most}
    for swing in visit.estimate.moves_most:
        for said, saves in ((swing.low, swing.saves_at_low), (swing.high, swing.saves_at_high)):
            tried = try_numbers(visit, {swing.name: factor(int(said.removesuffix(" %")))})
            assert tried.replace_lcc - tried.repair_lcc == pytest.approx(saves, abs=1e-6)


def test_several_move_at_once(shop: Shop, visits: Path) -> None:
    """The price of the repair counts one for one, whatever else is moved."""
    visit = priced(shop, visits)
    dear_energy = {"what energy costs": 1.5}
    alone = try_numbers(visit, dear_energy)
    both = try_numbers(visit, dear_energy | {"the price of this repair": 2.0})
    price = float(visit.estimate.repair.priced.total)
    assert both.repair_lcc - alone.repair_lcc == pytest.approx(price)
    assert both.replace_lcc == alone.replace_lcc
    assert both.chance_repair_cheaper < alone.chance_repair_cheaper


def test_only_replacements_that_the_estimate_compares_are_in_it(shop: Shop, visits: Path) -> None:
    visit = priced(shop, visits)
    compared = {unit.name for unit in setting_of(visit).challengers}
    assert compared == {path.name for path in visit.estimate.futures.challengers}


def test_the_words() -> None:
    view = build_tried_view(Tried(4_000.0, 4_321.0, "40 gal gas tank", 0.6512))
    assert view.verdict == "Repairing is expected to cost $321 less."
    assert view.chance == "In about 7 of 10 futures, repairing costs less."
    assert view.figures == (("Repair now, in all", "$4,000"), ("40 gal gas tank, in all", "$4,321"))
    other = build_tried_view(Tried(4_500.0, 4_321.0, "40 gal gas tank", 0.3))
    assert other.verdict == "Replacing is expected to cost $179 less."
