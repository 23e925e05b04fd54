"""The files that go with an issued quote: the work for a calendar, a path for the accounting."""

from __future__ import annotations

from datetime import UTC, date, datetime, time, timedelta
from typing import TYPE_CHECKING
from xml.etree import ElementTree

import pytest
from icalendar import Calendar

from app import handing_over, quoting, visiting, wiring
from app.documents.ubl import NAMESPACES
from app.screens import files_card
from estimator.errors import InputTrouble
from tests.acting import TESTER
from tests.app.screens.reading import sound

if TYPE_CHECKING:
    from collections.abc import Callable

    from streamlit.testing.v1 import AppTest

    from app.ledger.records import IssuedQuote
    from app.shop import Shop

NOW = datetime(2026, 11, 24, 15, 0, tzinfo=UTC)


@pytest.fixture
def quote(shop: Shop) -> IssuedQuote:
    visit = visiting.visit_from(wiring.demo_visit("worn_element"), "the visit")
    return quoting.issue_quote(shop, visiting.price_visit(shop, TESTER, visit), TESTER, NOW)


def test_a_calendar_file_holds_the_time_that_was_set(shop: Shop, quote: IssuedQuote) -> None:
    begins = NOW + timedelta(days=2)
    written = handing_over.calendar_file(shop, TESTER, quote, begins, 90, NOW, kind="follow_up")
    (event,) = Calendar.from_ical(written).walk("VEVENT")
    assert event.decoded("dtstart") == begins
    assert event.decoded("dtend") - event.decoded("dtstart") == timedelta(minutes=90)
    assert str(event["summary"]).startswith("Check on your water heater")
    assert quote.number in str(event["description"])


def test_a_path_for_the_accounting_is_the_one_chosen(shop: Shop, quote: IssuedQuote) -> None:
    whole = quoting.quote_estimate(quote)
    tank = next(path for path in whole.replacements if path.closed_reason is None)
    for path, priced in (("repair", whole.repair.priced), (tank.slug, tank.priced)):
        root = ElementTree.fromstring(handing_over.ubl_file(shop, TESTER, quote, path))
        payable = root.findtext(".//cbc:PayableAmount", namespaces=NAMESPACES)
        assert payable == f"{priced.total:.2f}"
    with pytest.raises(InputTrouble):
        handing_over.ubl_file(shop, TESTER, quote, "no-such-path")


def test_the_card_offers_both_files(
    shop: Shop, open_page: Callable[..., AppTest], quote: IssuedQuote
) -> None:
    page = open_page(issued=quote.number)
    sound(page)
    labels = [each.proto.label for each in page.get("download_button")]
    assert {"Save for the calendar", "Save as UBL 2.1"} <= set(labels)
    page.date_input(key=f"event-day-{quote.number}").set_value(date(2026, 12, 1)).run()
    page.time_input(key=f"event-time-{quote.number}").set_value(time(14, 30)).run()
    page.selectbox(key=f"event-hours-{quote.number}").set_value(files_card.HOURS[-1]).run()
    sound(page)
