"""A common visit counted: taps, seconds, number pads; and two people at once."""

from __future__ import annotations

import re
import time
from datetime import UTC, datetime
from typing import TYPE_CHECKING

import pytest
from playwright.sync_api import expect

from app import quoting, visiting, wiring
from app.people.accounts import DEMO_OWNER
from app.people.guard import operator
from tests.acting import TESTER
from tests.browser import driving
from tests.browser.test_visit import FAMILY, PHONE, SLUG, sound

if TYPE_CHECKING:
    from playwright.sync_api import Browser, Page

    from tests.browser.serving import Server

pytestmark = pytest.mark.browser

MOST_TAPS = 25
MOST_SECONDS = 90
COUNT = """
window.taps = 0;
addEventListener("pointerdown", event => { if (event.isTrusted) window.taps += 1; }, true);
"""


def earlier_quote(server: Server) -> None:
    """Issue a quote of yesterday: this family, this technician, this van."""
    shop = wiring.open_shop(server.folder)
    for draft in shop.ledger.drafts.every():
        shop.ledger.drafts.discard(draft.draft_id)
    visit = visiting.visit_from(wiring.demo_visit("worn_element"), "the demo visit")
    priced = visiting.price_visit(shop, TESTER, visit)
    quoting.issue_quote(shop, priced, operator(wiring.DEMO_PERSON), datetime.now(UTC))
    shop.close()


def common_visit(browser: Browser, server: Server) -> tuple[Page, float]:
    """Go through a common visit until its quote is issued; also return the seconds it took."""
    earlier_quote(server)
    page = driving.signed_in(browser, server, PHONE)
    page.add_init_script(COUNT)
    driving.opened(page, server.address)
    started = time.monotonic()
    driving.tap(page, "Start a visit")
    driving.tap(page, FAMILY)
    _type(page, "Year made", "2015")
    driving.tap(page, "Next: finding")
    driving.tap_choice(page, "Pilot flame", "Good, wraps the element")
    _type(page, "Millivolts, open circuit [mV]", "12")
    driving.tap(page, re.compile("^Sensing element worn: "))
    page.get_by_text("Replace the sensing element", exact=True).click()
    driving.settle(page)
    driving.tap(page, "Next: part")
    expect(page.get_by_text("Best fit, taken")).to_be_visible()
    expect(page.get_by_text(re.compile(r"\d on the van")).first).to_be_visible()
    driving.tap(page, "Next: price")
    driving.tap(page, "Next: show")
    driving.tap(page, "Issue the quote")
    assert driving.heading(page).startswith("Quote ")
    return page, time.monotonic() - started


def test_a_common_visit_takes_few_taps(browser: Browser, server: Server) -> None:
    page, _ = common_visit(browser, server)
    taps = page.evaluate("() => window.taps")
    print(f"common visit: {taps} taps")
    assert 10 < taps < MOST_TAPS, "fewer than that, and the count is broken"

    shop = wiring.open_shop(server.folder)
    issued = quoting.issued(shop, TESTER, driving.heading(page).removeprefix("Quote "))
    visit = quoting.quote_visit(issued)
    shop.close()
    assert (visit.family, visit.visit.van) == (SLUG, "van-1")
    assert visit.readings.millivolts_open == 12
    assert visit.heater.manufactured is not None
    page.close()


@pytest.mark.bench
def test_a_common_visit_takes_little_time(browser: Browser, server: Server) -> None:
    page, taken = common_visit(browser, server)
    print(f"common visit: {taken:.0f} s")
    assert taken < MOST_SECONDS
    page.close()


def _type(page: Page, label: str, text: str) -> None:
    """Tap a field and type; the next tap elsewhere is what hands it in."""
    field = page.get_by_label(label, exact=True).first
    assert field.get_attribute("inputmode") in ("numeric", "decimal"), "no number pad"
    field.click()
    page.keyboard.type(text)


def test_two_people_at_once_keep_each_their_own(browser: Browser, server: Server) -> None:
    one = driving.signed_in(browser, server, PHONE)
    two = driving.signed_in(browser, server, PHONE, DEMO_OWNER)
    for page in (one, two):
        driving.opened(page, server.address)
        driving.tap(page, "Start a visit")
    driving.choose(one, "Heater family", FAMILY)
    driving.fill(two, "Tank size [gal]", "75")
    driving.fill(one, "Year made", "2012")
    driving.fill(two, "Year made", "2001")
    for page in (one, two):
        page.reload()
        driving.settle(page)
    expect(one.get_by_label("Year made", exact=True)).to_have_value("2012")
    expect(two.get_by_label("Year made", exact=True)).to_have_value("2001")
    expect(two.get_by_label("Tank size [gal]", exact=True)).to_have_value("75")
    expect(one.get_by_role("combobox", name="Heater family")).to_have_value(FAMILY)
    expect(two.get_by_role("combobox", name="Heater family")).to_have_value("")
    driving.opened(two, server.address)
    expect(two.get_by_text("40 gal natural gas").first).to_be_visible()
    sound(two)
    one.close()
    two.close()
