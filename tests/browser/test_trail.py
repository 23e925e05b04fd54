"""The trail of steps stays in sight, at every size, in light and in dark; dark reads as well."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest
from playwright.sync_api import expect

from app import wiring
from tests.browser import driving
from tests.browser.test_six_visits import SIZES
from tests.browser.test_visit import PHONE, sound

if TYPE_CHECKING:
    from playwright.sync_api import Browser

    from tests.browser.serving import Server

pytestmark = pytest.mark.browser

SCROLL = """to => { document.querySelector('[data-testid="stMain"]').scrollTo(0, to);
  return document.querySelector('[data-testid="stMain"]').scrollTop; }"""
# What a tap in the middle of each step's button would meet, at the place where it now is.
MET = """() => [...document.querySelectorAll('.st-key-trail button')].map(step => {
  const box = step.getBoundingClientRect();
  const met = document.elementFromPoint(box.x + box.width / 2, box.y + box.height / 2);
  return [Math.round(box.y), Boolean(met && step.contains(met))];
})"""


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_the_trail_can_be_tapped_wherever_a_step_is_scrolled_to(
    browser: Browser, server: Server, scheme: str
) -> None:
    shop = wiring.open_shop(server.folder)
    draft = shop.ledger.drafts.every()[0].draft_id
    shop.close()
    page = driving.signed_in(browser, server, PHONE)
    page.emulate_media(color_scheme=scheme)  # type: ignore[arg-type]
    for step in ("heater", "finding", "part", "price", "show"):
        driving.opened(page, f"{server.address}/?draft={draft}&step={step}")
        expect(page.locator(".st-key-trail button").first).to_be_visible()
        for size in SIZES:
            page.set_viewport_size(size)  # type: ignore[arg-type]
            assert page.evaluate(SCROLL, 0) == 0
            above = max(top for top, _ in page.evaluate(MET))
            if page.evaluate(SCROLL, 700) > above:  # else all of the step is in sight anyway
                assert all(0 <= top < 20 for top, _ in page.evaluate(MET)), (step, size)
            page.evaluate(SCROLL, 99_999)
            assert all(met for _, met in page.evaluate(MET)), (step, size)
        page.set_viewport_size(PHONE)  # type: ignore[arg-type]
        if scheme == "dark":
            assert page.evaluate("() => Boolean(document.querySelector('.is-dark'))")
            sound(page)
    page.close()
