"""The owner's desk in a browser, on a phone and on a desk."""

from __future__ import annotations

from datetime import UTC, datetime
from decimal import Decimal
from typing import TYPE_CHECKING

import pytest
from playwright.sync_api import expect

from app import answering, publishing, wiring
from app.people.accounts import DEMO_OWNER, DEMO_TECHNICIAN
from app.people.guard import operator
from tests.acting import TESTER
from tests.browser import driving
from tests.browser.test_owner import issue_demo, open_shop
from tests.browser.test_visit import DESK, PHONE, sound

if TYPE_CHECKING:
    from playwright.sync_api import Browser

    from app.shop import Shop
    from tests.browser.serving import Server

pytestmark = pytest.mark.browser

__all__ = ["open_shop"]
OWNERS = ("desk", "rates", "books", "lives", "people", "journal")


@pytest.mark.parametrize("size", [PHONE, DESK], ids=["phone", "desk"])
def test_every_room_of_the_owner_is_sound(
    browser: Browser, server: Server, open_shop: Shop, size: dict[str, int]
) -> None:
    quote = issue_demo(open_shop)
    issue_demo(open_shop, "tank_leak")
    now = datetime.now(UTC)
    answering.accept(open_shop, operator("it"), quote, "repair", "J. Sample", "I agree.", now)
    page = driving.signed_in(browser, server, size, DEMO_OWNER)
    for room in OWNERS:
        driving.opened(page, f"{server.address}/{room}")
        assert driving.heading(page) == room.capitalize()
        assert page.get_by_test_id("stAlert").count() == 0
        sound(page)
    assert "Traceback" not in server.log()
    page.close()


def test_a_technician_at_the_owners_addresses_is_refused_and_it_is_written_down(
    browser: Browser, server: Server, open_shop: Shop
) -> None:
    page = driving.signed_in(browser, server, PHONE, DEMO_TECHNICIAN)
    driving.opened(page, server.address)
    for room in OWNERS:
        assert page.get_by_role("link", name=room.capitalize(), exact=True).count() == 0
        driving.opened(page, f"{server.address}/{room}")
        assert "You may not " in driving.message(page)
        assert page.get_by_test_id("stMain").get_by_test_id("stTextInput").count() == 0
        sound(page)
    refused = open_shop.ledger.journal.lines(20, action="refused")
    assert {line.person for line in refused} == {DEMO_TECHNICIAN}
    assert len({line.detail["action"] for line in refused}) >= 5
    page.close()


def test_a_job_under_the_floor_is_asked_for_allowed_once_and_issued(
    browser: Browser, server: Server, open_shop: Shop
) -> None:
    now = datetime.now(UTC)
    sheet = publishing.rate_sheet_on(open_shop, TESTER, now.date()).sheet
    quote = sheet.quote.model_copy(update={"margin_floor": Decimal("0.9")})
    low = sheet.model_copy(update={"quote": quote})
    publishing.publish_rates(open_shop, low, wiring.DEMO_RATES_HOLD_FROM, operator("owner"), now)
    draft = open_shop.ledger.drafts.every()[0].draft_id

    his = driving.signed_in(browser, server, PHONE)
    driving.opened(his, f"{server.address}/?draft={draft}&step=show")
    assert his.get_by_role("button", name="Issue the quote").count() == 0
    driving.tap(his, "Ask the owner")
    expect(his.get_by_text("Asked.")).to_be_visible()
    sound(his)

    page = driving.signed_in(browser, server, PHONE, DEMO_OWNER)
    driving.opened(page, f"{server.address}/desk")
    driving.shows(page, "floor 90.0%")
    driving.fill(page, "Your reason, for the books", "Good neighbor")
    sound(page)
    driving.tap(page, "Allow once")
    expect(page.get_by_text("Good neighbor")).to_be_visible()
    sound(page)

    his.reload()
    driving.settle(his)
    driving.tap(his, "Issue the quote")
    assert driving.heading(his).startswith("Quote ")
    his.close()
    page.close()


def test_a_draft_is_tried_published_and_the_old_version_brought_back(
    browser: Browser, server: Server, open_shop: Shop
) -> None:
    page = driving.signed_in(browser, server, PHONE, DEMO_OWNER)
    driving.opened(page, f"{server.address}/rates")
    driving.fill(page, "Regular hours [$/h]", "500")
    driving.tap(page, "On reference visits")
    expect(page.get_by_text("with another price").first).to_be_visible()
    sound(page)
    driving.tap(page, "Publish this rate sheet")
    driving.unfold(page, "Versions")
    driving.tap(page, "Bring version 1 back")
    expect(page.get_by_text("Version 3 holds the figures of version 1")).to_be_visible()
    made = open_shop.ledger.rate_sheets.every()
    assert [each.sheet.labor.regular_per_h for each in made] == [148, 500, 148]
    sound(page)
    page.close()


def test_the_labor_rate_is_built_up_with_what_it_hangs_on(browser: Browser, server: Server) -> None:
    page = driving.signed_in(browser, server, PHONE, DEMO_OWNER)
    driving.opened(page, f"{server.address}/rates")
    driving.unfold(page, "Build the labor rate")
    driving.fill(page, "Wage of an hour [$/h]", "20")
    driving.fill(page, "Hours billed, each, a year [h]", "1.040,0")
    expect(page.get_by_text("Wages of hours paid and not billed")).to_be_visible()
    driving.shows(page, "$40.00/h")  # 2,080 h paid, half of them billed
    sound(page)
    page.close()


def test_the_books_lead_to_the_quote_and_out_as_files(
    browser: Browser, server: Server, open_shop: Shop
) -> None:
    quote = issue_demo(open_shop)
    page = driving.signed_in(browser, server, DESK, DEMO_OWNER)
    driving.opened(page, f"{server.address}/books")
    for name, begins in (("CSV", b"\xef\xbb\xbf"), ("Parquet", b"PAR1"), ("Excel", b"PK")):
        with page.expect_download() as saved:
            page.get_by_role("button", name=name, exact=True).click()
        assert saved.value.path().read_bytes().startswith(begins)
    page.get_by_role("link", name=quote.number).click()
    driving.settle(page)
    assert driving.heading(page) == f"Quote {quote.number}"
    page.close()


def test_a_group_of_the_books_leads_to_its_quotes(
    browser: Browser, server: Server, open_shop: Shop
) -> None:
    quote = issue_demo(open_shop)
    other = issue_demo(open_shop, "tank_leak")
    page = driving.signed_in(browser, server, PHONE, DEMO_OWNER)
    driving.opened(page, f"{server.address}/books")
    page.get_by_text("By finding", exact=True).click()
    page.get_by_role("link", name="Sensing element worn").click()
    driving.settle(page)
    expect(page.get_by_text("Quotes of all days: Sensing element worn")).to_be_visible()
    expect(page.get_by_role("link", name=quote.number)).to_be_visible()
    assert page.get_by_role("link", name=other.number).count() == 0
    sound(page)
    page.close()
