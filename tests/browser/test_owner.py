"""The owner's rates on the page, and what the customer's page carries."""

from __future__ import annotations

import re
from datetime import UTC, datetime
from decimal import Decimal
from typing import TYPE_CHECKING

import pytest
from playwright.sync_api import expect

from app import quoting, session, visiting, wiring
from app.people.accounts import DEMO_OWNER
from tests.acting import TESTER
from tests.browser import driving
from tests.browser.test_visit import DESK, PHONE, sound, two_columns

if TYPE_CHECKING:
    from collections.abc import Iterator

    from playwright.sync_api import Browser, Page, WebSocket

    from app.ledger.records import IssuedQuote
    from app.shop import Shop
    from tests.browser.serving import Server

pytestmark = pytest.mark.browser


@pytest.fixture
def open_shop(server: Server) -> Iterator[Shop]:
    shop = wiring.open_shop(server.folder)
    yield shop
    shop.close()


def issue_demo(shop: Shop, name: str = wiring.DEMO_VISIT) -> IssuedQuote:
    visit = visiting.visit_from(wiring.demo_visit(name), name)
    priced = visiting.price_visit(shop, TESTER, visit)
    return quoting.issue_quote(shop, priced, TESTER, datetime.now(UTC))


def test_changed_rates_move_the_next_quote_and_not_the_issued_one(
    browser: Browser, server: Server, open_shop: Shop
) -> None:
    before = issue_demo(open_shop)
    page = driving.signed_in(browser, server, DESK, DEMO_OWNER)
    driving.opened(page, f"{server.address}/rates")
    sound(page)
    driving.fill(page, "Regular hours [$/h]", "500")
    expect(page.get_by_text("Labor, regular hours: $148/h → $500/h")).to_be_visible()
    sound(page)
    driving.tap(page, "Publish this rate sheet")
    expect(page.get_by_text("Version 2 is published.")).to_be_visible()

    visit = visiting.visit_from(
        {**wiring.demo_visit(wiring.DEMO_VISIT), "visit": {"date": session.today()}},
        "the demo visit",
    )
    after = visiting.price_visit(open_shop, TESTER, visit).estimate.repair.priced.total
    assert before.repair_price is not None
    assert after > before.repair_price + Decimal(300)
    assert quoting.issued(open_shop, TESTER, before.number) == before

    driving.opened(page, f"{server.address}/?quote={before.number}")
    assert f"${before.repair_price:,.2f}" in page.locator("table.sides").inner_text()
    page.close()


def test_a_rate_out_of_bounds_is_said_at_the_field(browser: Browser, server: Server) -> None:
    page = driving.signed_in(browser, server, PHONE, DEMO_OWNER)
    driving.opened(page, f"{server.address}/rates")
    driving.fill(page, "Regular hours [$/h]", "-5")
    expect(page.get_by_text("Regular hours is -5; it must be 0 or more.").first).to_be_visible()
    expect(page.get_by_role("button", name="Publish this rate sheet")).to_be_disabled()
    driving.tap_choice(page, "Parts are priced by", "Target margin")
    driving.fill(page, "Target margin [%]", "100")
    expect(page.get_by_text("Target margin is 100%; it must be below 100%").first).to_be_visible()
    sound(page)
    page.close()


def test_the_customers_page_carries_nothing_of_cost_or_margin(
    browser: Browser, server: Server, open_shop: Shop
) -> None:
    quote = issue_demo(open_shop)
    frames: list[str] = []
    page = driving.signed_in(browser, server, PHONE)
    page.on("websocket", lambda socket: _record(socket, frames))
    driving.opened(page, f"{server.address}/?quote={quote.number}")
    assert driving.heading(page) == "Sensing element worn"
    two_columns(page)
    sound(page)
    assert page.get_by_role("link", name="Rates").count() == 0
    _open_everything(page)

    carried = "\n".join(frames) + page.content()
    assert f"${quote.repair_price:,.2f}" in carried  # the record does hold what is shown
    hidden = _hidden_amounts(open_shop, quote)
    assert len(hidden) >= 5
    leaked = [
        amount for amount in hidden if re.search(rf"(?<![\d.]){re.escape(amount)}(?!\d)", carried)
    ]
    assert leaked == []
    for word in ("margin", "markup", "unit_cost", "cost_per_h", "gross"):
        told = [frame for frame in frames if word in frame.lower() and "stHtml" not in frame]
        assert not any(_spoken(frame, word) for frame in told), f"The payload speaks of {word}"
    page.close()


def _record(socket: WebSocket, frames: list[str]) -> None:
    def keep(payload: str | bytes) -> None:
        text = payload if isinstance(payload, str) else payload.decode("utf-8", errors="replace")
        frames.append(text)

    socket.on("framereceived", keep)


def _spoken(frame: str, word: str) -> bool:
    """Say whether a word stands outside the style sheet and the chart's own layout."""
    text = re.sub(r"<style>.*?</style>", "", frame, flags=re.DOTALL)
    text = text.replace('"margin":{', "").replace("automargin", "").replace('"margin": {', "")
    return word in text.lower()


def _open_everything(page: Page) -> None:
    for at in range(page.locator("summary").count()):
        page.locator("summary").nth(at).click()
    driving.settle(page)


def _hidden_amounts(shop: Shop, quote: IssuedQuote) -> list[str]:
    """Return what the job costs the shop, without what is also a price on the page."""
    results = quoting.owner_results(shop, TESTER, quote)
    margins = [results.repair_margin, *results.replacement_margins.values()]
    costs = {each.cost for each in margins} | {cost for each in margins for cost in each.line_costs}
    shown: set[Decimal] = set()
    paths = [results.estimate.repair, *results.estimate.replacements]
    for path in paths:
        shown |= {line.amount for line in path.priced.lines}
        shown |= {line.unit_price for line in path.priced.lines}
        shown |= {path.priced.total, path.priced.subtotal}
    amounts = [f"{cost:.2f}" for cost in costs - shown if cost > 0]
    return amounts + [f"{each.gross_margin:f}" for each in margins]


def test_the_list_of_quotes_opens_the_view_and_saves_the_pdf(
    browser: Browser, server: Server, open_shop: Shop
) -> None:
    quote = issue_demo(open_shop)
    closed = issue_demo(open_shop, "tank_leak")
    page = driving.signed_in(browser, server, PHONE)
    driving.opened(page, f"{server.address}/quotes")
    text = page.locator("body").inner_text()
    assert quote.number in text
    assert closed.number in text
    assert "Repair closed" in text
    sound(page)
    with page.expect_download() as saved:
        page.get_by_role("button", name="PDF").first.click()
    assert saved.value.path().read_bytes().startswith(b"%PDF")
    page.close()
