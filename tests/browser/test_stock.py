"""Stock and price lists in a browser: set aside and given back, what runs low, a list published."""

from __future__ import annotations

import re
from datetime import UTC, datetime
from typing import TYPE_CHECKING, Any

import pytest
from playwright.sync_api import expect

from app import quoting, visiting, wiring
from app.people.accounts import DEMO_OWNER
from app.people.guard import operator
from app.reserving import free_catalog
from catalog.offers import stock
from catalog.versions import current_version
from tests.browser import driving
from tests.browser.test_six_visits import at_every_size
from tests.browser.test_visit import PHONE, sound

if TYPE_CHECKING:
    from collections.abc import Iterator

    from playwright.sync_api import Browser, Page

    from app.shop import Shop
    from tests.browser.serving import Server

pytestmark = pytest.mark.browser

VAN = "van-1"
SOUTH = "Counter South (invented)"
LIST = b"Item;Net\nSE-20104;31.00\nSE-99999;1\n"
TECHNICIAN = operator(wiring.DEMO_PERSON)


@pytest.fixture
def open_shop(server: Server) -> Iterator[Shop]:
    shop = wiring.open_shop(server.folder)
    yield shop
    shop.close()


def picked(number: str) -> dict[str, Any]:
    """Return the worn-element visit of today with a part picked, wherever that lies."""
    payload = wiring.demo_visit("worn_element")
    payload["work"] = {**payload["work"], "part_number": number}
    payload["visit"] = {**payload["visit"], "date": datetime.now(UTC).date().isoformat()}
    return payload


def pieces_free(shop: Shop, number: str) -> int:
    """Return the pieces of a part that are free at the branch today."""
    return stock(free_catalog(shop, datetime.now(UTC).date()), number, VAN).branch


def issue(shop: Shop, number: str = "") -> quoting.IssuedQuote:
    payload = picked(number) if number else wiring.demo_visit("worn_element")
    visit = visiting.visit_from(payload, "worn_element")
    priced = visiting.price_visit(shop, TECHNICIAN, visit)
    return quoting.issue_quote(shop, priced, TECHNICIAN, datetime.now(UTC), reserve=True)


def text(page: Page) -> str:
    return page.locator("body").inner_text()


def test_a_quote_sets_its_parts_aside_and_a_decline_gives_them_back(
    browser: Browser, server: Server, open_shop: Shop
) -> None:
    now = datetime.now(UTC)
    payload = wiring.demo_visit("worn_element")
    draft = visiting.start_visit(open_shop, TECHNICIAN, now, payload).draft_id
    page = driving.signed_in(browser, server, PHONE)
    driving.opened(page, f"{server.address}/?draft={draft}&step=show")
    driving.tap_switch(page, f"Set the parts aside on {VAN}")
    sound(page)
    driving.tap(page, "Issue the quote")
    expect(page.get_by_text(re.compile(f"set aside on {VAN} until")).first).to_be_visible()
    sound(page)
    [held, *_] = open_shop.ledger.reservations.held(now.date())
    driving.opened(page, f"{server.address}/stock?van={VAN}")
    expect(page.get_by_text(f"Quote {held.number}")).to_be_visible()
    at_every_size(page, PHONE)
    driving.opened(page, f"{server.address}/?quote={held.number}")
    page.get_by_text("Neither for now", exact=False).last.click()
    driving.settle(page)
    driving.fill(page, "Type your name to sign", "J. Sample")
    driving.tap(page, "Sign")
    expect(page.get_by_text("J. Sample").first).to_be_visible()
    driving.opened(page, f"{server.address}/stock?van={VAN}")
    expect(page.get_by_text("No quote holds a part.")).to_be_visible()
    assert open_shop.ledger.reservations.held(now.date()) == ()
    page.close()


def test_what_runs_low_is_listed_and_a_quote_lets_go(
    browser: Browser, server: Server, open_shop: Shop
) -> None:
    made = [issue(open_shop) for _ in range(5)]
    page = driving.signed_in(browser, server, PHONE)
    driving.opened(page, f"{server.address}/stock?van={VAN}")
    low = page.locator(".st-key-card-low")
    expect(low.get_by_text(re.compile(r"^Bring \d+$")).first).to_be_visible()
    expect(low.get_by_text("SE-20104")).to_be_visible()
    driving.unfold(page, f"All on {VAN}")
    expect(page.get_by_text(re.compile(r"\d free, \d set aside")).first).to_be_visible()
    sound(page)
    driving.tap(page, f"Let go what {made[0].number} holds")
    expect(page.get_by_text(f"Quote {made[0].number}")).to_have_count(0)
    assert all(each.released_at for each in open_shop.ledger.reservations.of(made[0].number))
    page.close()


def test_what_a_quote_holds_at_the_branch_is_seen_there_and_on_the_part_step(
    browser: Browser, server: Server, open_shop: Shop
) -> None:
    number = "SE-20104"
    while (made := issue(open_shop, number)) and not any(
        each.place == "branch-1" and each.part == number
        for each in open_shop.ledger.reservations.of(made.number)
    ):
        pass
    payload = picked(number)
    left = pieces_free(open_shop, number)
    draft = visiting.start_visit(open_shop, TECHNICIAN, datetime.now(UTC), payload).draft_id
    page = driving.signed_in(browser, server, PHONE)
    driving.opened(page, f"{server.address}/?draft={draft}&step=part")
    expect(page.get_by_text(f"{left} at the branch, none on the van").first).to_be_visible()
    sound(page)
    at_every_size(page, PHONE)
    driving.opened(page, f"{server.address}/?draft={draft}&step=show")
    driving.tap_switch(page, f"at the branch: {number}")
    sound(page)
    at_every_size(page, PHONE)
    driving.opened(page, f"{server.address}/stock?van=branch-1")
    expect(page.get_by_text(f"At branch-1: 1 of {number}")).to_be_visible()
    driving.unfold(page, "All at branch-1")
    expect(page.get_by_text(f"{left} free, 1 set aside").first).to_be_visible()
    sound(page)
    at_every_size(page, PHONE)
    page.close()


def test_an_owner_publishes_a_price_list_and_takes_it_back(
    browser: Browser, server: Server, open_shop: Shop
) -> None:
    before = current_version(open_shop.catalogs)
    issue(open_shop)
    page = driving.signed_in(browser, server, PHONE, DEMO_OWNER)
    driving.opened(page, f"{server.address}/price-lists")
    driving.choose(page, "Supplier", SOUTH)
    chooser = page.locator('[data-testid="stFileUploaderDropzoneInput"]').first
    chooser.set_input_files({"name": "prices.csv", "mimeType": "text/csv", "buffer": LIST})
    expect(page.get_by_text("! 1 changed")).to_be_visible()
    driving.settle(page)
    sound(page)
    at_every_size(page, PHONE)
    used = page.locator(".st-key-card-used")
    expect(used.get_by_text("this list asks $31.00", exact=False)).to_be_visible()
    expect(used.get_by_text("more a year", exact=False)).to_be_visible()
    whole = page.locator(".st-key-card-seen")
    expect(whole.get_by_text("SE-20104: $12.74 → $31.00, +143.3%")).to_be_visible()
    assert used.bounding_box()["y"] < whole.bounding_box()["y"]  # what matters to him first
    assert "Row 3: number SE-99999 is not in the catalog" in page.content()
    assert page.get_by_role("button", name="Publish this list").is_disabled()
    page.get_by_text("It is a part: they keep their price", exact=True).click()
    driving.settle(page)
    driving.tap(page, "Publish this list")
    expect(page.get_by_text("is published as catalog")).to_be_visible()
    after = current_version(open_shop.catalogs)
    assert after != before
    driving.settle(page)
    driving.unfold(page, "The last ten catalogs")
    sound(page)
    driving.tap(page, re.compile("^Bring back "))
    expect(page.get_by_text(f"Catalog {before} is in use again.")).to_be_visible()
    assert current_version(open_shop.catalogs) == before
    page.close()


def test_a_broken_price_list_is_told_at_the_upload(browser: Browser, server: Server) -> None:
    page = driving.signed_in(browser, server, PHONE, DEMO_OWNER)
    driving.opened(page, f"{server.address}/price-lists")
    driving.choose(page, "Supplier", SOUTH)
    chooser = page.locator('[data-testid="stFileUploaderDropzoneInput"]').first
    broken = "Nummer,Prix é\n".encode("latin-1")
    chooser.set_input_files({"name": "prices.csv", "mimeType": "text/csv", "buffer": broken})
    expect(page.get_by_text("This list cannot be used.")).to_be_visible()
    driving.shows(page, "is not UTF-8")
    driving.settle(page)
    sound(page)
    page.close()
