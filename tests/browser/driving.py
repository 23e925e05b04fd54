"""How the tests drive the page: wait, fill, tap, as a person with a phone does."""

from __future__ import annotations

import re
from datetime import UTC, datetime
from typing import TYPE_CHECKING

from playwright.sync_api import expect

from app import session, wiring
from app.people.accounts import DEMO_PASSWORD, DEMO_TECHNICIAN
from app.people.signing_in import sign_in

if TYPE_CHECKING:
    from playwright.sync_api import Browser, Locator, Page

    from tests.browser.serving import Server

QUIET = """() => {
  const app = document.querySelector('[data-testid="stApp"]');
  const still = app && app.dataset.testScriptState === 'notRunning'
    && app.dataset.testConnectionState === 'CONNECTED'
    && !document.querySelector('[data-stale="true"]')
    && document.querySelector('h1, [data-testid="stAlert"]');
  window.stillSince = still ? (window.stillSince || Date.now()) : null;
  return still && Date.now() - window.stillSince > 350;
}"""


def signed_in(
    browser: Browser, server: Server, size: dict[str, int], name: str = DEMO_TECHNICIAN
) -> Page:
    """Return a page of a browser context of its own, with one of the demo's people signed in."""
    page = browser.new_page(viewport=size)
    shop = wiring.open_shop(server.folder)
    try:
        token = sign_in(shop, name, DEMO_PASSWORD, datetime.now(UTC)).token
    finally:
        shop.close()
    page.context.add_cookies([{"name": session.COOKIE, "value": token, "url": server.address}])
    return page


def settle(page: Page) -> None:
    """Wait until the page has answered and has stood still for a moment."""
    page.evaluate("() => { window.stillSince = null; }")
    page.wait_for_timeout(100)
    page.wait_for_function(QUIET, timeout=30_000, polling=50)


def opened(page: Page, address: str) -> None:
    page.goto(address)
    settle(page)


def tap(page: Page, name: str | re.Pattern[str]) -> None:
    page.get_by_role("button", name=name).first.click()
    settle(page)


def heading(page: Page) -> str:
    return page.locator("h1").first.inner_text()


def fill(page: Page, label: str, text: str) -> None:
    field = page.get_by_label(label, exact=True).first
    field.fill(text)
    field.press("Enter")
    settle(page)


def choose(page: Page, label: str, words: str) -> None:
    """Choose from a list: open it, type where it can be searched, tap the words."""
    box = page.get_by_role("combobox", name=label).first
    box.click()
    if box.get_attribute("readonly") is None:
        box.fill(words)
    page.get_by_role("option", name=words).first.click()
    settle(page)


def tap_choice(page: Page, group: str, words: str) -> None:
    """Tap one of a few choices that stand next to each other."""
    choice_group(page, group).get_by_role("radio", name=words, exact=True).click()
    settle(page)


def choice_group(page: Page, name: str) -> Locator:
    return page.get_by_role("radiogroup", name=name).first


def tap_switch(page: Page, label: str) -> None:
    """Tap a switch and see it turn."""
    switch = page.get_by_test_id("stCheckbox").filter(has_text=label).first
    before = switch.get_by_role("switch").or_(switch.get_by_role("checkbox")).first.is_checked()
    switch.locator("label").first.click()
    settle(page)
    after = switch.get_by_role("switch").or_(switch.get_by_role("checkbox")).first.is_checked()
    assert after is not before


def unfold(page: Page, title: str) -> None:
    """Open a folded card if it is not open."""
    card = page.locator('[data-testid="stExpander"] details').filter(has_text=title).first
    if card.get_attribute("open") is None:
        card.locator("summary").first.click()
        page.wait_for_timeout(600)  # the card unfolds; what is in it moves until then
        settle(page)


def no_overflow(page: Page) -> None:
    wide = page.evaluate(
        """() => [...document.querySelectorAll('[data-testid="stMain"] *')]
            .filter(e => e.checkVisibility() && e.getBoundingClientRect().right > innerWidth + 1)
            .map(e => e.outerHTML.slice(0, 120))"""
    )
    assert wide == [], f"Wider than the screen: {wide[:3]}"
    assert page.evaluate("() => document.documentElement.scrollWidth <= innerWidth")


def small_targets(page: Page) -> list[object]:
    """Return what is to be tapped and lower than 44 px; a box inside a label counts as it."""
    return page.evaluate(
        """() => [...document.querySelectorAll(
              'button, a[href], summary, input, textarea, [role=combobox]')]
          .filter(e => e.tabIndex >= 0 && e.dataset.testid !== 'stSkipToContent')
          .map(e => e.type === 'checkbox' || e.type === 'radio' ? e.closest('label') || e : e)
          .filter(e => e.checkVisibility())
          .map(e => [e.outerHTML.slice(0, 90), e.getBoundingClientRect()])
          .filter(([, box]) => box.width > 1 && box.height < 43.5 && box.bottom > 0)
          .map(([html, box]) => [html, Math.round(box.width), Math.round(box.height)])"""
    )


def message(page: Page) -> str:
    alert = page.get_by_test_id("stAlert").first
    expect(alert).to_be_visible()
    return alert.inner_text()
