from __future__ import annotations

from datetime import date

import pytest

from estimator.errors import LedgerTrouble
from tests.app.ledger.support import NOW, published, rate_sheet, raw


def test_versions_count_up_and_come_back_equal(ledger):
    first = published(ledger, "145.00")
    second = published(ledger, "150.00")
    assert (first.version, second.version) == (1, 2)
    assert first.sheet == rate_sheet("145.00")
    assert ledger.rate_sheets.version(1) == first
    assert ledger.rate_sheets.every() == (first, second)


def test_the_same_sheet_from_the_same_day_is_the_version_that_it_was(ledger):
    start = date(2026, 1, 1)
    first = ledger.rate_sheets.publish(rate_sheet("145.00"), start, "Owner", NOW)
    assert ledger.rate_sheets.publish(rate_sheet("145.00"), start, "Other", NOW) == first
    later = ledger.rate_sheets.publish(rate_sheet("145.00"), date(2026, 2, 1), "Owner", NOW)
    dearer = ledger.rate_sheets.publish(rate_sheet("150.00"), start, "Owner", NOW)
    again = ledger.rate_sheets.publish(rate_sheet("145.00"), start, "Owner", NOW)
    assert ledger.rate_sheets.every() == (first, later, dearer, again)
    assert [each.version for each in (first, later, dearer, again)] == [1, 2, 3, 4]


def test_the_sheet_of_a_day_has_the_latest_start_then_the_latest_version(ledger):
    starts = [date(2026, month, 1) for month in (1, 7, 3, 7, 2)]
    for start in starts:
        ledger.rate_sheets.publish(rate_sheet(), start, "Owner", NOW)
    expected = {
        date(2026, 1, 1): 1,
        date(2026, 1, 31): 1,
        date(2026, 2, 28): 5,
        date(2026, 3, 1): 3,
        date(2026, 6, 30): 3,
        date(2026, 7, 1): 4,
        date(2031, 1, 1): 4,
    }
    assert {day: ledger.rate_sheets.on(day).version for day in expected} == expected


def test_a_day_without_a_sheet_is_said(ledger):
    with pytest.raises(LedgerTrouble) as none:
        ledger.rate_sheets.on(date(2026, 1, 1))
    assert "No rate sheet holds on 2026-01-01 (none was published yet) in " in str(none.value)
    published(ledger)
    with pytest.raises(LedgerTrouble) as early:
        ledger.rate_sheets.on(date(2025, 12, 31))
    assert str(early.value) == (
        "No rate sheet holds on 2025-12-31 (the first holds from 2026-01-01)"
        f" in {ledger.where}. Publish a rate sheet that holds from that day or earlier."
    )


def test_a_version_that_is_not_there_is_said(ledger):
    with pytest.raises(LedgerTrouble) as missing:
        ledger.rate_sheets.version(3)
    assert str(missing.value) == (
        f"There is no rate sheet version 3 in {ledger.where}. Check the version, or publish one."
    )


@pytest.mark.parametrize(
    "statement",
    [
        "UPDATE rate_sheets SET holds_from = '2020-01-01'",
        "UPDATE rate_sheets SET sheet_json = sheet_json",
        "DELETE FROM rate_sheets",
        "DELETE FROM rate_sheets WHERE version = 1",
        "INSERT INTO rate_sheets SELECT * FROM rate_sheets WHERE version = 1"
        " ON CONFLICT (version) DO UPDATE SET sheet_json = '{}'",
    ],
)
def test_the_database_itself_refuses_to_change_a_published_sheet(ledger, ledger_url, statement):
    first = published(ledger)
    with pytest.raises(Exception, match="a published rate sheet never changes"):
        raw(ledger_url, statement)
    assert ledger.rate_sheets.every() == (first,)


def test_the_database_itself_refuses_to_replace_or_empty(ledger, ledger_url):
    first = published(ledger)
    statement = "TRUNCATE rate_sheets CASCADE"
    if ledger_url.startswith("sqlite"):
        statement = "INSERT OR REPLACE INTO rate_sheets SELECT * FROM rate_sheets"
    with pytest.raises(Exception, match="never changes"):
        raw(ledger_url, statement)
    assert ledger.rate_sheets.every() == (first,)
