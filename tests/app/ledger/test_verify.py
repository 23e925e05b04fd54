from __future__ import annotations

import pytest

from app.ledger.tables import quote_facts
from estimator.errors import InputTrouble
from tests.app.ledger.support import NOW, published, quote_to_issue, replay, tamper


@pytest.fixture
def books(ledger):
    """Five quotes, the last a revision of the second."""
    published(ledger)
    for _ in range(4):
        ledger.quotes.issue(quote_to_issue())
    ledger.quotes.issue(quote_to_issue(revises="2026-000002"))
    return ledger


def said(books):
    return [str(problem) for problem in books.verify(replay).problems]


def test_a_sound_ledger_has_no_problem(books):
    report = books.verify(replay)
    assert (report.quotes_checked, report.rate_sheets_checked, report.problems) == (5, 1, ())
    assert report.sound


def test_what_is_issued_during_the_check_disturbs_it_not(books):
    def meanwhile(quote, sheet):
        later = published(books, "150.00")
        books.quotes.issue(quote_to_issue(rate_sheet_version=later.version))
        return replay(quote, sheet)

    report = books.verify(meanwhile)
    assert (report.quotes_checked, report.rate_sheets_checked, report.problems) == (5, 1, ())


def test_an_empty_ledger_is_sound(ledger):
    assert ledger.verify(replay).sound


def test_more_quotes_than_one_reading_takes_are_all_walked(ledger, monkeypatch):
    monkeypatch.setattr("app.ledger.verify._CHUNK", 2)
    published(ledger)
    for _ in range(5):
        ledger.quotes.issue(quote_to_issue())
    report = ledger.verify(replay)
    assert (report.quotes_checked, report.problems) == (5, ())


def test_a_result_that_comes_out_a_cent_apart_is_named_with_its_path(books):
    def cent_less(quote, sheet):
        return replay(quote, sheet).replace('"217.50"', '"217.49"')

    problems = books.verify(cent_less).problems
    assert [(p.number, p.revision, p.path) for p in problems[:2]] == [
        ("2026-000001", 1, "repair.priced.total"),
        ("2026-000002", 1, "repair.priced.total"),
    ]
    assert str(problems[-1]) == (
        "Quote 2026-000002 revision 2: repair.priced.total is 217.50 in the ledger and 217.49 now"
        " (0.01 apart)"
    )
    assert len(problems) == 5


def test_a_replay_that_fails_is_a_problem_of_its_quote_alone(books):
    def fails_once(quote, sheet):
        if quote.number == "2026-000003":
            raise InputTrouble("Tank size is -40 gal")
        if quote.number == "2026-000004":
            raise ZeroDivisionError("by zero")
        return replay(quote, sheet)

    assert [str(problem) for problem in books.verify(fails_once).problems] == [
        "Quote 2026-000003 revision 1: it cannot be worked again: Tank size is -40 gal.",
        "Quote 2026-000004 revision 1: it cannot be worked again (ZeroDivisionError: by zero)",
    ]


def test_one_changed_byte_in_the_results_is_found(books, ledger_url):
    tamper(
        ledger_url,
        "UPDATE quotes SET results_json = replace(results_json, '217.50', '217.51')"
        " WHERE sequence = 3",
    )
    assert said(books) == [
        "Quote 2026-000003 revision 1: a price, result or other entry was changed after it was"
        " issued",
        "Quote 2026-000003 revision 1: repair.priced.total is 217.51 in the ledger and 217.50 now"
        " (0.01 apart)",
    ]


@pytest.mark.parametrize(
    "change",
    [
        "repair_price_cents = repair_price_cents - 1",
        "replace_price_cents = NULL",
        "issued_at = '2026-05-04T15:30:01.000251+00:00'",
        "issued_by = 'Tech 2'",
        "valid_until = '2026-06-04'",
        "verdict = 'replace'",
        "catalog_version = 'catalog-0f1f'",
        "supply_json = replace(supply_json, '11.20', '11.21')",
        "draft_id = 'x'",
        "number = '2026-000009'",
        "revision = 3",
        "personal_digest = 'x'",
        "rate_sheet_hash = 'x'",
        "previous_hash = 'x'",
    ],
)
def test_a_change_of_any_column_is_found(books, ledger_url, change):
    tamper(ledger_url, f"UPDATE quotes SET {change} WHERE sequence = 3")
    number = "2026-000009" if "number" in change else "2026-000003"
    revision = 3 if "revision" in change else 1
    problems = books.verify(replay).problems
    assert (number, revision) in {(problem.number, problem.revision) for problem in problems}
    assert "changed after it was issued" in " ".join(map(str, problems))


@pytest.mark.parametrize(
    "change",
    [
        "customer_name = 'Somebody else'",
        "title = 'Pilot will not light'",
        "inputs_json = replace(inputs_json, 'Ana', 'Ane')",
        "personal_salt = 'x'",
    ],
)
def test_a_change_of_personal_content_is_found(books, ledger_url, change):
    tamper(ledger_url, f"UPDATE quotes SET {change} WHERE sequence = 3")
    assert said(books) == [
        "Quote 2026-000003 revision 1: the customer, title or inputs were changed after it was"
        " issued"
    ]


def test_a_change_with_its_hash_made_anew_breaks_the_chain(books, ledger_url):
    tamper(ledger_url, "UPDATE quotes SET hash = 'made anew' WHERE sequence = 3")
    assert (
        "Quote 2026-000003 revision 1: its hash is not the one that the next quote, 2026-000004"
        " revision 1, was issued on; one of the two was changed after it was issued"
    ) in said(books)


def test_a_quote_taken_away_is_found_in_the_middle_and_at_the_end(books, ledger_url):
    tamper(ledger_url, "DELETE FROM quotes WHERE sequence = 3")
    assert said(books) == [
        "1 revision of a quote was issued after 2026-000002 revision 1 and before 2026-000004"
        " revision 1; now nothing is there"
    ]
    tamper(ledger_url, "DELETE FROM quotes WHERE sequence = 5")
    assert said(books)[-1] == (
        "5 revisions of quotes were issued and the last one there is number 4 of them"
    )


def test_a_changed_rate_sheet_is_found_and_its_quotes_named(books, ledger_url):
    tamper(
        ledger_url,
        "UPDATE rate_sheets SET sheet_json = replace(sheet_json, '145.00', '146.00')",
    )
    problems = said(books)
    assert problems[:3] == [
        "Rate sheet 1 was changed after it was published",
        "Quote 2026-000001 revision 1: its rate sheet, version 1, is not the one it was issued on",
        "Quote 2026-000001 revision 1: repair.priced.total is 217.50 in the ledger and 219.00 now"
        " (1.50 apart)",
    ]
    assert len(problems) == 1 + 2 * 5


def test_a_rate_sheet_taken_away_is_found(books, ledger_url):
    tamper(ledger_url, "DELETE FROM rate_sheets")
    problems = said(books)
    assert problems[0] == "1 rate sheets were published and 0 are there"
    assert problems[1] == "Quote 2026-000001 revision 1: its rate sheet, version 1, is not there"
    assert len(problems) == 6


def test_a_rate_sheet_that_cannot_be_read_is_found(books, ledger_url):
    tamper(ledger_url, "UPDATE rate_sheets SET sheet_json = '{'")
    problems = said(books)
    assert problems[0] == "Rate sheet 1 was changed after it was published"
    assert problems[1].startswith("Rate sheet 1 cannot be read: ")


def test_inputs_that_cannot_be_read_are_a_problem_and_not_a_crash(books, ledger_url):
    tamper(ledger_url, "UPDATE quotes SET inputs_json = '{', issued_at = 'x' WHERE sequence = 1")
    problems = books.verify(replay).problems
    assert {(problem.number, problem.revision) for problem in problems} == {("2026-000001", 1)}


@pytest.mark.parametrize(
    ("statement", "problem"),
    [
        (
            "UPDATE quote_facts SET finding = 'tank_leak' WHERE sequence = 3",
            "Quote 2026-000003 revision 1: the books say tank_leak for finding where the quote says"
            " nothing",
        ),
        (
            "UPDATE quote_facts SET repair_price_cents = 21751 WHERE sequence = 5",
            "Quote 2026-000002 revision 2: the books say 21751 for repair_price_cents where the"
            " quote says 21750",
        ),
        (
            "UPDATE quote_facts SET chosen_path = NULL WHERE sequence = 4",
            "Quote 2026-000004 revision 1: the books say nothing for chosen_path where the quote"
            " says declined",
        ),
        (
            "UPDATE quote_facts SET answered_on = '2026-05-09' WHERE sequence = 4",
            "Quote 2026-000004 revision 1: the books say 2026-05-09 for answered_on where the"
            " quote says 2026-05-04",
        ),
        (
            "UPDATE quote_facts SET cost_cents = 1 WHERE sequence = 1",
            "Quote 2026-000001 revision 1: the books say 1 for cost_cents where the quote says"
            " nothing",
        ),
        (
            "DELETE FROM quote_facts WHERE sequence = 2",
            "Quote 2026-000002 revision 1: the books know nothing of it",
        ),
        (
            "INSERT INTO quote_facts SELECT {columns} FROM quote_facts WHERE sequence = 5",
            "The books tell of a quote, number 6 of them, that is not there",
        ),
    ],
)
def test_facts_that_are_not_what_the_quote_says_are_found(books, ledger_url, statement, problem):
    books.answers.keep("2026-000004", 1, "declined", "A", "text", "Tech 1", "door", NOW)
    assert said(books) == []
    columns = ", ".join(["6", *list(quote_facts.columns.keys())[1:]])
    tamper(ledger_url, statement.format(columns=columns))
    assert said(books) == [problem]


def test_facts_of_an_erased_quote_stay_what_it_says(books):
    books.answers.keep("2026-000004", 1, "declined", "A", "text", "Tech 1", "door", NOW)
    books.customers.erase(["2026-000002", "2026-000004"], [], "Owner", NOW)
    assert said(books) == []
