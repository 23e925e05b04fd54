"""The view-models of the five steps, from drafts and from ready-made estimates."""

from __future__ import annotations

from datetime import UTC, date, datetime
from decimal import Decimal
from typing import TYPE_CHECKING, Any

import pytest

from app import answering, publishing, quoting, visiting, wiring
from app.ledger.records import Draft
from app.supplying import fit_for
from app.views.finding import build_finding_view
from app.views.heater import build_heater_view, choose_family, plate_line, visit_day
from app.views.part import build_part_view
from app.views.payload import put
from app.views.price import build_price_view
from app.views.quotes import QuoteRow, build_quotes_view
from app.views.reading_fields import every_reading
from app.views.start import build_start_view
from app.views.trail import build_missing, build_trail, known_step, neighbor
from estimator.findings import FINDINGS, Finding, Readings
from tests.acting import TESTER
from tests.app import estimates

if TYPE_CHECKING:
    from app.shop import Shop
    from app.views.fields import Field

DAY = date(2026, 11, 24)
WORN: dict[str, Any] = {
    "visit": {"date": "2026-11-24"},
    "heater": {
        "fuel": "natural_gas",
        "tank_volume_gal": 40,
        "input_btu_per_h": 38000,
        "ignition": "pilot_thermocouple",
        "manufactured": "2015-09-01",
    },
    "work": {"finding": "element_worn", "remedy": "replace_element"},
}


def reading(payload: dict[str, Any], name: str) -> Field:
    view = build_finding_view(payload)
    every = (*view.telling, *view.other_readings.fields)
    return next(field for field in every if field.path == f"readings.{name}")


# The trail


def test_trail_marks_the_steps_done_here_and_ahead() -> None:
    states = {step.slug: step.state for step in build_trail(WORN, "price")}
    assert states == {
        "heater": "done",
        "finding": "done",
        "part": "done",
        "price": "here",
        "show": "ahead",
    }


def test_trail_does_not_call_a_step_done_that_lacks_something() -> None:
    lacking = put(WORN, "work.remedy", None)
    states = {step.slug: step.state for step in build_trail(lacking, "part")}
    assert states["finding"] == "ahead"
    assert [missing.sentence for missing in build_missing(lacking)] == ["Still needed: remedy."]


def test_an_unknown_step_is_the_first_and_the_ends_have_no_neighbor() -> None:
    assert known_step("nonsense") == "heater"
    assert known_step(None) == "heater"
    assert neighbor("heater", -1) is None
    assert neighbor("show", 1) is None
    assert neighbor("part", 1) == "price"


# Heater


def test_plate_line_waits_until_the_plate_is_whole() -> None:
    assert plate_line({"heater": {"fuel": "propane"}}) == ""
    assert plate_line(WORN) == (
        "40 gal natural gas · 38,000 Btu/h · standing pilot, thermocouple · "
        "natural vent · open chamber · no label read"
    )


def test_a_heater_made_after_the_visit_is_said_at_the_year() -> None:
    later = put(put(WORN, "ui.made_year", 2026), "ui.made_month", 12)
    year, _ = build_heater_view(later, (), DAY).made
    assert year.problem == "That is after today, November 24, 2026. Read the plate again."


def test_a_family_fills_the_plate_and_keeps_the_date(shop: Shop) -> None:
    family = visiting.heater_families(shop)[0]
    chosen = choose_family(WORN, family)
    assert chosen["heater"]["tank_volume_gal"] == family.tank_volume_gal
    assert chosen["heater"]["manufactured"] == "2015-09-01"
    assert build_heater_view(chosen, (family,), DAY).family == family.slug
    typed = choose_family(chosen, None)
    assert "family" not in typed
    assert typed["heater"] == chosen["heater"]


def test_defaults_are_marked_assumed_until_they_are_given() -> None:
    site = next(card for card in build_heater_view(WORN, (), DAY).cards if card.key == "site")
    assert site.summary == "4 assumed"
    given = put(WORN, "site.location", "attic")
    site = next(card for card in build_heater_view(given, (), DAY).cards if card.key == "site")
    assert site.summary == "Attic · 3 assumed"


def test_the_day_of_a_visit_falls_back_to_today() -> None:
    assert visit_day({}, DAY) == DAY
    assert visit_day({"visit": {"date": "broken"}}, DAY) == DAY
    assert visit_day({"visit": {"date": "2026-03-05"}}, DAY) == date(2026, 3, 5)


# Finding


def test_every_reading_of_the_estimator_is_asked_for_once() -> None:
    asked = [field.path.removeprefix("readings.") for field in every_reading()]
    assert sorted(asked) == sorted(Readings.model_fields)


@pytest.mark.parametrize(
    ("fuel", "limit"),
    [("natural_gas", "natural gas: 5 to 8"), ("propane", "propane: 10 to 13")],
)
def test_the_limit_of_the_inlet_is_that_of_the_fuel(fuel: str, limit: str) -> None:
    assert limit in reading(put(WORN, "heater.fuel", fuel), "inlet_standing_in_wc").hint


@pytest.mark.parametrize(
    ("ignition", "limit"),
    [("pilot_thermocouple", "20 mV or more"), ("pilot_thermopile", "350 mV or more")],
)
def test_the_limit_of_the_millivolts_is_that_of_the_element(ignition: str, limit: str) -> None:
    assert limit in reading(put(WORN, "heater.ignition", ignition), "millivolts_open").hint


@pytest.mark.parametrize(
    ("name", "value", "word", "tone"),
    [
        ("inlet_standing_in_wc", 3, "low", "check"),
        ("inlet_standing_in_wc", 7, "in range", "good"),
        ("millivolts_loaded", 4, "low", "check"),
        ("millivolts_at_drop_out", 9, "high", "check"),
        ("joint_tight", False, "not as it should be", "check"),
        ("joint_tight", True, "as it should be", "good"),
        ("windy_or_downdraft", True, "not as it should be", "check"),
        ("windy_or_downdraft", False, "as it should be", "good"),
        ("limit_ohms", 0, "closed", "good"),
        ("limit_ohms", "open", "open", "check"),
        ("flame", "good", "as it should be", "good"),
        ("flame", "small", "not as it should be", "check"),
    ],
)
def test_a_reading_is_told_in_a_word_beside_its_color(
    name: str, value: object, word: str, tone: str
) -> None:
    shown = reading(put(WORN, f"readings.{name}", value), name)
    assert (shown.word, shown.tone) == (word, tone)


@pytest.mark.parametrize(
    ("kept", "shown"), [(0, 0), ("0.4", 0), ("open", "open"), (5000, "open"), (40, None)]
)
def test_a_limit_is_shown_open_or_closed_whatever_stands_for_it(
    kept: object, shown: object
) -> None:
    field = reading(put(WORN, "readings.limit_ohms", kept), "limit_ohms")
    assert field.value == shown
    assert {choice.value for choice in field.choices} == {0, "open"}
    if shown is None:
        assert field.hint.startswith("reads 40 Ω; closed: 1 Ω or less")


def test_readings_that_mean_nothing_with_the_ignition_are_not_asked() -> None:
    hot_surface = put(WORN, "heater.ignition", "hot_surface")
    view = build_finding_view(hot_surface)
    asked = {field.path for field in (*view.telling, *view.other_readings.fields)}
    assert "readings.millivolts_open" not in asked
    assert "readings.igniter_ohms" in asked


def test_readings_stand_in_the_order_in_which_they_are_taken() -> None:
    order = [field.path for field in every_reading()]
    view = build_finding_view(WORN)
    for shown in (view.telling, view.other_readings.fields):
        places = [order.index(field.path) for field in shown]
        assert places == sorted(places)
    assert view.telling


def test_a_reading_that_is_not_of_this_heater_stays_in_sight_once_taken() -> None:
    taken = put(put(WORN, "readings.millivolts_open", 12), "heater.ignition", "hot_surface")
    shown = reading(taken, "millivolts_open")
    assert (shown.value, shown.word, shown.tone) == (12, "not on this heater", "check")


def test_an_igniter_that_reads_open_is_kept_as_the_word() -> None:
    hot = put(put(WORN, "heater.ignition", "hot_surface"), "work.finding", "igniter_open")
    ticked = put(hot, "ui.igniter_open", True)
    assert ticked["readings"]["igniter_ohms"] == "open"
    view = build_finding_view(ticked)
    ohms, tick = (f for f in view.telling if "igniter" in f.path)
    assert (ohms.value, ohms.word, ohms.tone) == (None, "open", "check")
    assert tick.value is True
    assert view.grade is not None
    assert view.grade.word == "Supported"
    typed = build_finding_view(put(ticked, "readings.igniter_ohms", 60))
    ohms, tick = (f for f in (*typed.telling, *typed.other_readings.fields) if "igniter" in f.path)
    assert (ohms.value, ohms.word) == (60, "in range")
    assert not tick.value
    assert put(ticked, "ui.igniter_open", False).get("readings", {}) == {}


def test_what_it_may_be_is_ranked_with_the_reading_that_would_tell() -> None:
    unnamed = put(WORN, "work.finding", None)
    likely = build_finding_view(unnamed).likely
    assert likely is not None
    assert likely.title == "What it may be"
    shares = [row.share for row in likely.rows]
    assert shares == sorted(shares, reverse=True)
    assert not any(row.named for row in likely.rows)
    assert likely.next is not None
    assert likely.next.minutes.startswith("about ")
    seen = put(put(unnamed, "readings.flame", "good"), "readings.millivolts_open", 12)
    assert build_finding_view(seen).likely.rows[0].slug == "element_worn"  # type: ignore[union-attr]


def test_the_finding_named_stays_in_the_ranking_however_unlikely() -> None:
    seen = put(put(WORN, "readings.flame", "good"), "readings.millivolts_open", 12)
    likely = build_finding_view(put(seen, "work.finding", "tank_leak")).likely
    assert likely is not None
    assert likely.title == "What else it may be"
    [named] = [row for row in likely.rows if row.named]
    assert (named.slug, named.chance) == ("tank_leak", "under 1%")
    assert build_finding_view({}).likely is None


def test_nothing_is_measured_while_it_smells_of_gas() -> None:
    likely = build_finding_view(put(WORN, "hazards.gas_odor", True)).likely
    assert likely is not None
    assert likely.next is None


def test_a_dear_part_named_too_early_is_warned_of() -> None:
    blamed = put(put(WORN, "work.finding", "control_magnet"), "work.remedy", "replace_gas_control")
    assert any("gas control" in caution for caution in build_finding_view(blamed).cautions)


def test_findings_that_the_plate_allows_come_first_and_all_are_there() -> None:
    hot_surface = put(WORN, "heater.ignition", "hot_surface")
    choices = [choice.value for choice in build_finding_view(hot_surface).finding.choices]
    assert sorted(choices) == sorted(finding.value for finding in FINDINGS)
    assert choices.index("igniter_open") < choices.index("element_worn")


def test_a_stop_is_said_before_anything_else_is_known() -> None:
    [stop] = build_finding_view({"hazards": {"gas_odor": True}}).stops
    assert stop.why == "There is a smell of gas."
    assert stop.what_to_do.startswith("Leave the house now")


def test_an_opened_limit_stops_until_its_cause_is_written_down() -> None:
    opened = put(put(WORN, "work.finding", "limit_open"), "work.remedy", "reset_limit")
    [stop] = build_finding_view(opened).stops
    assert "cause has not been found" in stop.why
    caused = put(opened, "readings.opened_cause", "arrestor full of lint")
    assert build_finding_view(caused).stops == ()


@pytest.mark.parametrize("finding", list(Finding))
def test_every_finding_has_a_view_with_its_remedies(finding: Finding) -> None:
    view = build_finding_view(put(WORN, "work.finding", finding.value))
    assert view.remedy is not None
    assert [choice.value for choice in view.remedy.choices] == [
        remedy.value for remedy in FINDINGS[finding].remedies
    ]
    assert view.grade is not None


def test_grade_says_what_would_settle_it() -> None:
    grade = build_finding_view(WORN).grade
    assert grade is not None
    assert grade.word == "Open"
    assert grade.settle_next.startswith("One reading would settle it: ")


# Part


def test_part_cards_carry_the_customers_price_and_no_cost(shop: Shop) -> None:
    payload = wiring.demo_visit("worn_element")
    visit = visiting.visit_from(payload, "the demo visit")
    fit = fit_for(shop.catalog(), visit)
    pricing = publishing.rate_sheet_on(shop, TESTER, DAY).sheet.parts
    view = build_part_view(payload, fit, pricing, shop.catalog().rules)
    assert fit is not None
    assert [card.number for card in view.cards] == [each.part.number for each in fit.fitting]
    assert [card.chosen for card in view.cards].count(True) == 1
    assert view.cards[0].chosen
    for card, each in zip(view.cards, fit.fitting, strict=True):
        assert card.price != f"${each.supplied().unit_cost:,.2f}"
        assert card.reasons
    assert all(each.why for each in view.rejected)


def test_the_part_picked_is_the_one_taken(shop: Shop) -> None:
    payload = wiring.demo_visit("worn_element")
    fit = fit_for(shop.catalog(), visiting.visit_from(payload, "the demo visit"))
    assert fit is not None
    other = fit.fitting[1].part.number
    pricing = publishing.rate_sheet_on(shop, TESTER, DAY).sheet.parts
    view = build_part_view(
        put(payload, "work.part_number", other), fit, pricing, shop.catalog().rules
    )
    assert [card.number for card in view.cards if card.chosen] == [other]


def test_a_remedy_without_a_part_says_so(shop: Shop) -> None:
    payload = put(put(WORN, "work.finding", "loose_connection"), "work.remedy", "tighten_joint")
    view = build_part_view(
        payload, None, publishing.rate_sheet_on(shop, TESTER, DAY).sheet.parts, shop.catalog().rules
    )
    assert view.no_part_needed == "This remedy puts no part in."
    assert view.cards == ()
    assert view.old_part == ()


# Price


def test_price_has_lines_that_add_up_and_the_cheapest_replacement_first() -> None:
    view = build_price_view(estimates.estimate())
    assert view.repair_prices is not None
    assert view.repair_prices.total == "$275.40"
    assert [row.name for row in view.rows][:2] == [
        "Repair now",
        "40 gallon gas tank, natural draft",
    ]
    assert not view.rows[-1].open
    assert view.rows[-1].closed_reason == "There is no 240 V circuit at the heater."
    assert ("Repair price where both cost the same", "$445.60") in view.marks
    assert ("Once repaired, best replaced on plan", "in 4 years, saves $61") in view.marks


@pytest.mark.parametrize(
    ("saves", "said"),
    [
        ("-82.08", ("Once repaired, best run until it fails", "on plan costs $82 more, at best")),
        ("271.46", ("Once repaired, best replaced on plan", "in 4 years, saves $271")),
        ("0.09", ("Once repaired: on plan or run until it fails", "the same (on plan in 4 years)")),
    ],
)
def test_the_planned_year_never_speaks_against_running_until_it_fails(
    saves: str, said: tuple[str, str]
) -> None:
    planned = estimates.repair(best_planned_saves=Decimal(saves))
    view = build_price_view(estimates.estimate(repair=planned))
    assert said in view.marks
    assert len([name for name, _ in view.marks if name.startswith("Once repaired")]) == 1


def test_a_closed_repair_shows_no_price_and_no_turning_points() -> None:
    view = build_price_view(estimates.repair_closed_by_leak())
    assert view.repair_prices is None
    assert view.marks == ()
    assert view.rows[0].closed_reason
    assert view.rows[0].today == ""


def test_nothing_of_cost_or_margin_is_in_the_price_view() -> None:
    said = repr(build_price_view(estimates.owner_estimate().estimate))
    assert str(estimates.HIDDEN_COST) not in said
    assert str(estimates.HIDDEN_MARGIN) not in said


# Lists


def test_start_names_the_customer_the_finding_and_where_it_was_left() -> None:
    draft = Draft("d" * 24, "A. Tester", "part", {**WORN, "title": "Worn"}, *[_now()] * 2)
    [shown] = build_start_view([draft])
    assert shown.title == "Worn"
    assert shown.about == "Sensing element worn · 40 gal natural gas"
    assert shown.left_at.startswith("Part, saved ")
    [empty] = build_start_view([Draft("e" * 24, "A. Tester", "", {}, *[_now()] * 2)])
    assert empty.about == "Nothing typed yet"


def _now() -> datetime:
    return datetime(2026, 11, 24, 12, tzinfo=UTC)


def test_a_quote_past_its_day_has_lapsed(shop: Shop) -> None:
    visit = visiting.visit_from(wiring.demo_visit("tank_leak"), "the demo visit")
    issued = quoting.issue_quote(shop, visiting.price_visit(shop, TESTER, visit), TESTER, _now())
    summaries = quoting.quotes(shop, TESTER)

    def row_on(day: date) -> QuoteRow:
        [row] = build_quotes_view(summaries, answering.states(shop, TESTER, summaries, day))
        return row

    last = row_on(issued.valid_until)
    assert last.state == "Waits for an answer"
    assert last.holds.startswith("Holds until ")
    assert last.repair == "closed"
    assert last.replace.startswith("$")
    assert last.verdict == "Repair closed"
    late = row_on(date.fromordinal(issued.valid_until.toordinal() + 1))
    assert late.state == "Lapsed: revise it to offer it again"
    assert late.holds.startswith("Held until ")


def test_the_list_tells_where_each_quote_stands(shop: Shop) -> None:
    visit = visiting.visit_from(wiring.demo_visit("worn_element"), "the demo visit")
    priced = visiting.price_visit(shop, TESTER, visit)
    made = [quoting.issue_quote(shop, priced, TESTER, _now()) for _ in range(3)]
    answering.accept(shop, TESTER, made[0], "repair", "A", "text", _now())
    answering.decline(shop, TESTER, made[1], "B", "text", _now())
    revised = quoting.issue_quote(shop, priced, TESTER, _now(), revises=made[2].number)
    listed = quoting.quotes(shop, TESTER)
    states = answering.states(shop, TESTER, listed, _now().date())
    rows = {row.number: row for row in build_quotes_view(listed, states)}
    assert rows[made[0].number].state == "Accepted"
    assert rows[made[1].number].state == "Declined"
    assert rows[revised.number].state == "Waits for an answer"
    assert rows[revised.number].revision == "revision 2"
    every = shop.ledger.quotes.listed(every_revision=True)
    states = answering.states(shop, TESTER, every, _now().date())
    assert sorted(states.values()) == ["accepted", "declined", "issued", "superseded"]


def test_prices_in_the_list_of_quotes_are_those_of_the_ledger(shop: Shop) -> None:
    visit = visiting.visit_from(wiring.demo_visit("worn_element"), "the demo visit")
    priced = visiting.price_visit(shop, TESTER, visit)
    quoting.issue_quote(shop, priced, TESTER, _now())
    listed = quoting.quotes(shop, TESTER)
    [row] = build_quotes_view(listed, answering.states(shop, TESTER, listed, DAY))
    assert Decimal(row.repair.replace("$", "").replace(",", "")) == (
        priced.estimate.repair.priced.total
    )
