"""Signing in and the people of the shop, in a browser."""

from __future__ import annotations

import json
import zipfile
from datetime import UTC, datetime
from typing import TYPE_CHECKING

import pytest
from playwright.sync_api import expect

from app import quoting, replaying, visiting, wiring
from app.people.accounts import DEMO_OWNER, DEMO_PASSWORD
from app.session_cookie import cookie_name
from tests.acting import TESTER
from tests.browser import driving
from tests.browser.serving import Server
from tests.browser.test_owner import open_shop
from tests.browser.test_visit import PHONE, sound

if TYPE_CHECKING:
    from pathlib import Path

    from playwright.sync_api import Browser, Page

    from app.shop import Shop

pytestmark = pytest.mark.browser

__all__ = ["open_shop"]
WORDS = "four plain words here"


def test_the_first_step_makes_the_owner_who_adds_a_technician(
    browser: Browser, tmp_path: Path
) -> None:
    data, day = wiring.DEMO_DATA, wiring.DEMO_RATES_HOLD_FROM
    wiring.set_up_shop(tmp_path, data / "catalog", data / "rates.toml", day, "setup").close()
    server = Server(tmp_path)
    server.start()
    try:
        page = driving.new_page(browser, PHONE)
        driving.opened(page, server.address)
        assert driving.heading(page) == "Welcome"
        sound(page)
        page.get_by_label("Your name", exact=True).fill("Owner One")
        page.get_by_label("Password", exact=True).fill(WORDS)
        page.get_by_label("The same password again", exact=True).fill(WORDS)
        driving.tap(page, "Make the owner")
        assert driving.heading(page) == "Visits"

        driving.opened(page, f"{server.address}/people")
        driving.fill(page, "Name", "Hand One")
        driving.fill(page, "First password", WORDS)
        driving.tap(page, "Add this person")
        expect(page.get_by_text("Hand One may sign in as technician.")).to_be_visible()
        sound(page)
        page.close()
    finally:
        server.stop()


def test_wrong_passwords_lock_the_name_and_a_removed_person_is_out(
    browser: Browser, server: Server
) -> None:
    page = driving.new_page(browser, PHONE)
    driving.opened(page, server.address)
    for _ in range(5):
        page.get_by_label("Name", exact=True).fill("Nobody")
        page.get_by_label("Password", exact=True).fill("not this one")
        driving.tap(page, "Sign in")
    assert "Wait 15 seconds and try again" in driving.message(page)
    sound(page)

    his = driving.new_page(browser, PHONE)
    driving.opened(his, server.address)
    his.get_by_label("Name", exact=True).fill(wiring.DEMO_PERSON)
    his.get_by_label("Password", exact=True).fill(DEMO_PASSWORD)
    driving.tap(his, "Sign in")
    assert driving.heading(his) == "Visits"

    owner = driving.signed_in(browser, server, PHONE, DEMO_OWNER)
    driving.opened(owner, f"{server.address}/people")
    driving.unfold(owner, f"Change {wiring.DEMO_PERSON}")
    driving.tap(owner, f"Remove {wiring.DEMO_PERSON}")
    driving.tap(his, "Start a visit")
    assert driving.heading(his) == "Sign in"
    for each in (page, his, owner):
        each.close()


def test_the_session_is_kept_where_no_script_reads_it_and_ends_with_the_password(
    browser: Browser, server: Server
) -> None:
    page = driving.new_page(browser, PHONE)
    driving.opened(page, server.address)
    with page.expect_response("**/session") as told:
        driving.tap(page, "Go in as the demo technician")
    assert told.value.status == 204
    name = cookie_name(server.folder)
    kept = {each["name"]: each for each in page.context.cookies()}
    for each in (name, f"{name}_known"):
        assert (kept[each]["httpOnly"], kept[each]["sameSite"]) == (True, "Strict")
    assert name not in page.evaluate("document.cookie")
    driving.opened(page, server.address)
    assert driving.heading(page) == "Visits", "a reload goes on"

    driving.opened(page, f"{server.address}/password")
    sound(page)
    for label, word in (
        ("Your password as it is", DEMO_PASSWORD),
        ("The new one", WORDS),
        ("The new one again", WORDS),
    ):
        page.get_by_label(label, exact=True).fill(word)
    with page.expect_response("**/session") as told:
        driving.tap(page, "Change it")
    expect(page.get_by_text("Your password is changed.")).to_be_visible()
    assert driving.heading(page) == "Sign in"
    assert told.value.status == 204
    assert name not in {each["name"] for each in page.context.cookies()}
    driving.opened(page, f"{server.address}/quotes")
    assert driving.heading(page) == "Sign in"
    page.get_by_label("Name", exact=True).fill(wiring.DEMO_PERSON)
    page.get_by_label("Password", exact=True).fill(WORDS)
    driving.tap(page, "Sign in")
    assert driving.heading(page) == "Quotes"
    page.close()


def stands_under(page: Page, label: str, words: str) -> None:
    """Hold a refusal to stand right under its field, as wide as that, on the screen and alone."""
    said = page.locator(".problem")
    expect(said).to_have_count(1)
    expect(said).to_contain_text(words)
    expect(said).to_have_attribute("role", "alert")
    assert page.get_by_test_id("stAlert").count() == 0
    under = said.bounding_box()
    field = page.get_by_label(label, exact=True).first.bounding_box()
    assert under is not None
    assert field is not None
    gap = under["y"] - (field["y"] + field["height"])
    assert 0 <= gap < 24, f"{gap} px under its field"
    assert abs(under["x"] - field["x"]) < 16
    expect(said).to_be_in_viewport()
    sound(page)


def test_a_refusal_stands_under_its_field_on_a_phone(
    browser: Browser, server: Server, open_shop: Shop
) -> None:
    page = driving.signed_in(browser, server, PHONE, DEMO_OWNER)
    driving.opened(page, f"{server.address}/people")
    driving.fill(page, "Name", DEMO_OWNER)
    driving.fill(page, "First password", "short")
    driving.tap(page, "Add this person")
    stands_under(page, "First password", "The password has 5 characters")
    driving.fill(page, "First password", WORDS)
    driving.tap(page, "Add this person")
    stands_under(page, "Name", "There is a person called")
    driving.fill(page, "Name", "New Hand")
    address = "Address at your sign-in provider, if you use one"
    driving.fill(page, address, "no address")
    driving.tap(page, "Add this person")
    stands_under(page, address, "is no address")
    driving.unfold(page, f"Change {wiring.DEMO_PERSON}")
    again = f"New password for {wiring.DEMO_PERSON}"
    driving.fill(page, again, "short")
    page.locator("[class*=st-key-set-] button").and_(page.locator(":visible")).first.click()
    driving.settle(page)
    stands_under(page, again, "The password has 5 characters")

    driving.opened(page, f"{server.address}/password")
    for label, word in (("Your password as it is", "a guess"), ("The new one", WORDS)):
        page.get_by_label(label, exact=True).fill(word)
    driving.tap(page, "Change it")
    stands_under(page, "The new one again", "are not the same")
    page.get_by_label("The new one again", exact=True).fill(WORDS)
    driving.tap(page, "Change it")
    stands_under(page, "Your password as it is", "The old password is not right")

    job = ({"name": "Repair", "revenue": "100", "cost": "90", "gross_margin": "0.1"},)
    open_shop.ledger.allowances.ask("0" * 64, "A job", job, "Hand", datetime.now(UTC))
    driving.opened(page, f"{server.address}/desk")
    driving.tap(page, "Allow once")
    stands_under(page, "Your reason, for the books", "There is no reason")
    assert "Traceback" not in server.log()
    page.close()


def test_an_old_cookie_opens_nothing_and_another_shop_knows_it_not(
    browser: Browser, server: Server
) -> None:
    page = driving.signed_in(browser, server, PHONE)
    driving.opened(page, server.address)
    [held] = [each for each in page.context.cookies() if each["name"] == cookie_name(server.folder)]
    driving.sign_out(page)
    page.context.add_cookies(
        [{"name": held["name"], "value": held["value"], "url": server.address}]
    )
    driving.opened(page, server.address)
    assert driving.heading(page) == "Sign in"
    page.close()


def test_the_owner_gives_a_customers_data_out_and_erases_it(
    browser: Browser, server: Server
) -> None:
    shop = wiring.open_shop(server.folder)
    visit = visiting.visit_from(wiring.demo_visit(wiring.DEMO_VISIT), "the demo visit")
    priced = visiting.price_visit(shop, TESTER, visit)
    quote = quoting.issue_quote(shop, priced, TESTER, datetime.now(UTC))
    page = driving.signed_in(browser, server, PHONE, DEMO_OWNER)
    driving.opened(page, f"{server.address}/customers")
    driving.fill(page, "Quote number, or the name as it stands on the quote", quote.number)
    sound(page)
    with page.expect_download() as saved:
        page.get_by_role("button", name="Give it out as JSON").click()
    given = json.loads(saved.value.path().read_text(encoding="utf-8"))
    assert given["quotes"][0]["customer_name"] == quote.customer_name
    with page.expect_download() as saved:
        page.get_by_role("button", name="Give it out as ZIP").click()
    assert "customer.json" in zipfile.ZipFile(saved.value.path()).namelist()
    page.get_by_text("I know that it cannot be undone").click()
    driving.settle(page)
    driving.tap(page, "Erase this customer's data")
    expect(page.get_by_text("Prices and totals stay.")).to_be_visible()
    left = shop.ledger.quotes.get(quote.number)
    assert (left.customer_name, left.repair_price) == ("", quote.repair_price)
    assert replaying.verify_ledger(shop, TESTER).problems == ()
    shop.close()
    page.close()
