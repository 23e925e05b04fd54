"""Signing in and the people of the shop, in a browser."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest
from playwright.sync_api import expect

from app import wiring
from app.people.accounts import DEMO_OWNER, DEMO_PASSWORD
from tests.browser import driving
from tests.browser.serving import Server
from tests.browser.test_visit import PHONE, sound

if TYPE_CHECKING:
    from pathlib import Path

    from playwright.sync_api import Browser

pytestmark = pytest.mark.browser

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
