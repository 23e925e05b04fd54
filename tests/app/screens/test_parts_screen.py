"""The parts screen without a browser: a number, words, a measure, nothing, a broken rule."""

from __future__ import annotations

import csv
import re
import shutil
from datetime import UTC, datetime
from html import unescape
from pathlib import Path
from typing import TYPE_CHECKING

import pytest

from app import cataloging, quoting, visiting
from app.people.accounts import DEMO_TECHNICIAN
from app.views.parts_form import MAIN, families_to_measure
from app.wiring import demo_visit
from catalog.fit_rules import read_rules, rules_that_ship
from catalog.versions import current_version
from estimator.errors import Trouble
from tests.acting import TESTER
from tests.app.screens.reading import asked, box, sound, text_of

if TYPE_CHECKING:
    from collections.abc import Callable

    from streamlit.testing.v1 import AppTest

    from app.shop import Shop

SOURCES = Path(__file__).parents[3] / "demo_data" / "catalog"
SEARCH = "q"


def _named(slug: str) -> str:
    """Return the name of a heater family, as the list on the screen has it."""
    with (SOURCES / "heater_family.csv").open(encoding="utf-8", newline="") as source:
        return next(row["name"] for row in csv.DictReader(source) if row["slug"] == slug)


@pytest.fixture
def parts(owner_at: Callable[..., AppTest]) -> Callable[..., AppTest]:
    """Return a function that opens the parts screen at an address, as the technician."""

    def opened(**address: str) -> AppTest:
        return owner_at("parts", by=DEMO_TECHNICIAN, **address)

    return opened


def test_a_number_with_slips_shows_part_chain_and_what_goes_in(
    parts: Callable[..., AppTest],
) -> None:
    page = parts(q="se 2o195", van="van-1")
    sound(page)
    said = text_of(page)
    assert "Read as SE20195: number SE-20195" in said
    assert "Replaced by: SE-20195 → SE-20194 → SE-20102" in said
    assert "Today's part SE-20102" in said
    assert "What goes in for SE-20195" in said
    assert "✓ Listed by the maker" in said
    assert "Replaces SE-20195, the number on the old part." in said
    assert "Other numbers it may have been" in said
    assert "To order, 1 day" in said


def test_a_part_of_the_heater_that_is_told_comes_before_numbers_as_near(
    parts: Callable[..., AppTest],
) -> None:
    page = parts(q="SE-2010", van="van-1", heater=_named("a-30-ng-tc-nd-open-1994"))
    sound(page)
    said = text_of(page)
    assert "not in the catalog; this heater's parts list has SE-20101." in said
    cards = [each.proto.body for each in page.get("html") if "Read with a slip" in each.proto.body]
    assert "SE-20101" in cards[0]
    assert "On this heater's parts list" in unescape(cards[0])
    assert "parts list" not in cards[1]


def test_a_part_sold_under_its_own_number_is_not_told_twice(
    parts: Callable[..., AppTest],
) -> None:
    card = next(
        block.proto.body
        for block in parts(q="SE-20104", van="van-1").get("html")
        if "Found as typed" in block.proto.body
    )
    assert card.count("SE-20104") == 1
    assert "Sold today" in card


@pytest.mark.parametrize("typed", ["thermocouple 24 in", "thermocouple 609.6 mm"])
def test_words_and_a_measure_in_either_unit_find_the_same(
    parts: Callable[..., AppTest], typed: str
) -> None:
    page = parts(q=typed, van="van-1")
    sound(page)
    said = text_of(page)
    assert "Read as sensing element, output class 30 mV, length 24 in (609.6 mm)." in said
    assert "! Alike as far as known" in said
    assert "! check this Connection at the control: this has" in said  # unknown is no match
    assert "✓ matches Length: 24 in, as measured." in said
    assert "Near misses, and why they do not fit" in said
    assert "3 on the van" in said


def test_a_measure_alone_asks_of_what_and_a_tap_answers(parts: Callable[..., AppTest]) -> None:
    page = parts(q="610 mm")
    sound(page)
    assert "Read as a measure, 610 mm. Of what part is it?" in text_of(page)
    page.button(key="ask-sensing element 610 mm").click().run()
    sound(page)
    assert asked(page, "q") == "sensing element 610 mm"
    assert box(page, SEARCH).value == "sensing element 610 mm"
    assert "Read as sensing element, length 24.0157 in (610.0 mm)." in text_of(page)


def test_what_is_not_found_says_so(parts: Callable[..., AppTest]) -> None:
    page = parts(q="ZZZZZZZZ")
    sound(page)
    assert "Read as ZZZZZZZZ: no number in the catalog is like it." in text_of(page)
    nothing = parts(q="thermocouple 99 in")
    sound(nothing)
    assert "Nothing fits." in text_of(nothing)
    assert "see the near misses for what differs" in text_of(nothing)
    assert "99 in" in text_of(nothing).split("Near misses")[1]
    blank = parts(q="-")
    sound(blank)
    assert "Type a number, or words such as thermocouple 24 in." in text_of(blank)


def test_the_companions_of_a_sealed_heater_stand_with_the_part(
    parts: Callable[..., AppTest],
) -> None:
    page = parts(q="SE-20104", van="van-1", heater=_named("a-40-ng-tc-nd-sealed-2003"))
    sound(page)
    said = text_of(page)
    assert "Besides it:" in said
    assert "the sealed chamber is opened, and its door seal is used once" in said
    assert "All parts of this heater" in said


def test_the_form_of_each_main_family_has_its_drawing(parts: Callable[..., AppTest]) -> None:
    every = families_to_measure(read_rules(rules_that_ship(), "fit_rules.toml"))
    assert [each.value for each in every[: len(MAIN)]] == list(MAIN)
    for family in [each.label for each in every[: len(MAIN)]]:
        page = parts(family=family)
        sound(page)
        drawings = [b for b in page.get("html") if 'class="drawing"' in b.proto.body]
        assert len(drawings) == 1, family
        assert 'alt="' in drawings[0].proto.body
        assert "Nothing fits" not in text_of(page)


def test_measures_of_the_form_are_read_and_a_wrong_unit_is_told_at_its_field(
    parts: Callable[..., AppTest],
) -> None:
    page = parts(family="Sensing element", **{"sensing_element.length_in": "600 mm"})
    sound(page)
    assert "read as 23.622 in (600.0 mm)" in text_of(page)
    wrong = parts(family="Sensing element", **{"sensing_element.length_in": "24 kW"})
    sound(wrong)
    assert 'length is "24 kW", which is another kind of measure.' in text_of(wrong)


def test_a_broken_rule_is_refused_with_its_line_and_the_page_goes_on(
    parts: Callable[..., AppTest], shop: Shop, tmp_path: Path
) -> None:
    before = current_version(shop.catalogs)
    sources = tmp_path / "sources"
    shutil.copytree(SOURCES, sources)
    broken = rules_that_ship().replace('rule = "at_least"', 'rule = "at_lest"', 1)
    line = next(n for n, text in enumerate(broken.splitlines(), 1) if "at_lest" in text)
    (sources / "fit_rules.toml").write_text(broken, encoding="utf-8")
    with pytest.raises(Trouble) as refused:
        cataloging.put_in_force(shop.folder, TESTER, sources, datetime.now(UTC))
    told = re.search(r"fit_rules\.toml line (\d+); it must be equal", str(refused.value))
    assert told is not None, refused.value
    first = int(told[1])  # of the rule's table
    assert broken.splitlines()[first - 1] == "[[families.sensing_element.features]]"
    assert first < line < first + 6
    assert current_version(shop.catalogs) == before
    page = parts(q="thermocouple 24 in")
    sound(page)
    assert "Read as sensing element" in text_of(page)


def test_what_another_quote_holds_is_not_on_the_van(
    parts: Callable[..., AppTest], shop: Shop
) -> None:
    visit = visiting.visit_from(demo_visit("worn_element"), "worn_element")
    number = visiting.price_visit(shop, TESTER, visit).supply.parts[0].number
    pinned = visit.model_copy(
        update={"work": visit.work.model_copy(update={"part_number": number})}
    )
    free = visiting.price_visit(shop, TESTER, pinned).supply.parts[0].stock.van
    assert f"✓ {free} on the van" in text_of(parts(q=number, van="van-1"))
    for _ in range(free):
        priced = visiting.price_visit(shop, TESTER, pinned)
        quoting.issue_quote(shop, priced, TESTER, datetime.now(UTC), reserve=True)
    said = text_of(parts(q=number, van="van-1"))
    assert f"✓ {free} on the van" not in said.split("What goes in")[0]
    branch = visiting.price_visit(shop, TESTER, pinned).supply.parts[0].stock.branch
    assert branch
    assert f"{branch} at the branch, none on the van" in said
    for _ in range(branch):
        priced = visiting.price_visit(shop, TESTER, pinned)
        quoting.issue_quote(shop, priced, TESTER, datetime.now(UTC), reserve=True)
    said = text_of(parts(q=number, van="van-1")).split("Other numbers")[0]
    assert "at the branch" not in said
    assert "To order, 2 days" in said


def test_a_number_read_with_a_slip_is_gone_on_with_by_a_tap(
    parts: Callable[..., AppTest],
) -> None:
    page = parts(q="SE-2010", van="van-1")
    page.button(key="mean-SE-20101").click().run()
    sound(page)
    assert box(page, SEARCH).value == asked(page, "q") == "SE-20101"
    assert "What goes in for SE-20101" in text_of(page)
    assert not [each for each in page.button if str(each.key).startswith("mean-")]


def test_the_old_parts_number_shows_few_numbers_that_it_may_have_been(
    open_page: Callable[..., AppTest], demo_draft: str
) -> None:
    page = open_page(draft=demo_draft, step="part")
    key = f"{demo_draft}:old_part.number"

    def offered(typed: str) -> tuple[list[str], int]:
        """Return the numbers that stand open, and how many a tap away."""
        box(page, key).set_value(typed).run()
        sound(page)
        others = (it for it in page.get("popover") if it.proto.popover.label.startswith("Other"))
        folded = {each.key for held in others for each in held.button}
        every = [str(each.key) for each in page.button if str(each.key).startswith("mean-")]
        return [each for each in every if each not in folded], len(folded)

    first, folded = offered("SE-2010")
    assert first[0] == "mean-SE-20104", "it is on this heater's parts list"
    assert (len(first), folded > 5) == (3, True)
    first, folded = offered("GC-20101")
    assert (first, folded > 5) == ([], True)
    said = text_of(page).partition("Read as GC20101: ")[2]
    assert said.startswith("number GC-20101 of Maker A (invented).")
    assert "one slip away. Gas control, natural gas, 1/2 in NPT" in said
    assert offered("gc 2o101")[0] == ["mean-GC-20101"]
    page.button(key="mean-GC-20101").click().run()
    assert box(page, key).value == "GC-20101"


@pytest.mark.parametrize(
    ("typed", "kept", "shown"),
    [
        ("600 mm", 23.622047, "read as 23.622 in (600.0 mm)"),
        ("23 5/8", 23.625, "read as 23.625 in (600.1 mm)"),
        ("60,5 cm", 23.818898, "read as 23.8189 in (605.0 mm)"),
        ("24", 24, "read as 24 in (609.6 mm)"),
        ("24 kW", "24 kW", 'Length is "24 kW"'),
        ("a while", "a while", 'Length is "a while"'),
    ],
)
def test_a_measure_of_the_old_part_is_read_in_any_unit_of_its_kind(
    open_page: Callable[..., AppTest],
    demo_draft: str,
    shop: Shop,
    typed: str,
    kept: float | str,
    shown: str,
) -> None:
    page = open_page(draft=demo_draft, step="part")
    assert "or with its unit, such as mm" in text_of(page)
    box(page, f"{demo_draft}:old_part.features.length_in").set_value(typed).run()
    sound(page)
    assert shown in text_of(page)
    draft = next(each for each in shop.ledger.drafts.every() if each.draft_id == demo_draft)
    assert draft.payload["old_part"]["features"]["length_in"] == kept


def test_a_shop_without_a_van_finds_its_parts(
    parts: Callable[..., AppTest], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("app.screens.working.vans", lambda: ())
    page = parts(q="SE-20104")
    sound(page)
    assert "What goes in for SE-20104" in text_of(page)
