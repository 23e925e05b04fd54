"""Signing in by the shop's own provider, against a small one on this machine, in a browser."""

from __future__ import annotations

from datetime import UTC, datetime
from typing import TYPE_CHECKING

import pytest
import tomli_w
from playwright.sync_api import expect

from app import wiring
from app.people import accounts
from app.people.guard import operator
from app.people.provider import PROVIDER_FILE
from app.people.roles import Role
from app.session_cookie import cookie_name
from tests.browser import driving
from tests.browser.provider import CLIENT, SECRET, Provider
from tests.browser.serving import Server, free_port
from tests.browser.test_visit import DESK, PHONE, sound

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path

    from playwright.sync_api import Browser, Page

pytestmark = pytest.mark.browser

BY = "Sign in with the shop's account"
PEOPLE = {
    "owner": {"email": "Owner@shop.example", "email_verified": True},
    "hand": {"email": "hand@shop.example", "email_verified": True},
    "stranger": {"email": "stranger@elsewhere.example", "email_verified": True},
    "unproven": {"email": "owner@shop.example", "email_verified": False},
}


@pytest.fixture
def provider() -> Iterator[Provider]:
    made = Provider()
    made.people = dict(PEOPLE)
    yield made
    made.stop()


@pytest.fixture
def shop_at(shop_folder: Path, provider: Provider) -> Iterator[Server]:
    """A shop whose people sign in by the provider alone: nobody but the demo has a password."""
    server = Server(shop_folder)
    server.port = free_port()
    given = {
        "server_metadata_url": provider.metadata_url,
        "client_id": CLIENT,
        "client_secret": SECRET,
        "redirect_uri": f"{server.address}/oauth2callback",
    }
    path = shop_folder / PROVIDER_FILE
    path.write_text(tomli_w.dumps(given), encoding="utf-8")
    path.chmod(0o600)
    shop, now = wiring.open_shop(shop_folder), datetime.now(UTC)
    owner = operator("setup")
    accounts.add_person(shop, owner, "O. Sample", Role.OWNER, "", now, email="owner@shop.example")
    accounts.add_person(
        shop, owner, "H. Sample", Role.TECHNICIAN, "", now, email="hand@shop.example"
    )
    shop.close()
    server.start()
    yield server
    server.stop()


def came_back_as(page: Page, server: Server, name: str, to: str = "Visits") -> None:
    """Sign in at the provider under a name, and come back to a page with a heading."""
    driving.opened(page, server.address)
    page.get_by_role("button", name=BY).click()
    page.get_by_role("link", name=name, exact=True).click()
    page.wait_for_url(f"{server.address}/**")
    expect(page.locator("h1").first).to_have_text(to, timeout=30_000)
    driving.settle(page)


def rooms(page: Page) -> list[str]:
    return page.locator(".st-key-rooms a").all_inner_texts()


def test_the_provider_signs_in_the_right_person_with_his_role(
    browser: Browser, shop_at: Server
) -> None:
    his = driving.new_page(browser, PHONE)
    driving.opened(his, shop_at.address)
    sound(his)
    came_back_as(his, shop_at, "hand")
    assert driving.heading(his) == "Visits"
    assert "People" not in rooms(his)
    driving.opened(his, f"{shop_at.address}/people")
    assert "You may not manage people" in driving.message(his)
    owner = driving.new_page(browser, DESK)
    came_back_as(owner, shop_at, "owner")
    assert driving.heading(owner) == "Visits"
    assert "People" in rooms(owner)
    shop = wiring.open_shop(shop_at.folder)
    lines = shop.ledger.journal.lines(20, action="sign in")
    shop.close()
    assert [line.person for line in lines][:2] == ["O. Sample", "H. Sample"]
    his.close()
    owner.close()


@pytest.mark.parametrize(
    ("name", "says"),
    [
        ("stranger", "Nobody in this shop has the address that you signed in with."),
        ("unproven", "The provider does not vouch for this address."),
    ],
)
def test_an_address_that_is_nobodys_or_not_verified_opens_nothing(
    browser: Browser, shop_at: Server, name: str, says: str
) -> None:
    page = driving.new_page(browser, PHONE)
    came_back_as(page, shop_at, name, "Sign in")
    assert says in driving.message(page)
    assert driving.heading(page) == "Sign in"
    assert rooms(page) == []
    sound(page)
    page.close()


def test_who_is_removed_is_out_at_once_and_does_not_come_back(
    browser: Browser, shop_at: Server
) -> None:
    his = driving.new_page(browser, PHONE)
    came_back_as(his, shop_at, "hand")
    shop, owner, now = wiring.open_shop(shop_at.folder), operator("setup"), datetime.now(UTC)
    accounts.remove_person(
        shop, owner, accounts.person_named(shop, owner, "H. Sample").person_id, now
    )
    shop.close()
    driving.tap(his, "Start a visit")
    assert driving.heading(his) == "Sign in"
    driving.opened(his, shop_at.address)
    assert "Nobody in this shop has the address" in driving.message(his)
    assert rooms(his) == []
    driving.tap(his, "Go in as the demo technician")
    assert driving.heading(his) == "Visits", "the refusal stands in nobody else's way"
    shop = wiring.open_shop(shop_at.folder)
    failed = shop.ledger.journal.lines(20, action="sign-in failed")
    shop.close()
    assert len(failed) <= 2, "a page that runs again and again does not fill the journal"
    his.close()


def test_signing_out_ends_it_here_and_at_the_provider(
    browser: Browser, shop_at: Server, provider: Provider
) -> None:
    page = driving.new_page(browser, PHONE)
    came_back_as(page, shop_at, "owner")
    driving.opened(page, shop_at.address)
    assert driving.heading(page) == "Visits", "a reload goes on with the session"
    driving.tap(page, "You")
    page.get_by_role("button", name="Sign out").click()
    page.get_by_role("button", name=BY).wait_for()
    for _ in range(300):  # the page leaves for the provider while the cookie is taken back
        if cookie_name(shop_at.folder) not in {each["name"] for each in page.context.cookies()}:
            break
        page.wait_for_timeout(200)
    assert "/end" in provider.told
    driving.opened(page, shop_at.address)
    assert driving.heading(page) == "Sign in"
    assert page.get_by_role("button", name=BY).is_visible()
    held = {each["name"] for each in page.context.cookies()}
    assert cookie_name(shop_at.folder) not in held
    assert not any(name.startswith("_streamlit_user") for name in held)
    page.close()
