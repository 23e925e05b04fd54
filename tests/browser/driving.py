"""How the tests drive the page: wait, fill, tap, as a person with a phone does."""

from __future__ import annotations

import re
from contextlib import suppress
from datetime import UTC, datetime
from typing import TYPE_CHECKING

from playwright.sync_api import Error, expect

from app import wiring
from app.people.accounts import DEMO_PASSWORD, DEMO_TECHNICIAN
from app.people.signing_in import sign_in
from app.session_cookie import cookie_name

if TYPE_CHECKING:
    from playwright.sync_api import Browser, Locator, Page

    from tests.browser.serving import Server

PATIENCE_MS = 120_000
"""How long to wait for what must come: long, for a slow machine must not fail a test."""
LAYOUT_MS = 5_000

expect.set_options(timeout=PATIENCE_MS)

# Counts what the page asks of the server and what was answered, from the frames themselves:
# the answer to the last question has come when a run has ended after it. A message begins
# with its kind as field number (11: run the script; 6: a run has ended, 2 of it: for another).
COUNT_ROUNDS = """(() => {
  if (window.roundsOpen !== undefined) return;
  const kinds = bytes => {
    const found = {};
    let at = 0;
    const number = () => {
      let value = 0, shift = 1, byte;
      do { byte = bytes[at++]; value += (byte & 127) * shift; shift *= 128; } while (byte & 128);
      return value;
    };
    while (at < bytes.length) {
      const tag = number(), wire = tag % 8;
      const value = number();
      found[(tag - wire) / 8] = value;
      if (wire === 2) at += value;
      else if (wire !== 0) break;
    }
    return found;
  };
  window.roundsOpen = 0;
  window.calm = 200;
  const Socket = window.WebSocket;
  window.WebSocket = class extends Socket {
    constructor(...how) {
      super(...how);
      this.addEventListener('message', ({data}) => {
        if (!(data instanceof ArrayBuffer)) throw new Error('a frame that cannot be read');
        const ended = kinds(new Uint8Array(data))[6];
        if (ended === undefined || ended === 2) return;
        window.calm = window.roundsOpen > 1 ? 1500 : 200;  // several at once: one may follow
        window.roundsOpen = 0;
      });
    }
    send(data) {
      const bytes = data instanceof ArrayBuffer ? new Uint8Array(data) : data;
      if (bytes instanceof Uint8Array && 11 in kinds(bytes)) window.roundsOpen += 1;
      super.send(data);
    }
  };
  window.fetchesOpen = 0;
  const fetched = window.fetch;
  window.fetch = (what, ...how) => {
    const answer = fetched(what, ...how);
    if (new URL(what.url || what, location).origin === location.origin) {
      window.fetchesOpen += 1;
      const ended = () => { window.fetchesOpen -= 1; };
      answer.then(ended, ended);
    }
    return answer;
  };
})()"""
# What was tapped is under way once the page has drawn itself again and has had time for more.
BEGUN = """() => { window.looksStill = 0;
  return new Promise(done => requestAnimationFrame(() => setTimeout(done, 100))); }"""
LOOK_MS = 40
QUIET = """() => {
  const moving = each => each.playState === 'running'
    && each.effect.getComputedTiming().endTime < 10_000;  // not what turns for ever
  const app = document.querySelector('[data-testid="stApp"]');
  const still = app && app.dataset.testScriptState === 'notRunning'
    && app.dataset.testConnectionState === 'CONNECTED'
    && window.roundsOpen === 0 && window.fetchesOpen === 0
    && !document.querySelector('[data-stale="true"], [data-testid="stSkeleton"]')
    && !document.getAnimations().some(moving)
    && document.querySelector('h1, [data-testid="stAlert"]');
  window.looksStill = still ? window.looksStill + 1 : 0;  // looks, not time: a page may be stuck
  return window.looksStill * LOOK_MS > window.calm;
}""".replace("LOOK_MS", str(LOOK_MS))


def made_patient(page: Page) -> Page:
    """Let a page count its rounds and wait long; every page of the tests is made so."""
    page.set_default_timeout(PATIENCE_MS)
    page.add_init_script(COUNT_ROUNDS)
    return page


def new_page(browser: Browser, size: dict[str, int]) -> Page:
    """Return a page of a browser context of its own, where nobody is signed in."""
    return made_patient(browser.new_page(viewport=size))  # type: ignore[arg-type]


def signed_in(
    browser: Browser, server: Server, size: dict[str, int], name: str = DEMO_TECHNICIAN
) -> Page:
    """Return a page of a browser context of its own, with one of the demo's people signed in."""
    page = new_page(browser, size)
    shop = wiring.open_shop(server.folder)
    try:
        token = sign_in(shop, name, DEMO_PASSWORD, datetime.now(UTC)).token
    finally:
        shop.close()
    page.context.add_cookies(
        [{"name": cookie_name(server.folder), "value": token, "url": server.address}]
    )
    return page


def settle(page: Page) -> None:
    """Wait until the page has answered and has stood still for a moment."""
    page.evaluate(BEGUN)
    page.wait_for_function(QUIET, polling=LOOK_MS)


def opened(page: Page, address: str) -> None:
    page.goto(address)
    settle(page)


def sign_out(page: Page) -> None:
    tap(page, "You")
    tap(page, "Sign out")


def tap(page: Page, name: str | re.Pattern[str]) -> None:
    page.get_by_role("button", name=name).first.click()
    settle(page)


def heading(page: Page) -> str:
    return page.locator("h1").first.inner_text()


def shows(page: Page, words: str) -> None:
    """Hold the page to words that can be seen on it."""
    expect(page.locator("body")).to_contain_text(words, use_inner_text=True)


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
        settle(page)


TOO_WIDE = """() => [...document.querySelectorAll('[data-testid="stMain"] *')]
    .filter(e => e.checkVisibility() && e.getBoundingClientRect().right > innerWidth + 1)
    .map(e => e.outerHTML.slice(0, 120))
    .concat(document.documentElement.scrollWidth > innerWidth ? ['the page'] : [])"""
TOO_SMALL = """() => [...document.querySelectorAll(
      'button, a[href], summary, input, textarea, [role=combobox]')]
  .filter(e => e.tabIndex >= 0 && e.dataset.testid !== 'stSkipToContent')
  .map(e => e.type === 'checkbox' || e.type === 'radio' ? e.closest('label') || e : e)
  .filter(e => e.checkVisibility())
  .map(e => [e.outerHTML.slice(0, 90), e.getBoundingClientRect()])
  .filter(([, box]) => box.width > 1 && box.height < 43.5 && box.bottom > 0)
  .map(([html, box]) => [html, Math.round(box.width), Math.round(box.height)])"""


def no_overflow(page: Page) -> None:
    """Hold the screen to its width, once it has laid itself out."""
    wide = _left_over(page, TOO_WIDE)
    assert wide == [], f"Wider than the screen: {wide[:3]}"


def small_targets(page: Page) -> list[object]:
    """Return what is to be tapped and lower than 44 px; a box inside a label counts as it."""
    return _left_over(page, TOO_SMALL)


def _left_over(page: Page, finds: str) -> list[object]:
    """Return what is still found when the page has had time to lay itself out."""
    with suppress(Error):
        page.wait_for_function(f"() => ({finds})().length === 0", timeout=LAYOUT_MS)
    return list(page.evaluate(finds))


def message(page: Page) -> str:
    alert = page.get_by_test_id("stAlert").first
    expect(alert).to_be_visible()
    return alert.inner_text()
