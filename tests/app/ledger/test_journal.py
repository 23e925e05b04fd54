from __future__ import annotations

from dataclasses import replace

import pytest

from app.ledger.records import JournalHead
from estimator.errors import LedgerTrouble
from tests.app.ledger.support import NOW, published, quote_to_issue, raw, replay, tamper


@pytest.fixture
def told(ledger):
    """A ledger with a line of nearly every kind."""
    published(ledger)
    for _ in range(3):
        ledger.quotes.issue(quote_to_issue())
    ledger.people.add("T. Sample", "technician", "hash", "setup", NOW)
    ledger.answers.keep("2026-000002", 1, "declined", "A. Sample", "", "T. Sample", "door", NOW)
    ledger.links.make("2026-000001", "link-hash", NOW, "T. Sample", NOW)
    ledger.outcomes.record("2026-000001", NOW.date(), "T", NOW, repair_held=True)
    asked = ledger.allowances.ask("digest", "A job", [], "T. Sample", NOW)
    ledger.allowances.decide(asked.allowance_id, "allowed", "once", "O. Sample", NOW)
    ledger.photos.attach("draft", "plate", b"invented bytes", (2, 1), "T. Sample", NOW)
    return ledger


def said(ledger, **options):
    return [str(problem) for problem in ledger.verify(replay, **options).problems]


def test_a_sound_journal_has_no_problem(told):
    report = told.verify(replay, anchor=told.journal.head())
    assert (report.journal_checked, report.problems) == (11, ())


def test_lines_come_last_first_page_by_page_and_narrow(told):
    lines = told.journal.lines(4)
    assert [line.action for line in lines] == [
        "attach photo",
        "allow under the floor",
        "ask for allowance",
        "record outcome",
    ]
    rest = told.journal.lines(100, before=lines[-1].sequence)
    assert [line.sequence for line in rest] == list(range(7, 0, -1))
    issued = told.journal.lines(action="issue")
    assert [line.subject for line in issued] == ["2026-000003", "2026-000002", "2026-000001"]
    assert [line.action for line in told.journal.lines(subject="2026-000002")] == [
        "decline",
        "issue",
    ]


def test_an_action_that_fails_writes_no_line(told):
    before = told.journal.head()
    with pytest.raises(LedgerTrouble):
        told.quotes.issue(quote_to_issue(rate_sheet_version=9))
    with pytest.raises(LedgerTrouble):
        told.quotes.issue(quote_to_issue(needs_allowance="never asked"))
    assert told.journal.head() == before
    assert len(told.quotes.listed()) == 3


@pytest.mark.parametrize(
    "change",
    [
        "person = 'Somebody else'",
        "action = 'x'",
        "subject = 'x'",
        "done_at = '2026-05-04T15:30:01.000251+00:00'",
        "detail_json = '{}'",
        "previous_hash = 'x'",
    ],
)
def test_a_change_in_the_middle_is_found(told, ledger_url, change):
    tamper(ledger_url, f"UPDATE journal SET {change} WHERE sequence = 3")
    assert "Line 3 of the journal was changed after it was written" in said(told)


def test_a_change_with_its_hash_made_anew_breaks_the_chain(told, ledger_url):
    from app.ledger import journal  # noqa: PLC0415 - a forger has the program too

    with told._database.reading() as connection:
        row = dict(journal.rows_after(connection, 2, 1)[0])
    row["person"] = "Somebody else"
    forged = journal.line_hash(row)
    tamper(
        ledger_url,
        f"UPDATE journal SET person = 'Somebody else', hash = '{forged}' WHERE sequence = 3",
    )
    assert said(told) == [
        "Line 4 of the journal does not follow the one before it; one of the two was changed"
    ]


def test_a_line_taken_out_is_found_in_the_middle_and_at_the_end(told, ledger_url):
    tamper(ledger_url, "DELETE FROM journal WHERE sequence = 3")
    assert "1 line was taken out of the journal before line 4" in said(told)
    tamper(ledger_url, "DELETE FROM journal WHERE sequence = 11")
    assert (
        "11 lines were written into the journal and the last one there is number 10 of them"
        in said(told)
    )


def test_an_anchor_finds_a_journal_written_anew(told):
    head = told.journal.head()
    assert said(told, anchor=head) == []
    told.journal.note(NOW, "T", "refused")
    assert said(told, anchor=head) == [], "an older anchor still holds"
    assert said(told, anchor=replace(head, hash="0" * 64)) == [
        "Line 11 of the journal is not the one that the anchor was taken of; the journal was"
        " written anew"
    ]
    assert said(told, anchor=JournalHead(99, "0" * 64)) == [
        "The journal ends at line 12; the anchor is of line 99"
    ]


@pytest.mark.parametrize(
    ("statement", "entry"),
    [
        ("UPDATE people SET role = 'owner'", "The entry people "),
        ("UPDATE people SET password_hash = 'mine'", "The entry people "),
        ("UPDATE answers SET choice = 'repair'", "The entry answers 2026-000002 1 was changed"),
        ("UPDATE answers SET typed_name = 'B'", "The entry answers 2026-000002 1 was changed"),
        ("UPDATE allowances SET used_by = 'x'", "The entry allowances "),
        ("UPDATE links SET ends_at = '2099'", "The entry links link-hash was changed"),
        ("UPDATE outcomes SET repair_held = 0", "The entry outcomes "),
        ("UPDATE photos SET kind = 'part'", "The entry photos "),
        ("UPDATE photos SET jpeg = 'x'", "The picture of photo "),
        ("DELETE FROM answers", "The entry answers 2026-000002 1 was taken away"),
        ("DELETE FROM photos", "The entry photos "),
        (
            "INSERT INTO links VALUES ('mine', '2026-000001', 'x', 'x', '2099', NULL, NULL, 's')",
            "The entry links mine is there and the journal knows nothing of it",
        ),
    ],
)
def test_an_entry_changed_past_the_journal_is_found(told, ledger_url, statement, entry):
    raw(ledger_url, statement)
    problem, *others = said(told)
    assert problem.startswith(entry)
    assert all(": the books say " in other for other in others)


def test_the_database_itself_refuses_to_change_the_journal(told, ledger_url):
    for statement in ("UPDATE journal SET person = 'x'", "DELETE FROM journal"):
        with pytest.raises(Exception, match="the journal never changes"):
            raw(ledger_url, statement)


def test_the_database_lets_an_erasure_empty_what_is_personal_and_nothing_else(told, ledger_url):
    for change in ("verdict = 'x'", "results_json = '{}'", "hash = 'x'"):
        with pytest.raises(Exception, match="an issued quote never changes"):
            raw(ledger_url, f"UPDATE quotes SET erased_at = '2026', {change}")
    with pytest.raises(Exception, match="an issued quote never changes"):
        raw(ledger_url, "UPDATE quotes SET customer_name = ''")
    raw(ledger_url, "UPDATE quotes SET erased_at = '2026-05-04T00:00:00+00:00', customer_name = ''")
    assert len(said(told)) == 3, "past the journal it is found"


def test_an_erased_quote_is_held_by_the_journal(told, ledger_url):
    told.customers.erase(["2026-000002"], ["Ana Muñoz (invented)"], "O. Sample", NOW)
    assert told.verify(replay).problems == ()
    tamper(ledger_url, "UPDATE quotes SET title = 'x' WHERE number = '2026-000002'")
    assert said(told) == [
        "Quote 2026-000002 revision 1: the customer, title or inputs were changed after it was"
        " issued"
    ]


def test_another_version_is_counted_and_named_where_it_comes_out_differently(told):
    made = told.quotes.issue(quote_to_issue(program_version="0.9"))
    report = told.verify(replay, program_version="1.0")
    assert (report.other_versions, report.problems) == ({"": 3, "0.9": 1}, ())

    def cent_less(quote, sheet):
        less = '"217.49"' if quote.number == made.number else '"217.50"'
        return replay(quote, sheet).replace('"217.50"', less)

    (problem,) = told.verify(cent_less, program_version="1.0").problems
    assert str(problem).endswith(
        "(0.01 apart); it was made by version 0.9 of the program and this is version 1.0"
    )


def test_the_version_cannot_be_changed_or_taken_off(told, ledger_url):
    told.quotes.issue(quote_to_issue(program_version="0.9"))
    for version in ("", "1.0"):
        tamper(ledger_url, f"UPDATE quotes SET program_version = '{version}' WHERE sequence = 4")
        (problem,) = said(told)
        assert "changed after it was issued" in problem
