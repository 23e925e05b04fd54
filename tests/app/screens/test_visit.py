"""The technician's screens, each run without a browser and read."""

from __future__ import annotations

from datetime import UTC, datetime
from typing import TYPE_CHECKING, Any

import pytest
from streamlit.testing.v1 import AppTest

from app import quoting, visiting, wiring
from tests.acting import TESTER
from tests.app.screens.conftest import MAIN
from tests.app.screens.reading import asked, box, places, sound, text_of

if TYPE_CHECKING:
    from collections.abc import Callable

    from app.shop import Shop

    OpenPage = Callable[..., AppTest]
    StartDraft = Callable[[dict[str, Any]], str]


def test_start_lists_the_visits_under_way_and_starts_a_new_one(
    open_page: OpenPage, shop: Shop
) -> None:
    page = open_page()
    sound(page)
    assert "Sensing element worn · 40 gal natural gas" in text_of(page)
    page.button(key="start").click().run()
    sound(page)
    draft = shop.ledger.drafts.of(asked(page, "draft") or "")
    assert draft is not None
    assert draft.person == wiring.DEMO_PERSON
    assert draft.payload["visit"]["technician"] == wiring.DEMO_PERSON
    assert asked(page, "step") == "heater"


def test_start_goes_on_at_the_step_where_the_visit_was_left(
    open_page: OpenPage, shop: Shop
) -> None:
    left = shop.ledger.drafts.every()[0]
    visiting.save_draft(shop, TESTER, left, "part", left.payload, datetime.now(UTC))
    page = open_page()
    page.button(key=f"resume-{left.draft_id}").click().run()
    sound(page)
    assert asked(page, "step") == "part"
    assert "Best fit, taken" in text_of(page)


def test_heater_takes_the_plate_from_the_family(
    open_page: OpenPage, start_draft: StartDraft, shop: Shop
) -> None:
    draft = start_draft({"visit": {"date": "2026-11-24"}})
    page = open_page(draft=draft, step="heater")
    sound(page)
    family = next(each for each in visiting.heater_families(shop) if each.fuel == "propane")
    page.selectbox(key=f"{draft}:family").set_value(family.slug).run()
    box(page, f"{draft}:ui.made_year").set_value("2019").run()
    sound(page)
    kept = shop.ledger.drafts.of(draft)
    assert kept is not None
    assert kept.payload["family"] == family.slug
    assert kept.payload["heater"]["fuel"] == "propane"
    assert kept.payload["heater"]["tank_volume_gal"] == family.tank_volume_gal
    assert kept.payload["heater"]["manufactured"] == "2019-06-01"
    assert "assumed: middle of the year" in text_of(page)
    assert "From the family." in text_of(page)


@pytest.mark.parametrize(
    ("path", "value", "said"),
    [
        ("heater.tank_volume_gal", "-40", "Tank size is -40; it must be 2 or more."),
        ("heater.energy_factor", "59", "EF is 59; it must be below 1."),
        ("household.setpoint_f", "20", "Set point is 20; it must be 90 or more."),
        ("ui.made_year", "2999", "Year made is 2999; it must be 1950 to 20"),
    ],
)
def test_heater_says_at_the_field_what_cannot_be_and_keeps_the_rest(
    open_page: OpenPage, demo_draft: str, shop: Shop, path: str, value: str, said: str
) -> None:
    page = open_page(draft=demo_draft, step="heater")
    box(page, f"{demo_draft}:{path}").set_value(value).run()
    sound(page)
    assert said in text_of(page)
    kept = shop.ledger.drafts.of(demo_draft)
    assert kept is not None
    assert kept.payload["visit"]["customer_name"] == "Sample Customer (invented)"


def test_finding_shows_limits_words_grade_and_only_its_remedies(
    open_page: OpenPage, demo_draft: str
) -> None:
    page = open_page(draft=demo_draft, step="finding")
    sound(page)
    text = text_of(page)
    assert "Supported The readings bear this finding out." in text
    assert "low" in text
    assert "What else it may be" in text
    assert "Would tell most, for its time" in text
    assert "20 mV or more in a good flame, after about a minute" in text
    assert page.radio(key=f"{demo_draft}:work.remedy").options == [
        "Replace the sensing element",
        "Replace the pilot assembly",
    ]


def test_finding_shows_a_stop_at_once_and_takes_it_back(
    open_page: OpenPage, demo_draft: str
) -> None:
    page = open_page(draft=demo_draft, step="finding")
    assert "Leave the house now" not in text_of(page)
    page.toggle(key=f"{demo_draft}:hazards.gas_odor").set_value(True).run()
    assert "There is a smell of gas. Leave the house now" in text_of(page)
    page.toggle(key=f"{demo_draft}:hazards.gas_odor").set_value(False).run()
    assert "Leave the house now" not in text_of(page)


def test_finding_says_when_the_readings_contradict_it(open_page: OpenPage, demo_draft: str) -> None:
    page = open_page(draft=demo_draft, step="finding")
    page.selectbox(key=f"{demo_draft}:work.finding").set_value("weak_pilot").run()
    sound(page)
    assert "Contradicted A reading speaks against this finding." in text_of(page)


def test_a_new_finding_drops_a_remedy_that_is_not_its_own(
    open_page: OpenPage, demo_draft: str, shop: Shop
) -> None:
    page = open_page(draft=demo_draft, step="finding")
    page.selectbox(key=f"{demo_draft}:work.finding").set_value("tank_leak").run()
    sound(page)
    kept = shop.ledger.drafts.of(demo_draft)
    assert kept is not None
    assert kept.payload["work"]["remedy"] == "replace_heater"


def test_part_shows_the_fits_with_reason_and_the_near_misses_and_takes_another(
    open_page: OpenPage, demo_draft: str, shop: Shop
) -> None:
    page = open_page(draft=demo_draft, step="part")
    sound(page)
    text = text_of(page)
    assert "Best fit, taken" in text
    assert "Listed by the maker" in text
    assert "Near misses, and why they do not fit" in text
    other = next(each for each in page.button if each.key.startswith("take-"))
    number = other.key.removeprefix("take-")
    other.click().run()
    sound(page)
    kept = shop.ledger.drafts.of(demo_draft)
    assert kept is not None
    assert kept.payload["work"]["part_number"] == number


def test_part_says_a_wrong_number_at_the_field_and_still_offers_parts(
    open_page: OpenPage, demo_draft: str
) -> None:
    page = open_page(draft=demo_draft, step="part")
    box(page, f"{demo_draft}:old_part.number").set_value("ZZ-00000").run()
    sound(page)
    assert "ZZ-00000" in text_of(page)
    assert "Best fit, taken" in text_of(page)


def test_a_number_cut_short_is_first_read_as_the_heater_s_own_part(
    open_page: OpenPage, demo_draft: str, shop: Shop
) -> None:
    page = open_page(draft=demo_draft, step="part")
    box(page, f"{demo_draft}:old_part.number").set_value("SE-2010").run()
    sound(page)
    assert 'The part number "SE-2010" is not in the catalog.' in text_of(page)
    assert "Near it are" not in text_of(page)
    meant = [each for each in page.button if each.key.startswith("mean-")]
    assert meant[0].label.startswith("It is SE-20104, on this heater's parts list: ")
    assert not any("parts list" in each.label for each in meant[1:])
    meant[0].click().run()
    sound(page)
    kept = shop.ledger.drafts.of(demo_draft)
    assert kept is not None
    assert kept.payload["old_part"]["number"] == "SE-20104"


def test_what_was_measured_of_the_old_part_tells_its_worn_number(
    open_page: OpenPage, demo_draft: str
) -> None:
    page = open_page(draft=demo_draft, step="part")
    box(page, f"{demo_draft}:old_part.number").set_value("SE-2010").run()
    box(page, f"{demo_draft}:old_part.features.length_in").set_value("30 in").run()
    sound(page)
    meant = [each.label for each in page.button if each.key.startswith("mean-")]
    so = [label for label in meant if "as told with it" in label]
    assert meant[1 : 1 + len(so)] == so
    assert so
    assert all("30 in" in label for label in so)
    assert not any("30 in" in label for label in meant if label not in so)


def test_price_shows_lines_paths_verdict_cautions_and_where_it_turns(
    open_page: OpenPage, demo_draft: str, shop: Shop
) -> None:
    page = open_page(draft=demo_draft, step="price")
    sound(page)
    text = text_of(page)
    priced = visiting.price_visit(
        shop, TESTER, visiting.visit_from(wiring.demo_visit("worn_element"), "the demo visit")
    )
    assert f"Total ${priced.estimate.repair.priced.total:,.2f}" in text
    assert f"${priced.estimate.repair.break_even_price:,.2f}" in text
    assert "Every gas joint that is touched is tested" in text
    for path in priced.estimate.replacements:
        assert path.name in text
    assert priced.estimate.verdict.reasons[0] in text
    assert len(page.get("plotly_chart")) == 2
    assert "What moves the answer most" in text
    assert "What each wins on" in text


@pytest.mark.parametrize("step", ["part", "price", "show"])
def test_an_unfinished_visit_says_what_is_still_needed(
    open_page: OpenPage, start_draft: StartDraft, step: str
) -> None:
    page = open_page(draft=start_draft({"visit": {"date": "2026-11-24"}}), step=step)
    sound(page)
    text = text_of(page)
    assert "Still needed: fuel, tank size, input, ignition, year made." in text
    assert "Still needed: what is wrong, remedy." in text


def test_show_puts_both_paths_side_by_side_and_issues_the_quote(
    open_page: OpenPage, demo_draft: str, shop: Shop
) -> None:
    page = open_page(draft=demo_draft, step="show")
    sound(page)
    assert "Repair Replace" in text_of(page)
    assert len(page.get("plotly_chart")) == 1
    page.button(key="issue").click().run()
    sound(page)
    number = asked(page, "issued")
    assert number is not None
    assert f"Quote {number}" in text_of(page)
    assert quoting.issued(shop, TESTER, number).draft_id == demo_draft
    assert shop.ledger.drafts.of(demo_draft) is None


@pytest.mark.parametrize("path", sorted(wiring.DEMO_DATA.joinpath("visits").glob("*.toml")))
@pytest.mark.parametrize("step", ["finding", "part", "price", "show"])
def test_every_demo_visit_opens_at_every_step(
    open_page: OpenPage, start_draft: StartDraft, path: Any, step: str
) -> None:
    page = open_page(draft=start_draft(wiring.demo_visit(path.stem)), step=step)
    sound(page)


def test_trouble_is_said_plainly_and_the_unforeseen_with_a_reference(
    open_page: OpenPage,
    demo_draft: str,
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
) -> None:
    def broken(*_: object) -> None:
        raise RuntimeError("a secret of the inside")

    monkeypatch.setattr("app.screens.working.visiting.price_visit", broken)
    page = open_page(draft=demo_draft, step="price")
    assert not page.exception
    [said] = [each.value for each in page.error]
    assert "secret" not in said
    assert "What you typed is kept." in said
    reference = said.split("reference: ")[1].rstrip(".")
    assert f"reference {reference}" in capsys.readouterr().err


def test_a_shop_that_is_not_there_is_said_plainly(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Any
) -> None:
    monkeypatch.setenv("HEATER_SHOP", str(tmp_path / "nowhere"))
    page = AppTest.from_file(str(MAIN), default_timeout=300).run()
    assert not page.exception
    [said] = [each.value for each in page.error]
    assert said.startswith("There is no shop")


def test_price_says_what_it_comes_to_if_the_finding_is_wrong(
    open_page: OpenPage, demo_draft: str, start_draft: StartDraft
) -> None:
    open_one = start_draft(wiring.demo_visit("young_heater"))
    page = open_page(draft=open_one, step="price")
    sound(page)
    text = text_of(page)
    assert "If the finding is wrong" in text
    assert "54% that this repair mends it" in text
    assert "Replace the sensing element" in text
    assert "If the finding is wrong" not in text_of(open_page(draft=demo_draft, step="price"))
    assert "If the finding is wrong" not in text_of(open_page(draft=open_one, step="show"))


def test_price_offers_what_sets_the_years_compared(
    open_page: OpenPage, start_draft: StartDraft
) -> None:
    draft = start_draft(wiring.demo_visit("young_heater"))
    page = open_page(draft=draft, step="price")
    sound(page)
    assert "Over 13 years" in text_of(page)
    page.radio(key=f"{draft}:work.study").set_value("remaining_life").run()
    sound(page)
    assert "Over 10 years" in text_of(page)
    visit = wiring.demo_visit("young_heater")
    years = start_draft(visit | {"work": visit["work"] | {"years": 7}})
    given = open_page(draft=years, step="price")
    assert "Over 7 years" in text_of(given)
    assert f"{years}:work.study" not in {each.key for each in given.radio}


def test_sliders_answer_and_leave_the_quote_as_it_is(
    open_page: OpenPage, demo_draft: str, shop: Shop
) -> None:
    page = open_page(draft=demo_draft, step="price")
    kept = shop.ledger.drafts.of(demo_draft)
    assert "Repairing is expected to cost $344 less." in text_of(page)
    page.slider(key=f"{demo_draft}:try-the price of this repair").set_value(100).run()
    sound(page)
    assert "Repairing is expected to cost $127 less." in text_of(page)
    page.slider(key=f"{demo_draft}:try-how long this heater lasts").set_value(-50).run()
    assert "Replacing is expected to cost" in text_of(page)
    after = shop.ledger.drafts.of(demo_draft)
    assert kept is not None
    assert after is not None
    assert after.payload == kept.payload


def test_a_visit_that_was_left_empty_is_gone_on_with(
    open_page: Callable[..., AppTest], shop: Shop
) -> None:
    def started() -> str | None:
        page = open_page()
        page.button(key="start").click().run()
        sound(page)
        return asked(page, "draft")

    before = len(shop.ledger.drafts.every())
    first = started()
    assert started() == first
    page = open_page(draft=first, step="heater")
    box(page, f"{first}:ui.made_year").set_value("2015").run()
    assert started() != first
    assert len(shop.ledger.drafts.every()) == before + 2


@pytest.mark.parametrize("step", ["heater", "finding", "price"])
def test_every_run_tells_the_browser_what_each_field_shows(
    open_page: Callable[..., AppTest], demo_draft: str, step: str
) -> None:
    """A run that is cut short may never reach the browser, so each later one must do alone."""
    page = open_page(draft=demo_draft, step=step).run()
    held = 0
    for field in page.text_input:
        assert field.proto.default == field.value, field.key
        held += field.value != ""
    for field in (*page.selectbox, *page.radio):
        told = field.options[field.proto.default] if field.proto.HasField("default") else None
        assert told == (None if field.value is None else field.format_func(field.value)), field.key
        held += field.value is not None
    for field in page.button_group:
        told = [field.options[at] for at in field.proto.default]
        shown = field.value if isinstance(field.value, list) else [field.value]
        assert told == [field.format_func(each) for each in shown if each is not None], field.key
        held += bool(told)
    for field in page.toggle:
        assert field.proto.default == field.value, field.key
    assert held > 0


@pytest.mark.parametrize(
    ("step", "kind", "path", "answer"),
    [
        ("heater", "selectbox", "family", "a-40-ng-tc-nd-sealed-2003"),
        ("heater", "button_group", "ui.label", "uef"),
        ("heater", "button_group", "ui.label", "none"),
        ("finding", "toggle", "hazards.gas_odor", True),
        ("finding", "toggle", "hazards.tank_leaks", True),
        ("finding", "button_group", "readings.flame", "lifting"),
        ("finding", "button_group", "readings.limit_ohms", float("inf")),
        ("finding", "radio", "work.remedy", "replace_pilot_assembly"),
        ("part", "selectbox", "old_part.features.connection", "push_in"),
    ],
)
def test_an_answer_moves_no_field_that_somebody_may_be_typing_into(
    open_page: Callable[..., AppTest],
    demo_draft: str,
    step: str,
    kind: str,
    path: str,
    answer: object,
) -> None:
    page = open_page(draft=demo_draft, step=step)
    before = places(page)
    [field] = [each for each in page.get(kind) if each.key == f"{demo_draft}:{path}"]
    field.set_value(answer).run()
    sound(page)
    after = places(page)
    assert len(before.keys() & after.keys()) > 1
    assert {key: way for key, way in before.items() if key in after} == {
        key: way for key, way in after.items() if key in before
    }
