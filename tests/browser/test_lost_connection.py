"""The signal is lost and comes back in the middle of a visit."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest
from playwright.sync_api import expect

from app import wiring
from tests.browser import driving
from tests.browser.cable import Cable
from tests.browser.test_visit import PHONE

if TYPE_CHECKING:
    from collections.abc import Iterator

    from playwright.sync_api import Browser

    from tests.browser.serving import Server

pytestmark = pytest.mark.browser

OPEN = "Millivolts, open circuit [mV]"
SAID = """() => getComputedStyle(document.querySelector('[data-testid="stApp"]'), '::after')"""


@pytest.fixture
def cable(server: Server) -> Iterator[Cable]:
    plugged = Cable(server)
    plugged.plug()
    yield plugged
    plugged.pull()


def test_a_lost_connection_is_said_and_comes_back_at_the_same_step(
    browser: Browser, server: Server, cable: Cable
) -> None:
    shop = wiring.open_shop(server.folder)
    draft = shop.ledger.drafts.every()[0].draft_id
    page = driving.signed_in(browser, server, PHONE)
    driving.opened(page, f"{cable.address}/?draft={draft}&step=finding")
    driving.fill(page, OPEN, "13")
    field = page.get_by_label(OPEN, exact=True).first
    field.fill("14")  # typed and not yet handed in
    assert page.evaluate(f"({SAID})().content") == "none"

    cable.pull()
    expect(field).to_be_disabled()  # nothing can be typed that would be lost
    page.wait_for_function(f"() => ({SAID})().visibility === 'visible'")
    assert "No connection. What you gave is kept" in page.evaluate(f"({SAID})().content")
    expect(field).to_have_value("14")

    cable.plug()
    expect(field).to_be_enabled()
    driving.settle(page)
    assert driving.heading(page) == "Finding"
    expect(field).to_have_value("14")
    field.press("Enter")
    driving.settle(page)
    assert page.evaluate(f"({SAID})().content") == "none"
    driving.tap(page, "Next: part")
    page.reload()
    driving.settle(page)
    assert driving.heading(page) == "Part"
    kept = shop.ledger.drafts.of(draft)
    shop.close()
    assert kept is not None
    assert kept.payload["readings"]["millivolts_open"] == 14
    assert "Traceback" not in server.log()
    page.close()
