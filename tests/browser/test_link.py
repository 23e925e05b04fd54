"""The customer's link in a browser of his own: it opens his quote and nothing else."""

from __future__ import annotations

import io
import re
from datetime import UTC, datetime, timedelta
from typing import TYPE_CHECKING

import pytest
import zxingcpp
from PIL import Image
from playwright.sync_api import expect

from app import answering, customer_links, quoting, visiting, wiring
from app.people.guard import operator
from app.screens.rooms import ROOMS
from tests.browser import driving
from tests.browser.test_owner import (
    _hidden_amounts,
    _open_everything,
    _record,
    _spoken,
    issue_demo,
    open_shop,
)
from tests.browser.test_visit import DESK, PHONE, pdf_text, sound, two_columns

if TYPE_CHECKING:
    from playwright.sync_api import Browser, Page

    from app.ledger.records import IssuedQuote
    from app.shop import Shop
    from tests.browser.serving import Server

pytestmark = pytest.mark.browser

__all__ = ["open_shop"]
TABLET = {"width": 768, "height": 1024}
OWNER = operator("tester")


def test_the_link_opens_the_quote_to_sign_and_carries_no_cost(
    browser: Browser, server: Server, open_shop: Shop
) -> None:
    quote = issue_demo(open_shop)
    page = driving.signed_in(browser, server, PHONE)
    driving.opened(page, f"{server.address}/?issued={quote.number}")
    sound(page)
    driving.tap(page, "Make a link")
    address = page.locator("p.address").inner_text()
    code = page.get_by_alt_text("QR code of the customer's link")
    expect(code).to_be_visible()
    picture = Image.open(io.BytesIO(code.screenshot()))
    assert [found.text for found in zxingcpp.read_barcodes(picture)] == [address]
    sound(page)

    frames: list[str] = []
    his = browser.new_page(viewport=PHONE)  # a context of its own: nobody is signed in there
    his.on("websocket", lambda socket: _record(socket, frames))
    driving.opened(his, address)
    assert driving.heading(his) == "Sensing element worn"
    two_columns(his)
    assert his.get_by_role("link", name=re.compile("Visits|Quotes|Rates|Desk")).count() == 0
    assert his.get_by_role("radio", checked=True).count() == 2  # English and US alone
    sound(his)
    _open_everything(his)

    driving.tap_choice(his, "Language", "Español")
    assert "lang=es" in his.url
    expect(his.get_by_text("Reparar").first).to_be_visible()
    assert "What is wrong" not in his.locator("body").inner_text()
    sound(his)
    his.get_by_text(re.compile("^Reparar: ")).first.click()
    driving.settle(his)
    driving.tap(his, "Firmar")
    assert "Falta el nombre. Escriba su nombre para firmar." in driving.message(his)
    sound(his)
    driving.tap_choice(his, "Idioma", "English")

    agreed = his.locator("p.agreed").inner_text()
    assert quote.number in agreed
    driving.fill(his, "Type your name to sign", "J. Sample")
    driving.tap(his, "Sign")
    expect(his.get_by_text("What was agreed")).to_be_visible()
    sound(his)
    with his.expect_download() as saved:
        his.get_by_role("button", name="Save as PDF").click()
    text = pdf_text(saved.value.path())
    assert "J. Sample" in text
    assert "ACCEPTED" in text

    kept = answering.answer_to(open_shop, OWNER, quote)
    assert kept is not None
    assert (kept.choice, kept.typed_name, kept.via) == ("repair", "J. Sample", "link")
    assert kept.agreed_text == agreed
    nothing_of_the_shop(quote, frames, his)

    driving.tap(page, "Revoke every link")
    his.reload()
    driving.settle(his)
    assert "This link opens nothing" in driving.message(his)
    assert quote.number not in his.locator("body").inner_text()
    his.close()
    page.close()


def nothing_of_the_shop(quote: IssuedQuote, frames: list[str], page: Page) -> None:
    """Hold all that a page was sent to what a customer may see."""
    carried = "\n".join(frames) + page.content()
    assert f"${quote.repair_price:,.2f}" in carried
    hidden = _hidden_amounts(open_shop, quote)
    leaked = [sum_ for sum_ in hidden if re.search(rf"(?<![\d.]){re.escape(sum_)}(?!\d)", carried)]
    assert leaked == []
    for word in ("margin", "markup", "unit_cost", "cost_per_h", "gross"):
        told = [frame for frame in frames if word in frame.lower() and "stHtml" not in frame]
        assert not any(_spoken(frame, word) for frame in told), f"The payload speaks of {word}"


def test_declining_on_the_technicians_phone_turned_round_carries_no_cost_and_keeps_the_text(
    browser: Browser, server: Server, open_shop: Shop
) -> None:
    quote = issue_demo(open_shop)
    frames: list[str] = []
    page = driving.signed_in(browser, server, PHONE)
    page.on("websocket", lambda socket: _record(socket, frames))
    driving.opened(page, f"{server.address}/?quote={quote.number}&lang=es&units=si")
    page.get_by_text("Ninguna por ahora").click()
    driving.settle(page)
    agreed = page.locator("p.agreed").inner_text()
    assert "Por ahora no pido ningún trabajo." in agreed
    driving.fill(page, "Escriba su nombre para firmar", "J. Muestra")
    driving.tap(page, "Firmar")
    expect(page.get_by_text("Esta cotización fue rechazada")).to_be_visible()
    sound(page)
    _open_everything(page)
    with page.expect_download() as saved:
        page.get_by_role("button", name="Guardar en PDF").click()
    text = " ".join(pdf_text(saved.value.path()).split())
    assert "RECHAZADA" in text
    assert "J. Muestra" in text
    assert "litros" in text
    kept = answering.answer_to(open_shop, OWNER, quote)
    assert kept is not None
    assert (kept.choice, kept.via, kept.agreed_text) == ("declined", "door", agreed)
    nothing_of_the_shop(quote, frames, page)
    page.close()


@pytest.mark.parametrize("size", [PHONE, TABLET, DESK], ids=["phone", "tablet", "desk"])
def test_a_lapsed_and_a_revised_quote_are_read_in_the_browsers_language(
    browser: Browser, server: Server, open_shop: Shop, size: dict[str, int]
) -> None:
    now = datetime.now(UTC)
    visit = visiting.visit_from(wiring.demo_visit(wiring.DEMO_VISIT), "the demo visit")
    priced = visiting.price_visit(open_shop, OWNER, visit)
    lapsed = quoting.issue_quote(open_shop, priced, OWNER, now - timedelta(days=45))
    revised = issue_demo(open_shop)
    quoting.issue_quote(open_shop, priced, OWNER, now, revises=revised.number)
    page = browser.new_page(viewport=size, locale="es-MX", color_scheme="dark")

    def open_of(quote: IssuedQuote, more: str = "") -> None:
        token = customer_links.make_link(open_shop, OWNER, quote, now)
        driving.opened(page, f"{server.address}/?link={token}{more}")

    open_of(lapsed)
    expect(page.get_by_text("Vencida").first).to_be_visible()
    assert page.get_by_text(re.compile("^Reparar: ")).count() == 0
    two_columns(page)
    sound(page)
    open_of(revised, "&revision=1")
    expect(page.get_by_text("Ya no vale").first).to_be_visible()
    sound(page)
    driving.tap(page, "Revisión 2, la última")
    expect(page.get_by_text("En espera de su respuesta")).to_be_visible()
    assert "revision=2" in page.url
    sound(page)
    page.close()


def test_a_link_guessed_altered_ended_or_revoked_opens_nothing(
    browser: Browser, server: Server, open_shop: Shop
) -> None:
    quote = issue_demo(open_shop)
    now = datetime.now(UTC)
    good = customer_links.make_link(open_shop, OWNER, quote, now)
    ended = customer_links.make_link(
        open_shop, OWNER, quote, now, ends_at=now - timedelta(seconds=1)
    )
    altered = good[:-2] + ("A" if good[-2] != "A" else "B") + good[-1]
    said = set()
    page = driving.new_page(browser, DESK)
    for token in ("x", "A" * len(good), altered, ended, quote.number):
        driving.opened(page, f"{server.address}/?link={token}")
        said.add(driving.message(page))
        assert quote.number not in page.locator("body").inner_text()
    customer_links.revoke_links(open_shop, OWNER, quote, now)
    driving.opened(page, f"{server.address}/?link={good}")
    said.add(driving.message(page))
    assert len(said) == 1
    assert "This link opens nothing" in said.pop()
    sound(page)
    page.close()


def test_a_number_alone_opens_nothing_to_who_is_not_signed_in(
    browser: Browser, server: Server, open_shop: Shop
) -> None:
    quote = issue_demo(open_shop)
    page = driving.new_page(browser, PHONE)
    for address in (f"?quote={quote.number}", f"?issued={quote.number}", "rates", "quotes"):
        driving.opened(page, f"{server.address}/{address}")
        assert driving.heading(page) == "Sign in"
        assert f"${quote.repair_price:,.2f}" not in page.content()
    sound(page)
    page.close()


def test_every_address_typed_by_hand_opens_its_room_and_no_box_says_that_it_is_not_there(
    browser: Browser, server: Server
) -> None:
    page = driving.signed_in(browser, server, PHONE)
    for room in ROOMS[:2]:
        driving.opened(page, f"{server.address}/{room.address}")
        assert driving.heading(page) == room.title
        assert page.get_by_role("dialog").count() == 0
    driving.opened(page, f"{server.address}/no-such-room")
    page.get_by_role("dialog").filter(has_text="Page not found").wait_for()
    page.close()


def test_two_taps_lead_to_the_demo_visit_and_a_reload_stays_signed_in(
    browser: Browser, server: Server
) -> None:
    page = driving.new_page(browser, PHONE)
    driving.opened(page, server.address)
    driving.tap(page, "Go in as the demo technician")
    page.reload()
    driving.settle(page)
    driving.tap(page, "Go on with this visit")
    assert "draft=" in page.url
    page.reload()
    driving.settle(page)
    assert driving.heading(page) == "Heater"
    driving.opened(page, f"{server.address}/rates")
    assert "You may not see the rate sheets" in driving.message(page)
    driving.sign_out(page)
    page.reload()
    driving.settle(page)
    assert driving.heading(page) == "Sign in"
    assert wiring.DEMO_PERSON in page.locator("body").inner_text()
    page.close()
