"""No error of SQLAlchemy, sqlite3 or pydantic gets out of any public method."""

from __future__ import annotations

import inspect
import re
import secrets
import sqlite3
import tempfile
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from datetime import date, timedelta
from functools import cache
from pathlib import Path
from typing import Any

import pytest
from sqlalchemy import event
from sqlalchemy.exc import InvalidRequestError, NoSuchTableError

from app.ledger.allowances import Allowances
from app.ledger.answers import Answers
from app.ledger.customers import Customers
from app.ledger.drafts import Drafts
from app.ledger.facts import Facts
from app.ledger.jobs import Jobs
from app.ledger.journal import Journal
from app.ledger.ledger import Ledger
from app.ledger.links import Links
from app.ledger.outcomes import Outcomes
from app.ledger.people import People
from app.ledger.photos import Photos
from app.ledger.quotes import Quotes
from app.ledger.rate_sheets import RateSheets
from app.ledger.reservations import Reservations
from app.ledger.sign_ins import SignIns
from app.ledger.tables import metadata
from estimator.errors import LedgerTrouble
from tests.app.ledger.support import (
    BACKENDS,
    NOW,
    fresh_url,
    locked,
    published,
    quote_to_issue,
    rate_sheet,
    raw,
    replay,
    tamper,
)

DRAFT = "A" * 32
CALLS: dict[str, Callable[[Ledger], Any]] = {
    "drafts.start": lambda ledger: ledger.drafts.start("Tech 1", {}, NOW),
    "drafts.save": lambda ledger: ledger.drafts.save(DRAFT, "Tech 1", "", {}, NOW),
    "drafts.of": lambda ledger: ledger.drafts.of(DRAFT),
    "drafts.every": lambda ledger: ledger.drafts.every(),
    "drafts.discard": lambda ledger: ledger.drafts.discard(DRAFT),
    "rate_sheets.publish": lambda ledger: ledger.rate_sheets.publish(
        rate_sheet(), date(2026, 2, 1), "Owner", NOW
    ),
    "rate_sheets.on": lambda ledger: ledger.rate_sheets.on(date(2026, 5, 4)),
    "rate_sheets.version": lambda ledger: ledger.rate_sheets.version(1),
    "rate_sheets.every": lambda ledger: ledger.rate_sheets.every(),
    "quotes.issue": lambda ledger: ledger.quotes.issue(quote_to_issue(draft_id=DRAFT)),
    "quotes.get": lambda ledger: ledger.quotes.get("2026-000001"),
    "quotes.revisions": lambda ledger: ledger.quotes.revisions("2026-000001"),
    "quotes.listed": lambda ledger: ledger.quotes.listed(),
    "verify": lambda ledger: ledger.verify(replay),
    "back_up": lambda ledger: ledger.back_up(_new_file()),
    "journal.note": lambda ledger: ledger.journal.note(NOW, "Tech 1", "refused"),
    "journal.lines": lambda ledger: ledger.journal.lines(),
    "journal.head": lambda ledger: ledger.journal.head(),
    "people.every": lambda ledger: ledger.people.every(removed=True),
    "people.any": lambda ledger: ledger.people.any(),
    "people.add": lambda ledger: ledger.people.add(
        f"New {secrets.token_hex(4)}", "technician", "", "Owner", NOW
    ),
    "people.remove": lambda ledger: ledger.people.remove(_person(ledger), "Owner", NOW, "owner"),
    "people.change": lambda ledger: ledger.people.change(
        _person(ledger), "Owner", NOW, role="technician"
    ),
    "people.by_name": lambda ledger: ledger.people.by_name("Tech 1"),
    "people.by_email": lambda ledger: ledger.people.by_email("tech@example.invalid"),
    "sign_ins.count_try": lambda ledger: ledger.sign_ins.count_try("Tech 1", NOW),
    "sign_ins.fail_try": lambda ledger: ledger.sign_ins.fail_try("Tech 1", None, NOW),
    "sign_ins.start_session": lambda ledger: ledger.sign_ins.start_session(
        _person(ledger), secrets.token_hex(8), NOW + timedelta(days=1), NOW
    ),
    "sign_ins.session": lambda ledger: ledger.sign_ins.session("x", NOW, timedelta(hours=1)),
    "sign_ins.end_session": lambda ledger: ledger.sign_ins.end_session("x", NOW),
    "answers.keep": lambda ledger: ledger.answers.keep(
        "2026-000001", 1, "declined", "A. Sample", "text", "Tech 1", "door", NOW
    ),
    "answers.of": lambda ledger: ledger.answers.of("2026-000001", 1),
    "answers.state": lambda ledger: ledger.answers.state("2026-000001", 1, NOW.date()),
    "answers.states": lambda ledger: ledger.answers.states(NOW.date()),
    "links.make": lambda ledger: ledger.links.make(
        "2026-000001", secrets.token_hex(8), NOW, "Tech 1", NOW
    ),
    "links.by_hash": lambda ledger: ledger.links.by_hash("x"),
    "links.of": lambda ledger: ledger.links.of("2026-000001"),
    "links.revoke": lambda ledger: ledger.links.revoke("2026-000001", "T", NOW),
    "outcomes.record": lambda ledger: ledger.outcomes.record(
        "2026-000001", NOW.date(), "Tech 1", NOW, repair_held=True
    ),
    "outcomes.every": lambda ledger: ledger.outcomes.every(),
    "allowances.ask": lambda ledger: ledger.allowances.ask("digest", "A job", [], "Tech 1", NOW),
    "allowances.decide": lambda ledger: ledger.allowances.decide(
        ledger.allowances.ask(secrets.token_hex(4), "A job", [], "Tech 1", NOW).allowance_id,
        "allowed",
        "once",
        "Owner",
        NOW,
    ),
    "allowances.get": lambda ledger: ledger.allowances.get(
        ledger.allowances.ask("digest", "A job", [], "Tech 1", NOW).allowance_id
    ),
    "allowances.of_job": lambda ledger: ledger.allowances.of_job("digest"),
    "allowances.every": lambda ledger: ledger.allowances.every(undecided=True),
    "photos.attach": lambda ledger: ledger.photos.attach(
        DRAFT, "plate", b"invented bytes", (2, 1), "Tech 1", NOW
    ),
    "photos.of_visit": lambda ledger: ledger.photos.of_visit(DRAFT),
    "photos.jpeg": lambda ledger: ledger.photos.jpeg(
        ledger.photos.attach(DRAFT, "plate", b"bytes", (2, 1), "Tech 1", NOW).photo_id
    ),
    "photos.remove": lambda ledger: ledger.photos.remove("x", "Tech 1", NOW),
    "customers.numbers": lambda ledger: ledger.customers.numbers("Ana"),
    "customers.export": lambda ledger: ledger.customers.export(["2026-000001"]),
    "customers.erase": lambda ledger: ledger.customers.erase(
        ["2026-000001"], ["Ana"], "Owner", NOW
    ),
    "facts.after": lambda ledger: ledger.facts.after(),
    "facts.as_csv": lambda ledger: list(ledger.facts.as_csv()),
    "facts.changed": lambda ledger: ledger.facts.changed(0, 100),
    "jobs.of": lambda ledger: list(ledger.jobs.of([1])),
    "jobs.parts_between": lambda ledger: ledger.jobs.parts_between(
        date(2026, 1, 1), date(2026, 12, 31)
    ),
    "jobs.repairs_between": lambda ledger: ledger.jobs.repairs_between(
        date(2026, 1, 1), date(2026, 12, 31)
    ),
    "reservations.taken": lambda ledger: ledger.reservations.taken(NOW.date()),
    "reservations.held": lambda ledger: ledger.reservations.held(NOW.date()),
    "reservations.of": lambda ledger: ledger.reservations.of("2026-000001"),
    "reservations.release": lambda ledger: ledger.reservations.release(
        "2026-000001", "Tech 1", NOW
    ),
}
DOOR_CLASSES = {
    "drafts": Drafts,
    "rate_sheets": RateSheets,
    "quotes": Quotes,
    "journal": Journal,
    "people": People,
    "sign_ins": SignIns,
    "answers": Answers,
    "links": Links,
    "outcomes": Outcomes,
    "allowances": Allowances,
    "photos": Photos,
    "customers": Customers,
    "facts": Facts,
    "jobs": Jobs,
    "reservations": Reservations,
}
NEEDS_NO_DATABASE = {"open", "close", "where", "take_over"}  # the last has tests of its own
WRITERS = {
    *("drafts.start", "drafts.save", "drafts.discard", "rate_sheets.publish", "quotes.issue"),
    *("journal.note", "people.add", "people.remove", "people.change", "sign_ins.fail_try"),
    *("sign_ins.start_session", "sign_ins.end_session", "answers.keep", "links.make"),
    *("links.revoke", "outcomes.record", "allowances.ask", "allowances.decide"),
    *("photos.attach", "photos.remove", "customers.erase", "reservations.release"),
}
TABLES = (
    *("reservations", "photos", "outcomes", "links", "allowances", "answers", "quote_facts"),
    *("sessions", "sign_in_failures", "people", "journal"),
    *("quotes", "rate_sheets", "drafts", "counters"),
)


def _new_file() -> Path:
    return Path(tempfile.mkdtemp(prefix="ledger-leaks-")) / "copy.db"


def _person(ledger: Ledger) -> str:
    name = f"New {secrets.token_hex(4)}"
    return ledger.people.add(name, "technician", "", "Owner", NOW).person_id


@pytest.fixture(params=BACKENDS)
def ledger_url(request: pytest.FixtureRequest, tmp_path: Path) -> Iterator[str]:
    with fresh_url(request.param, tmp_path) as url:
        yield url


@pytest.fixture
def ledger(ledger_url: str) -> Iterator[Ledger]:
    with _filled(ledger_url) as opened:
        yield opened


@pytest.fixture(scope="module", params=BACKENDS)
def shared_url(request: pytest.FixtureRequest, tmp_path_factory) -> Iterator[str]:
    with fresh_url(request.param, tmp_path_factory.mktemp("shared")) as url:
        yield url


@pytest.fixture(scope="module")
def shared_ledger(shared_url: str) -> Iterator[Ledger]:
    """A ledger for calls that change nothing in it: each of them is refused."""
    with _filled(shared_url) as opened:
        yield opened


@pytest.fixture(scope="module", params=BACKENDS)
def emptied_ledger(request: pytest.FixtureRequest, tmp_path_factory) -> Iterator[Ledger]:
    """A ledger whose tables have gone while it was open."""
    with (
        fresh_url(request.param, tmp_path_factory.mktemp("emptied")) as url,
        _filled(url) as opened,
    ):
        end = "" if url.startswith("sqlite") else " CASCADE"
        tamper(url, *(f"DROP TABLE {table}{end}" for table in TABLES))
        yield opened


@contextmanager
def _filled(url: str) -> Iterator[Ledger]:
    with Ledger.open(url, busy_seconds=0.2) as opened:
        published(opened)
        opened.drafts.save(DRAFT, "Tech 1", "", {}, NOW)
        opened.quotes.issue(quote_to_issue())
        yield opened


def test_every_door_and_table_is_tried_here(ledger):
    doors = {name for name in vars(ledger) if not name.startswith("_")}
    assert doors == set(DOOR_CLASSES)
    assert {table.name for table in metadata.sorted_tables} - {"schema_version"} == set(TABLES)


def test_every_public_method_is_tried_here():
    public = {name for name, _ in inspect.getmembers(Ledger) if not name.startswith("_")}
    for door, made in DOOR_CLASSES.items():
        methods = inspect.getmembers(made, inspect.isfunction)
        public |= {f"{door}.{name}" for name, _ in methods if not name.startswith("_")}
    assert public - NEEDS_NO_DATABASE == set(CALLS)


@pytest.mark.parametrize("name", CALLS)
def test_every_method_works_when_nothing_is_wrong(ledger, name):
    CALLS[name](ledger)


@pytest.mark.parametrize("name", CALLS)
def test_a_closed_ledger_says_so(shared_url, name):
    ledger = _closed(shared_url)
    with pytest.raises(LedgerTrouble, match=r"^The ledger is closed in .*\. Open it again\.$"):
        CALLS[name](ledger)


@cache
def _closed(url: str) -> Ledger:
    ledger = Ledger.open(url)
    ledger.close()
    ledger.close()
    return ledger


@pytest.mark.parametrize("name", CALLS)
def test_tables_that_have_gone_are_said(emptied_ledger, name):
    with pytest.raises(LedgerTrouble, match=r"^The database refused \(.+\) in ") as trouble:
        CALLS[name](emptied_ledger)
    assert trouble.value.__cause__ is None


@pytest.mark.parametrize("name", CALLS)
@pytest.mark.parametrize(
    "thrown",
    [
        sqlite3.OperationalError("disk I/O error"),
        sqlite3.DatabaseError("malformed"),
        sqlite3.ProgrammingError("closed"),
        NoSuchTableError("quotes"),
        InvalidRequestError("wrong use"),
        OverflowError("too large"),
        OSError(5, "Input/output error"),
    ],
    ids=lambda thrown: type(thrown).__name__,
)
def test_whatever_a_lower_layer_throws_comes_out_in_plain_words(shared_ledger, name, thrown):
    def throw(*_: object) -> None:
        raise thrown

    engine = shared_ledger._database._engine
    event.listen(engine, "before_cursor_execute", throw)
    try:
        with pytest.raises(LedgerTrouble) as trouble:
            CALLS[name](shared_ledger)
    finally:
        event.remove(engine, "before_cursor_execute", throw)
    assert [quote.number for quote in shared_ledger.quotes.listed()] == ["2026-000001"]
    assert re.search(r" in .*\. [A-Z]", str(trouble.value))
    assert "sqlalche.me" not in str(trouble.value)


@pytest.mark.parametrize("name", sorted(WRITERS))
def test_a_locked_ledger_is_said_by_every_writer(ledger, ledger_url, name):
    with locked(ledger_url), pytest.raises(LedgerTrouble) as trouble:
        CALLS[name](ledger)
    assert str(trouble.value).startswith("Another program is still writing in ")
    CALLS[name](ledger)


@pytest.mark.parametrize("name", ["rate_sheets.on", "rate_sheets.version", "rate_sheets.every"])
def test_a_stored_sheet_that_cannot_be_read_is_said(ledger, ledger_url, name):
    tamper(ledger_url, "UPDATE rate_sheets SET sheet_json = '{\"shop\": 1}'")
    with pytest.raises(LedgerTrouble, match=r"^Damage was found \(.+\) in "):
        CALLS[name](ledger)


@pytest.mark.parametrize("name", ["drafts.of", "drafts.every"])
def test_a_stored_draft_that_cannot_be_read_is_said(ledger, ledger_url, name):
    raw(ledger_url, "UPDATE drafts SET payload_json = '{'")
    with pytest.raises(LedgerTrouble, match=r"^Damage was found \(.+\) in "):
        CALLS[name](ledger)


@pytest.mark.parametrize("name", ["quotes.get", "quotes.revisions", "quotes.listed"])
def test_a_stored_quote_that_cannot_be_read_is_said(ledger, ledger_url, name):
    tamper(ledger_url, "UPDATE quotes SET valid_until = 'soon'")
    with pytest.raises(LedgerTrouble, match=r"^Damage was found \(.+\) in "):
        CALLS[name](ledger)


@pytest.mark.parametrize(
    "call",
    [
        lambda ledger: ledger.rate_sheets.version(10**30),
        lambda ledger: ledger.quotes.get("2026-000001", 10**30),
        lambda ledger: ledger.quotes.listed(10**30),
        lambda ledger: ledger.quotes.listed(before=10**30),
        lambda ledger: ledger.quotes.get("x\ud800"),
        lambda ledger: ledger.drafts.of("\ud800"),
        lambda ledger: ledger.quotes.listed(customer="\ud800"),
        lambda ledger: ledger.drafts.start("\x00", {}, NOW),
        lambda ledger: ledger.quotes.issue(quote_to_issue(rate_sheet_version=10**30)),
        lambda ledger: ledger.quotes.issue(quote_to_issue(customer_name="x\ud800")),
        lambda ledger: ledger.quotes.issue(quote_to_issue(draft_id="\ud800")),
    ],
)
def test_values_that_no_database_takes_are_refused(ledger, call):
    with pytest.raises(LedgerTrouble):
        call(ledger)
    assert len(ledger.quotes.listed()) == 1


@pytest.mark.parametrize(
    "text", ["'; DROP TABLE quotes; --", "🔥" * 2000, "x" * 10_000, "<script>", "%_\\", "١٢٣,٤"]
)
def test_anything_typed_is_kept_as_it_was_typed(ledger, text):
    draft = ledger.drafts.start(text, {"field": text}, NOW, step=text)
    assert ledger.drafts.of(draft.draft_id).payload == {"field": text}
    assert ledger.drafts.every(text) == (draft,)
    kept = ledger.quotes.issue(quote_to_issue(customer_name=text, title=text, issued_by=text))
    assert ledger.quotes.get(kept.number).customer_name == text
    assert [quote.number for quote in ledger.quotes.listed(customer=text)] == [kept.number]
