from __future__ import annotations

import json
from datetime import UTC, date, datetime, timedelta, timezone
from decimal import Decimal

import pytest

from app.ledger.ledger import Ledger
from app.visit import Visit
from estimator.errors import LedgerTrouble, QuoteNotFound
from estimator.supply import FitClass, PartFamily, SuppliedPart, Supply
from tests.app.ledger.support import NOW, published, quote_to_issue, raw


@pytest.fixture
def shop(ledger: Ledger) -> Ledger:
    published(ledger)
    return ledger


def test_a_quote_comes_back_as_it_was_issued(shop):
    asked = quote_to_issue()
    kept = shop.quotes.issue(asked)
    assert shop.quotes.get(kept.number) == kept
    assert (kept.number, kept.revision, kept.sequence) == ("2026-000001", 1, 1)
    for field in ("issued_at", "issued_by", "valid_until", "customer_name", "title", "verdict"):
        assert getattr(kept, field) == getattr(asked, field)
    assert (kept.repair_price, kept.replace_price) == (Decimal("217.50"), Decimal("2145.10"))
    assert json.loads(kept.inputs_json) == asked.inputs
    assert '"total":"217.50"' in kept.results_json


def test_pydantic_content_comes_back_equal(shop):
    visit = Visit.model_validate(
        {
            "invented": True,
            "visit": {"date": date(2026, 5, 4), "customer_name": "Ana Muñoz (invented)"},
            "heater": {
                "fuel": "natural_gas",
                "ignition": "pilot_thermocouple",
                "tank_volume_gal": 40,
                "input_btu_per_h": 38_000,
                "manufactured": date(2017, 3, 1),
            },
            "work": {"finding": "element_worn", "remedy": "replace_element", "discount": "0.050"},
            "old_part": {
                "features": {"length_in": 23.6, "connection": "threaded", "cut_out": True}
            },
        }
    )
    part = SuppliedPart(
        number="INV-1",
        description="Sensing element (invented)",
        family=PartFamily.SENSING_ELEMENT,
        fit_class=FitClass.LISTED,
        unit_cost=Decimal("11.20"),
    )
    supply = Supply(catalog_version="c", parts=(part,))
    kept = shop.quotes.get(shop.quotes.issue(quote_to_issue(inputs=visit, supply=supply)).number)
    assert Visit.model_validate_json(kept.inputs_json) == visit
    assert Supply.model_validate_json(kept.supply_json) == supply


def test_numbers_count_up_without_gaps_and_by_the_year_of_issue(shop):
    days = [datetime(2026, 12, 31, 23, 59, tzinfo=UTC), datetime(2027, 1, 1, tzinfo=UTC)]
    numbers = [shop.quotes.issue(quote_to_issue(issued_at=day)).number for day in [*days, *days]]
    assert numbers == ["2026-000001", "2027-000001", "2026-000002", "2027-000002"]


def test_the_year_is_that_of_the_issuers_own_clock(shop):
    west = timezone(timedelta(hours=-8))
    kept = shop.quotes.issue(quote_to_issue(issued_at=datetime(2026, 12, 31, 20, tzinfo=west)))
    assert kept.number == "2026-000001"
    assert kept.issued_at == datetime(2027, 1, 1, 4, tzinfo=UTC)


def test_a_refused_quote_uses_up_no_number(shop):
    with pytest.raises(LedgerTrouble):
        shop.quotes.issue(quote_to_issue(rate_sheet_version=7))
    assert shop.quotes.issue(quote_to_issue()).number == "2026-000001"


def test_a_revision_leaves_the_earlier_ones(shop):
    first = shop.quotes.issue(quote_to_issue())
    shop.quotes.issue(quote_to_issue())
    second = shop.quotes.issue(quote_to_issue(revises=first.number, title="Changed"))
    assert (second.number, second.revision) == (first.number, 2)
    assert shop.quotes.revisions(first.number) == (first, second)
    assert shop.quotes.get(first.number) == second
    assert shop.quotes.get(first.number, 1) == first


def test_issuing_discards_its_draft_in_the_same_transaction(shop):
    draft = shop.drafts.start("Tech 1", {}, NOW)
    other = shop.drafts.start("Tech 1", {}, NOW)
    with pytest.raises(LedgerTrouble):
        shop.quotes.issue(quote_to_issue(draft_id=draft.draft_id, rate_sheet_version=7))
    assert shop.drafts.of(draft.draft_id) == draft
    shop.quotes.issue(quote_to_issue(draft_id=draft.draft_id))
    assert shop.drafts.every() == (other,)


def test_a_second_tap_issues_no_second_quote(shop):
    draft = shop.drafts.start("Tech 1", {}, NOW)
    first = shop.quotes.issue(quote_to_issue(draft_id=draft.draft_id))
    again = shop.quotes.issue(
        quote_to_issue(draft_id=draft.draft_id, issued_at=NOW + timedelta(seconds=2))
    )
    assert again == first
    assert len(shop.quotes.listed()) == 1
    assert shop.quotes.issue(quote_to_issue()).number == "2026-000002"
    assert shop.verify(lambda quote, _: quote.results_json).sound


def test_other_content_from_an_issued_draft_is_refused(shop):
    draft = shop.drafts.start("Tech 1", {}, NOW)
    first = shop.quotes.issue(quote_to_issue(draft_id=draft.draft_id))
    with pytest.raises(LedgerTrouble) as refused:
        shop.quotes.issue(quote_to_issue(draft_id=draft.draft_id, results={"total": "1.00"}))
    assert str(refused.value) == (
        f"This draft was issued already, with other content, as quote 2026-000001 in {shop.where}."
        " Open that quote, and revise it if it must change."
    )
    revised = shop.quotes.issue(
        quote_to_issue(draft_id=draft.draft_id, results={"total": "1.00"}, revises=first.number)
    )
    assert revised.revision == 2


def test_quotes_are_listed_last_first_page_by_page(shop):
    numbers = [shop.quotes.issue(quote_to_issue()).number for _ in range(5)]
    page = shop.quotes.listed(2)
    assert [quote.number for quote in page] == numbers[:2:-1]
    rest = shop.quotes.listed(10, before=page[-1].sequence)
    assert [quote.number for quote in rest] == numbers[2::-1]


def test_a_list_shows_the_last_revision_unless_asked_for_all(shop):
    first = shop.quotes.issue(quote_to_issue(title="one"))
    shop.quotes.issue(quote_to_issue(title="two"))
    shop.quotes.issue(quote_to_issue(title="three", revises=first.number))
    assert [quote.title for quote in shop.quotes.listed()] == ["three", "two"]
    every = shop.quotes.listed(every_revision=True)
    assert [quote.title for quote in every] == ["three", "two", "one"]


def test_a_list_narrows_by_person_and_by_customer(shop):
    shop.quotes.issue(quote_to_issue(issued_by="Tech 2", customer_name="Bo 100% (invented)"))
    shop.quotes.issue(quote_to_issue(customer_name="Cy (invented)", repair_price=None))
    assert [quote.customer_name for quote in shop.quotes.listed(issued_by="Tech 2")] == [
        "Bo 100% (invented)"
    ]
    assert [quote.customer_name for quote in shop.quotes.listed(customer="cY")] == ["Cy (invented)"]
    assert [quote.customer_name for quote in shop.quotes.listed(customer="0% (")] == [
        "Bo 100% (invented)"
    ]
    assert shop.quotes.listed(customer="%%") == ()
    assert shop.quotes.listed(customer="cy")[0].repair_price is None


@pytest.mark.parametrize(
    ("call", "message"),
    [
        (lambda shop: shop.quotes.get("2026-000009"), "There is no quote 2026-000009"),
        (
            lambda shop: shop.quotes.get("2026-000001", 4),
            "There is no quote 2026-000001 revision 4",
        ),
        (lambda shop: shop.quotes.revisions("x"), "There is no quote x"),
        (
            lambda shop: shop.quotes.issue(quote_to_issue(revises="2026-000009")),
            "There is no quote 2026-000009",
        ),
    ],
)
def test_a_quote_that_is_not_there_is_said(shop, call, message):
    shop.quotes.issue(quote_to_issue())
    with pytest.raises(QuoteNotFound) as missing:
        call(shop)
    assert str(missing.value) == f"{message} in {shop.where}. Check the number on the quote."


def test_a_price_that_is_not_in_whole_cents_is_refused(shop):
    with pytest.raises(LedgerTrouble) as refused:
        shop.quotes.issue(quote_to_issue(repair_price=Decimal("217.505")))
    assert str(refused.value) == (
        "The price 217.505 is not in whole cents in the quote to issue."
        " Round it as the shop rounds before the quote is issued."
    )
    assert shop.quotes.listed() == ()


@pytest.mark.parametrize(
    "statement",
    [
        "UPDATE quotes SET repair_price_cents = 1",
        "UPDATE quotes SET customer_name = 'x' WHERE number = '2026-000001'",
        "DELETE FROM quotes",
        "INSERT INTO quotes SELECT * FROM quotes WHERE sequence = 1"
        " ON CONFLICT (sequence) DO UPDATE SET title = 'x'",
    ],
)
def test_the_database_itself_refuses_to_change_an_issued_quote(shop, ledger_url, statement):
    kept = shop.quotes.issue(quote_to_issue())
    with pytest.raises(Exception, match="an issued quote never changes"):
        raw(ledger_url, statement)
    assert shop.quotes.revisions(kept.number) == (kept,)


def test_the_database_itself_refuses_to_replace_or_empty(shop, ledger_url):
    kept = shop.quotes.issue(quote_to_issue())
    statement = "TRUNCATE quotes CASCADE"
    if ledger_url.startswith("sqlite"):
        statement = "INSERT OR REPLACE INTO quotes SELECT * FROM quotes"
    with pytest.raises(Exception, match="an issued quote never changes"):
        raw(ledger_url, statement)
    assert shop.quotes.revisions(kept.number) == (kept,)


def test_two_ledgers_open_at_once_stay_apart(shop, tmp_path):
    with Ledger.open(f"sqlite:///{tmp_path / 'other shop' / 'ledger 2?.db'}") as other:
        published(other, "100.00")
        for _ in range(3):
            shop.quotes.issue(quote_to_issue(customer_name="here"))
        other.quotes.issue(quote_to_issue(customer_name="there"))
        assert {quote.customer_name for quote in shop.quotes.listed()} == {"here"}
        assert [quote.number for quote in other.quotes.listed()] == ["2026-000001"]
        assert other.rate_sheets.version(1).sheet.labor.regular_per_h == Decimal("100.00")
        assert shop.rate_sheets.version(1).sheet.labor.regular_per_h == Decimal("145.00")
    assert (tmp_path / "other shop" / "ledger 2?.db").exists()


def test_the_same_ledger_opened_twice_sees_what_the_other_wrote(shop, ledger_url):
    with Ledger.open(ledger_url, create=False) as second:
        kept = shop.quotes.issue(quote_to_issue())
        assert second.quotes.get(kept.number) == kept
        assert second.quotes.issue(quote_to_issue()).number == "2026-000002"
        assert shop.quotes.get("2026-000002").previous_hash == kept.hash
