"""The parts that quotes hold, counted by the database: pieces quoted and pieces used."""

from __future__ import annotations

from datetime import date, timedelta
from decimal import Decimal

import pytest

from app.ledger.ledger import Ledger
from app.ledger.records import PartTaken
from estimator.errors import LedgerTrouble
from tests.app.ledger.support import NOW, published, quote_to_issue, tamper

TODAY = NOW.date()
YEAR_AGO = TODAY - timedelta(days=365)
TANK = "tank-40"
PATHS = {
    "estimate": {
        "repair": {"open": True, "priced": {"name": "Replace the element"}},
        "replacements": [{"slug": TANK, "name": "40 gallon tank", "closed_reason": None}],
    }
}


def supply(**pieces: str | None) -> dict[str, object]:
    """Supply of parts by number (an underscore stands for the dash), each with its quantity."""
    parts = [
        {"number": name.replace("_", "-"), **({} if many is None else {"quantity": many})}
        for name, many in pieces.items()
    ]
    return {"parts": parts}


def issue(ledger, held, answer=None, **changes):
    quote = ledger.quotes.issue(quote_to_issue(results=PATHS, supply=held, **changes))
    if answer is not None:
        ledger.answers.keep(
            quote.number, quote.revision, answer, "A. Sample", "I agree.", "customer", "link", NOW
        )
    return quote


@pytest.fixture
def shop(ledger: Ledger) -> Ledger:
    published(ledger)
    return ledger


def test_pieces_are_counted_by_part_companions_among_them(shop):
    issue(shop, supply(INV_1="1", GK_1="2"), "repair")
    issue(shop, supply(INV_1="1.00", GK_1="0.5"), "repair")
    issue(shop, supply(INV_1=None))
    assert shop.jobs.parts_between(YEAR_AGO, TODAY) == (
        PartTaken("GK-1", Decimal("2.5"), Decimal("2.5")),
        PartTaken("INV-1", Decimal(3), Decimal(2)),
    )


def test_what_was_turned_down_closed_revised_or_issued_before_counts_nowhere(shop):
    issue(shop, supply(TURNED_DOWN="1"), "declined")
    issue(shop, supply(REPLACED="1"), TANK)
    issue(shop, supply(CLOSED="1"), repair_price=None)
    issue(shop, supply(BEFORE="1"), issued_at=NOW - timedelta(days=365))
    first = issue(shop, supply(REVISED="1"))
    issue(shop, supply(STANDS="4"), "repair", revises=first.number)
    assert shop.jobs.parts_between(YEAR_AGO, TODAY) == (
        PartTaken("STANDS", Decimal(4), Decimal(4)),
    )
    assert [it.part for it in shop.jobs.parts_between(YEAR_AGO - timedelta(days=1), TODAY)] == [
        "BEFORE", "STANDS",
    ]  # fmt: skip
    assert shop.jobs.parts_between(TODAY, date(2099, 1, 1)) == ()


def test_a_quote_without_a_part_counts_no_part(shop):
    issue(shop, {"no_part_reason": "none fits"})
    issue(shop, {"parts": []})
    assert shop.jobs.parts_between(YEAR_AGO, TODAY) == ()


def test_a_supply_that_is_no_longer_json_is_refused_in_plain_words(shop, ledger_url):
    issue(shop, supply(INV_1="1"))
    tamper(ledger_url, "UPDATE quotes SET supply_json = '{\"parts\": ['")
    with pytest.raises(LedgerTrouble, match=r"^The database refused \(.*(JSON|json).*check"):
        shop.jobs.parts_between(YEAR_AGO, TODAY)
