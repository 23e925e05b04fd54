"""Margin guard, acceptance, customers' links, outcomes: on the demo shop, from end to end."""

from __future__ import annotations

import hashlib
import json
from datetime import timedelta
from decimal import Decimal
from pathlib import Path
from typing import Any

import pytest

from app import allowing, answering, customer_data, customer_links, outcomes, quoting
from app.desk.heater_lives import heater_records
from app.files import read_toml
from app.links import KEY_FILE, new_token, token_hash
from app.people.guard import Actor, customer
from app.people.roles import Role
from app.publishing import publish_rates
from app.quoting import issue_quote, owner_results
from app.replaying import replay, verify_ledger
from app.shop import Shop
from app.visiting import PricedVisit, price_visit, visit_from
from estimator.errors import InputTrouble, LedgerTrouble, Trouble
from tests.acting import TESTER
from tests.app.ledger.support import NOW

OWNER = Actor("O. Sample", Role.OWNER)
TECHNICIAN = Actor("T. Sample", Role.TECHNICIAN)


def priced(shop: Shop, visits: Path, **work: Any) -> PricedVisit:
    values = read_toml(visits / "worn_element.toml")
    values["work"] |= work
    return price_visit(shop, TESTER, visit_from(values, "a test"))


@pytest.fixture
def quote(shop: Shop, visits: Path) -> Any:
    return issue_quote(shop, priced(shop, visits), TECHNICIAN, NOW)


@pytest.fixture
def under(shop: Shop, visits: Path) -> PricedVisit:
    """A job under the floor: the same visit where the owner wants more."""
    day = priced(shop, visits).visit.visit.date
    sheet = shop.ledger.rate_sheets.on(day).sheet
    terms = sheet.quote.model_copy(update={"margin_floor": Decimal("0.40")})
    publish_rates(shop, sheet.model_copy(update={"quote": terms}), day, OWNER, NOW)
    return priced(shop, visits)


# --- margin guard ---


def test_a_job_under_the_floor_goes_out_once_after_the_owner_allowed_it(shop, under):
    with pytest.raises(Trouble, match="cannot be issued as it stands") as refused:
        issue_quote(shop, under, TECHNICIAN, NOW)
    asked = allowing.ask_allowance(shop, TECHNICIAN, under, NOW, note="old customer")
    again = allowing.ask_allowance(shop, TECHNICIAN, under, NOW)
    assert asked.allowance_id == again.allowance_id
    with pytest.raises(Trouble, match="cannot be issued"):
        issue_quote(shop, under, TECHNICIAN, NOW)
    with pytest.raises(Trouble, match="You may not decide on an allowance"):
        allowing.decide_allowance(
            shop, TECHNICIAN, asked.allowance_id, allow=True, reason="mine", at=NOW
        )
    with pytest.raises(InputTrouble, match="There is no reason"):
        allowing.decide_allowance(shop, OWNER, asked.allowance_id, allow=True, reason=" ", at=NOW)
    (seen,) = allowing.allowances(shop, OWNER)
    assert seen.jobs
    assert all(Decimal(job["gross_margin"]) < Decimal("0.40") for job in seen.jobs)
    allowing.decide_allowance(shop, OWNER, asked.allowance_id, allow=True, reason="once", at=NOW)
    made = issue_quote(shop, under, TECHNICIAN, NOW)
    (used,) = allowing.allowances(shop, OWNER, undecided=False)
    assert used.used_by == f"{made.number} revision 1"
    with pytest.raises(LedgerTrouble, match="is not there or was used up"):
        issue_quote(shop, under, TECHNICIAN, NOW)
    told = [line.action for line in shop.ledger.journal.lines(4)]
    assert told == ["issue", "allow under the floor", "refused", "ask for allowance"]
    assert verify_ledger(shop, TESTER).problems == ()
    # Nothing that the technician is told holds a figure of margin or floor.
    shown = repr(allowing.allowance_of(shop, TECHNICIAN, under)) + str(refused.value)
    for job in seen.jobs:
        for figure in (job["cost"], job["gross_margin"], "0.40", "40 %"):
            assert str(figure) not in shown


def test_a_second_tap_uses_no_second_allowance(shop, under):
    draft = shop.ledger.drafts.start("T. Sample", {}, NOW)
    asked = allowing.ask_allowance(shop, TECHNICIAN, under, NOW, draft_id=draft.draft_id)
    allowing.decide_allowance(shop, OWNER, asked.allowance_id, allow=True, reason="once", at=NOW)
    first = issue_quote(shop, under, TECHNICIAN, NOW, draft_id=draft.draft_id)
    assert issue_quote(shop, under, TECHNICIAN, NOW, draft_id=draft.draft_id) == first


def test_a_denied_job_stays_denied_and_another_job_is_not_allowed_with_it(shop, under, visits):
    asked = allowing.ask_allowance(shop, TECHNICIAN, under, NOW)
    allowing.decide_allowance(shop, OWNER, asked.allowance_id, allow=True, reason="once", at=NOW)
    other = priced(shop, visits, years=4)
    with pytest.raises(Trouble, match="cannot be issued"):
        issue_quote(shop, other, TECHNICIAN, NOW)
    denied = allowing.ask_allowance(shop, TECHNICIAN, other, NOW)
    allowing.decide_allowance(shop, OWNER, denied.allowance_id, allow=False, reason="no", at=NOW)
    with pytest.raises(Trouble, match="cannot be issued"):
        issue_quote(shop, other, TECHNICIAN, NOW)
    with pytest.raises(LedgerTrouble, match=r"was denied already by O\. Sample"):
        allowing.decide_allowance(shop, OWNER, denied.allowance_id, allow=True, reason="x", at=NOW)


def test_a_job_above_the_floor_needs_no_allowance(shop, visits):
    with pytest.raises(Trouble, match="needs no allowance"):
        allowing.ask_allowance(shop, TECHNICIAN, priced(shop, visits), NOW)


# --- acceptance ---


def test_an_acceptance_is_kept_with_the_hash_of_the_exact_text(shop, quote):
    text = "Repair for 245.00 USD.  Sí, de acuerdo.\n"
    kept = answering.accept(shop, TECHNICIAN, quote, "repair", "  Ana  Muñoz ", text, NOW)
    assert (kept.typed_name, kept.agreed_text, kept.via) == ("Ana Muñoz", text, "door")
    assert kept.text_hash == hashlib.sha256(text.encode()).hexdigest()
    assert answering.answer_to(shop, TESTER, quote) == kept
    assert answering.quote_state(shop, TESTER, quote, NOW.date()) == "accepted"
    facts = shop.ledger.facts.after()[-1]
    margin = owner_results(shop, TESTER, quote).repair_margin
    assert (facts.chosen_path, facts.cost, facts.revenue) == ("repair", margin.cost, margin.revenue)
    assert facts.gross_margin.quantize(Decimal("0.0001")) == margin.gross_margin
    assert answering.accept(shop, TECHNICIAN, quote, "repair", "Ana Muñoz", text, NOW) == kept
    with pytest.raises(LedgerTrouble, match="accepted already on 2026-05-04"):
        answering.decline(shop, TECHNICIAN, quote, "Ana Muñoz", "No, thanks.", NOW)
    assert verify_ledger(shop, TESTER).problems == ()


def test_only_open_paths_are_offered_and_taken(shop, quote):
    offered = answering.choices(quote)
    assert "repair" in offered
    assert "tank-40-ng-nd" in offered
    assert "heat-pump-50" not in offered, "there is no 240 V circuit"
    for choice in ("heat-pump-50", "x", ""):
        with pytest.raises(LedgerTrouble, match="does not offer"):
            answering.accept(shop, TECHNICIAN, quote, choice, "A", "text", NOW)
    kept = answering.accept(shop, TECHNICIAN, quote, "tank-40-ng-nd", "A", "text", NOW)
    margin = owner_results(shop, TESTER, quote).replacement_margins["tank-40-ng-nd"]
    facts = shop.ledger.facts.after()[-1]
    assert (kept.accepted, facts.cost) == (True, margin.cost)


def test_a_decline_is_kept_with_the_exact_text_its_hash_and_its_moment(shop, quote):
    text = "No pido ningún trabajo ahora.\nThese prices hold until later."
    kept = answering.decline(shop, TECHNICIAN, quote, " Ana  Muñoz ", text, NOW)
    assert (kept.choice, kept.typed_name, kept.agreed_text) == ("declined", "Ana Muñoz", text)
    assert kept.text_hash == hashlib.sha256(text.encode()).hexdigest()
    assert kept.answered_at == NOW
    assert answering.answer_to(shop, TESTER, quote) == kept
    assert answering.quote_state(shop, TESTER, quote, NOW.date()) == "declined"
    assert verify_ledger(shop, TESTER).problems == ()
    with pytest.raises(LedgerTrouble, match="declined already on 2026-05-04"):
        answering.accept(shop, TECHNICIAN, quote, "repair", "Ana Muñoz", text, NOW)


@pytest.mark.parametrize(
    ("name", "text", "said"),
    [
        ("", "text", "There is no name. Type your name to sign."),
        (" ", "text", "There is no name. Type your name to sign."),
        ("A", " ", "There is no text to sign. Open the quote again."),
        ("A" * 201, "text", "The name or the text is too long. Shorten it."),
    ],
)
def test_nothing_is_agreed_to_or_declined_without_a_name_and_a_text(shop, quote, name, text, said):
    with pytest.raises(InputTrouble) as refused:
        answering.accept(shop, TECHNICIAN, quote, "repair", name, text, NOW)
    assert str(refused.value) == said
    with pytest.raises(InputTrouble) as refused:
        answering.decline(shop, TECHNICIAN, quote, name, text, NOW)
    assert str(refused.value) == said
    assert answering.answer_to(shop, TESTER, quote) is None


def test_a_quote_lapses_the_day_after_its_last_day(shop, quote):
    last = NOW + (quote.valid_until - NOW.date())
    assert answering.quote_state(shop, TESTER, quote, last.date()) == "issued"
    after = last + timedelta(days=1)
    assert answering.quote_state(shop, TESTER, quote, after.date()) == "lapsed"
    with pytest.raises(LedgerTrouble, match="held until"):
        answering.accept(shop, TECHNICIAN, quote, "repair", "A", "text", after)
    answering.accept(shop, TECHNICIAN, quote, "repair", "A", "text", last)


def test_a_revised_quote_is_superseded_and_cannot_be_accepted(shop, quote, visits):
    later = priced(shop, visits, years=5)
    second = issue_quote(shop, later, TECHNICIAN, NOW, revises=quote.number)
    assert answering.quote_state(shop, TESTER, quote, NOW.date()) == "superseded"
    with pytest.raises(LedgerTrouble, match="revision 1 no longer holds"):
        answering.accept(shop, TECHNICIAN, quote, "repair", "A", "text", NOW)
    answering.decline(shop, TECHNICIAN, second, "A", "text", NOW)
    assert answering.quote_state(shop, TESTER, second, NOW.date()) == "declined"
    states = shop.ledger.answers.states(NOW.date())
    assert states[quote.sequence] == "superseded"
    assert states[second.sequence] == "declined"


# --- the customer's link ---


def refused(shop: Shop, token: str, at: Any = NOW) -> bool:
    with pytest.raises(Trouble) as trouble:
        customer_links.open_link(shop, token, at)
    return str(trouble.value) == "This link opens nothing. Ask the shop for a new one."


def test_a_link_opens_its_quote_and_nothing_else(shop, quote, visits):
    other = issue_quote(shop, priced(shop, visits, years=5), TECHNICIAN, NOW)
    token = customer_links.make_link(shop, TECHNICIAN, quote, NOW)
    assert customer_links.open_link(shop, token, NOW) == quote
    who = customer(quote.number)
    with pytest.raises(Trouble, match="You may not answer a quote"):
        answering.accept(shop, who, other, "repair", "A", "text", NOW)
    assert answering.accept(shop, who, quote, "repair", "A", "text", NOW).via == "link"
    with pytest.raises(Trouble, match="You may not see costs and margins"):
        quoting.owner_results(shop, who, quote)
    with pytest.raises(Trouble, match="You may not see costs and margins"):
        quoting.owner_results(shop, TECHNICIAN, quote)
    with pytest.raises(Trouble, match="You may not issue a quote"):
        issue_quote(shop, priced(shop, visits, years=6), who, NOW)
    assert owner_results(shop, OWNER, quote).repair_margin.cost > 0
    opened = shop.ledger.journal.lines(action="open link", subject=quote.number)
    assert len(opened) == 1
    customer_links.open_link(shop, token, NOW, again=True)
    assert len(shop.ledger.journal.lines(action="open link")) == 1


def test_a_link_that_was_altered_or_guessed_opens_nothing(shop, quote):
    token = customer_links.make_link(shop, TECHNICIAN, quote, NOW)
    assert len(token) == 43
    for place in range(len(token)):
        other = "A" if token[place] != "A" else "B"
        assert refused(shop, token[:place] + other + token[place + 1 :])
    signed_elsewhere = new_token(shop.folder / "catalogs")
    for guess in ("", "x", token + "A", token[:-1], "é" * 43, "\ud800", signed_elsewhere):
        assert refused(shop, guess)
    assert refused(shop, new_token(shop.folder)), "signed, and never given to anybody"
    # However many were guessed, one line a minute says so.
    assert len(shop.ledger.journal.lines(action="link forged")) == 1


def test_a_link_ends_and_can_be_revoked(shop, quote):
    token = customer_links.make_link(shop, TECHNICIAN, quote, NOW, ends_at=NOW + timedelta(hours=1))
    assert refused(shop, token, NOW + timedelta(hours=1))
    customer_links.open_link(shop, token, NOW + timedelta(minutes=59))
    assert customer_links.revoke_links(shop, TECHNICIAN, quote, NOW) == 1
    assert customer_links.revoke_links(shop, TECHNICIAN, quote, NOW) == 0
    assert refused(shop, token)
    why = [line.detail["why"] for line in shop.ledger.journal.lines(action="link refused")]
    assert why == ["revoked", "ended"]
    assert verify_ledger(shop, TESTER).problems == ()


def test_the_token_is_kept_nowhere_and_the_key_is_the_shops_alone(shop, quote):
    token = customer_links.make_link(shop, TECHNICIAN, quote, NOW)
    assert (shop.folder / KEY_FILE).stat().st_mode & 0o777 == 0o600
    for file in shop.folder.rglob("*"):
        assert file.is_dir() or token.encode() not in file.read_bytes()
    assert token_hash(token, shop.folder) == token_hash(token)
    (shop.folder / KEY_FILE).write_bytes(b"short")
    with pytest.raises(LedgerTrouble, match="The key for links is damaged"):
        customer_links.open_link(shop, token, NOW)


# --- outcomes, and the customer's own data ---


def test_outcomes_become_life_records(shop, quote):
    seen = quote.issued_at.date() + timedelta(days=366)
    at = NOW + timedelta(days=400)
    with pytest.raises(LedgerTrouble, match="cannot be before the quote"):
        outcomes.record_outcome(shop, TECHNICIAN, quote.number, seen - timedelta(days=999), at)
    with pytest.raises(InputTrouble, match="is still to come"):
        outcomes.record_outcome(shop, TECHNICIAN, quote.number, at.date() + timedelta(days=1), at)
    outcomes.record_outcome(shop, TECHNICIAN, quote.number, seen, at, repair_held=True, note="fine")
    (record,) = heater_records(shop, OWNER).records
    assert (record.number, record.records_from) == (quote.number, quote.issued_at.date())
    assert (record.failed, record.last_seen) == (None, seen)
    outcomes.record_outcome(shop, TECHNICIAN, quote.number, seen, at, failed_on=seen)
    (record,) = heater_records(shop, OWNER).records
    assert (record.failed, record.last_seen) == (seen, None)


def test_the_same_word_on_a_heater_is_kept_once(shop, quote):
    said = {"repair_held": True, "note": "fine"}
    first = outcomes.record_outcome(shop, TECHNICIAN, quote.number, NOW.date(), NOW, **said)
    later = NOW + timedelta(hours=1)
    again = outcomes.record_outcome(shop, TECHNICIAN, quote.number, NOW.date(), later, **said)
    assert again == first
    outcomes.record_outcome(shop, OWNER, quote.number, NOW.date(), later, **said)
    outcomes.record_outcome(shop, TECHNICIAN, quote.number, NOW.date(), later, note="fine")
    outcomes.record_outcome(shop, TECHNICIAN, quote.number, NOW.date(), later, note="fine")
    assert len(outcomes.outcomes(shop, OWNER, quote.number)) == 3


def test_a_customer_is_erased_and_the_books_stay(shop, visits):
    values = read_toml(visits / "worn_element.toml")
    values["visit"] |= {
        "customer_name": "Zebulon Quux",
        "customer_address": "99 Quux Lane",
        "note": "Quux keeps a dog",
    }
    values["title"] = "For Quux"
    draft = shop.ledger.drafts.start("T. Sample", values, NOW)
    open_draft = shop.ledger.drafts.start("T. Sample", values, NOW)
    shop.ledger.photos.attach(draft.draft_id, "plate", b"Quux plate", (1, 1), "T. Sample", NOW)
    visit = visit_from(values, "a test")
    quote = issue_quote(
        shop, price_visit(shop, TESTER, visit), TECHNICIAN, NOW, draft_id=draft.draft_id
    )
    token = customer_links.make_link(shop, TECHNICIAN, quote, NOW)
    answering.accept(shop, TECHNICIAN, quote, "repair", "Zebulon Quux", "I, Quux, agree.", NOW)
    outcomes.record_outcome(shop, TECHNICIAN, quote.number, NOW.date(), NOW, note="Quux is glad")
    facts = shop.ledger.facts.after()
    numbers = customer_data.quotes_of_customer(shop, OWNER, "zebulon  quux")
    assert numbers == (quote.number,)
    given_out = json.dumps(customer_data.export_customer(shop, OWNER, numbers, NOW))
    assert given_out.count("Quux") >= 6
    assert "gross_margin" not in given_out
    gone = customer_data.erase_customer(shop, OWNER, numbers, NOW)
    assert (gone.quotes, gone.answers, gone.notes, gone.photos, gone.drafts, gone.links) == (
        *(1, 1, 1, 1, 1, 1),
    )
    assert shop.ledger.drafts.of(open_draft.draft_id) is None
    left = shop.ledger.quotes.get(quote.number)
    assert (left.customer_name, left.title, left.erased_at) == ("", "", NOW)
    assert left.results_json == quote.results_json
    assert shop.ledger.facts.after() == facts
    assert refused(shop, token)
    assert verify_ledger(shop, TESTER).problems == ()
    for file in shop.folder.glob("ledger.sqlite*"):
        assert b"Quux" not in file.read_bytes(), file
    # What is left is held by the journal as well.
    again = customer_data.erase_customer(shop, OWNER, numbers, NOW)
    assert again.quotes == 0
    assert shop.ledger.verify(replay).sound
