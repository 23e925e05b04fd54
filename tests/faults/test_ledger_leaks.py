"""No error of SQLAlchemy, sqlite3 or pydantic gets out of any public method."""

from __future__ import annotations

import inspect
import re
import sqlite3
from collections.abc import Callable, Iterator
from datetime import date
from pathlib import Path
from typing import Any

import pytest
from sqlalchemy import event
from sqlalchemy.exc import InvalidRequestError, NoSuchTableError

from app.ledger.ledger import Ledger
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
    "new_draft": lambda ledger: ledger.new_draft("Tech 1", {}, NOW),
    "save_draft": lambda ledger: ledger.save_draft(DRAFT, "Tech 1", "", {}, NOW),
    "draft": lambda ledger: ledger.draft(DRAFT),
    "drafts": lambda ledger: ledger.drafts(),
    "discard_draft": lambda ledger: ledger.discard_draft(DRAFT),
    "publish_rate_sheet": lambda ledger: ledger.publish_rate_sheet(
        rate_sheet(), date(2026, 2, 1), "Owner", NOW
    ),
    "rate_sheet_on": lambda ledger: ledger.rate_sheet_on(date(2026, 5, 4)),
    "rate_sheet": lambda ledger: ledger.rate_sheet(1),
    "rate_sheets": lambda ledger: ledger.rate_sheets(),
    "issue": lambda ledger: ledger.issue(quote_to_issue(draft_id=DRAFT)),
    "quote": lambda ledger: ledger.quote("2026-000001"),
    "revisions": lambda ledger: ledger.revisions("2026-000001"),
    "quotes": lambda ledger: ledger.quotes(),
    "verify": lambda ledger: ledger.verify(replay),
}
NEEDS_NO_DATABASE = {"open", "close", "where"}
WRITERS = {"new_draft", "save_draft", "discard_draft", "publish_rate_sheet", "issue"}


@pytest.fixture(params=BACKENDS)
def ledger_url(request: pytest.FixtureRequest, tmp_path: Path) -> Iterator[str]:
    with fresh_url(request.param, tmp_path) as url:
        yield url


@pytest.fixture
def ledger(ledger_url: str) -> Iterator[Ledger]:
    with Ledger.open(ledger_url, busy_seconds=0.2) as opened:
        published(opened)
        opened.save_draft(DRAFT, "Tech 1", "", {}, NOW)
        opened.issue(quote_to_issue())
        yield opened


def test_every_public_method_is_tried_here():
    public = {name for name, _ in inspect.getmembers(Ledger) if not name.startswith("_")}
    assert public - NEEDS_NO_DATABASE == set(CALLS)


@pytest.mark.parametrize("name", CALLS)
def test_every_method_works_when_nothing_is_wrong(ledger, name):
    CALLS[name](ledger)


@pytest.mark.parametrize("name", CALLS)
def test_a_closed_ledger_says_so(ledger, name):
    ledger.close()
    ledger.close()
    with pytest.raises(LedgerTrouble, match=r"^The ledger is closed in .*\. Open it again\.$"):
        CALLS[name](ledger)


@pytest.mark.parametrize("name", CALLS)
def test_tables_that_have_gone_are_said(ledger, ledger_url, name):
    end = "" if ledger_url.startswith("sqlite") else " CASCADE"
    tables = ("quotes", "rate_sheets", "drafts", "counters")
    tamper(ledger_url, *(f"DROP TABLE {table}{end}" for table in tables))
    with pytest.raises(LedgerTrouble, match=r"^The database refused \(.+\) in ") as trouble:
        CALLS[name](ledger)
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
def test_whatever_a_lower_layer_throws_comes_out_in_plain_words(ledger, name, thrown):
    def throw(*_: object) -> None:
        raise thrown

    event.listen(ledger._database._engine, "before_cursor_execute", throw)
    with pytest.raises(LedgerTrouble) as trouble:
        CALLS[name](ledger)
    assert re.search(r" in .*\. [A-Z]", str(trouble.value))
    assert "sqlalche.me" not in str(trouble.value)


@pytest.mark.parametrize("name", sorted(WRITERS))
def test_a_locked_ledger_is_said_by_every_writer(ledger, ledger_url, name):
    with locked(ledger_url), pytest.raises(LedgerTrouble) as trouble:
        CALLS[name](ledger)
    assert str(trouble.value).startswith("Another program is still writing in ")
    CALLS[name](ledger)


@pytest.mark.parametrize("name", ["rate_sheet_on", "rate_sheet", "rate_sheets"])
def test_a_stored_sheet_that_cannot_be_read_is_said(ledger, ledger_url, name):
    tamper(ledger_url, "UPDATE rate_sheets SET sheet_json = '{\"shop\": 1}'")
    with pytest.raises(LedgerTrouble, match=r"^Damage was found \(.+\) in "):
        CALLS[name](ledger)


@pytest.mark.parametrize("name", ["draft", "drafts"])
def test_a_stored_draft_that_cannot_be_read_is_said(ledger, ledger_url, name):
    raw(ledger_url, "UPDATE drafts SET payload_json = '{'")
    with pytest.raises(LedgerTrouble, match=r"^Damage was found \(.+\) in "):
        CALLS[name](ledger)


@pytest.mark.parametrize("name", ["quote", "revisions", "quotes"])
def test_a_stored_quote_that_cannot_be_read_is_said(ledger, ledger_url, name):
    tamper(ledger_url, "UPDATE quotes SET valid_until = 'soon'")
    with pytest.raises(LedgerTrouble, match=r"^Damage was found \(.+\) in "):
        CALLS[name](ledger)


@pytest.mark.parametrize(
    "call",
    [
        lambda ledger: ledger.rate_sheet(10**30),
        lambda ledger: ledger.quote("2026-000001", 10**30),
        lambda ledger: ledger.quotes(10**30),
        lambda ledger: ledger.quotes(before=10**30),
        lambda ledger: ledger.quote("x\ud800"),
        lambda ledger: ledger.draft("\ud800"),
        lambda ledger: ledger.quotes(customer="\ud800"),
        lambda ledger: ledger.new_draft("\x00", {}, NOW),
        lambda ledger: ledger.issue(quote_to_issue(rate_sheet_version=10**30)),
        lambda ledger: ledger.issue(quote_to_issue(customer_name="x\ud800")),
        lambda ledger: ledger.issue(quote_to_issue(draft_id="\ud800")),
    ],
)
def test_values_that_no_database_takes_are_refused(ledger, call):
    with pytest.raises(LedgerTrouble):
        call(ledger)
    assert len(ledger.quotes()) == 1


@pytest.mark.parametrize(
    "text", ["'; DROP TABLE quotes; --", "🔥" * 2000, "x" * 10_000, "<script>", "%_\\", "١٢٣,٤"]
)
def test_anything_typed_is_kept_as_it_was_typed(ledger, text):
    draft = ledger.new_draft(text, {"field": text}, NOW, step=text)
    assert ledger.draft(draft.draft_id).payload == {"field": text}
    assert ledger.drafts(text) == (draft,)
    kept = ledger.issue(quote_to_issue(customer_name=text, title=text, issued_by=text))
    assert ledger.quote(kept.number).customer_name == text
    assert [quote.number for quote in ledger.quotes(customer=text)] == [kept.number]
