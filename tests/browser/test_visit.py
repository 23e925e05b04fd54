"""A technician's whole visit in a browser, on a phone and on a desk."""

from __future__ import annotations

import csv
import io
import re
from typing import TYPE_CHECKING

import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import expect
from pypdf import PdfReader

from app import quoting, wiring
from tests.acting import TESTER
from tests.browser import driving

if TYPE_CHECKING:
    from pathlib import Path

    from playwright.sync_api import Browser, Page

    from tests.browser.serving import Server

pytestmark = pytest.mark.browser

PHONE = {"width": 390, "height": 844}
DESK = {"width": 1280, "height": 800}
SLUG = "a-40-ng-tc-nd-sealed-2003"
FAMILIES = wiring.DEMO_DATA / "catalog" / "heater_family.csv"
with FAMILIES.open(encoding="utf-8", newline="") as source:
    FAMILY = next(row["name"] for row in csv.DictReader(source) if row["slug"] == SLUG)


VIOLATIONS = """async () => (await axe.run({resultTypes: ["violations"]})).violations
    .map(each => [each.id, each.nodes[0].html.slice(0, 120)])"""


# Told as seconds apart, so that the page takes each for a tap of its own: to a slow server even
# those come while it still answers the one before.
THRICE = """([step, gap]) => [0, 1, 2].forEach(turn => setTimeout(() => {
    const tap = new MouseEvent('click', {bubbles: true, cancelable: true});
    Object.defineProperty(tap, 'timeStamp', {value: performance.now() + 1000 * turn});
    step.dispatchEvent(tap);
}, turn * gap))"""


def sound(page: Page) -> None:
    """Hold a screen to the rules that hold for every screen."""
    if not page.evaluate("() => Boolean(window.axe)"):  # once for each page that is opened
        page.evaluate(Axe().axe_script)
    assert page.evaluate(VIOLATIONS) == []
    driving.no_overflow(page)
    assert driving.small_targets(page) == []


def begin(page: Page, server: Server) -> None:
    driving.opened(page, server.address)
    driving.tap(page, "Start a visit")
    assert driving.heading(page) == "Heater"


def give_heater(page: Page) -> None:
    driving.choose(page, "Heater family", FAMILY)
    driving.fill(page, "Year made", "2015")


def give_finding(page: Page) -> None:
    driving.choose(page, "What is wrong", "Sensing element worn")
    driving.tap_choice(page, "Pilot flame", "Good, wraps the element")
    driving.fill(page, "Millivolts, open circuit [mV]", "12")
    page.get_by_text("Replace the sensing element", exact=True).click()
    driving.settle(page)


@pytest.mark.parametrize("size", [PHONE, DESK], ids=["phone", "desk"])
def test_a_visit_ends_in_an_issued_quote_and_its_pdf(
    browser: Browser, server: Server, size: dict[str, int]
) -> None:
    page = driving.signed_in(browser, server, size)
    begin(page, server)
    sound(page)
    give_heater(page)
    driving.unfold(page, "Who it serves")
    driving.fill(page, "People in the home", "3")
    driving.unfold(page, "For the quote")
    driving.fill(page, "Customer", "J. Sample")
    sound(page)

    driving.tap(page, "Next: finding")
    give_finding(page)
    driving.shows(page, "20 mV or more in a good flame")
    expect(page.get_by_text("Supported")).to_be_visible()
    sound(page)

    driving.tap(page, "Next: part")
    expect(page.get_by_text("Best fit, taken")).to_be_visible()
    driving.shows(page, "Listed by the maker")
    sound(page)

    driving.tap(page, "Next: price")
    total = page.locator("table.prices .total .sum").first.inner_text()
    assert re.fullmatch(r"\$\d[\d,]*\.\d\d", total)
    expect(page.get_by_text("Where it turns")).to_be_visible()
    sound(page)

    driving.tap(page, "Next: show")
    assert driving.heading(page) == "Sensing element worn"
    two_columns(page)
    assert total in page.locator("table.sides").inner_text()
    expect(page.locator(".js-plotly-plot")).to_be_visible()
    sound(page)

    driving.tap(page, "Issue the quote")
    assert driving.heading(page).startswith("Quote ")
    number = driving.heading(page).removeprefix("Quote ")
    sound(page)
    with page.expect_download() as saved:
        page.get_by_role("button", name="Download the PDF").click()
    text = pdf_text(saved.value.path())
    assert number in text
    assert total in text
    assert "J. Sample" in text

    shop = wiring.open_shop(server.folder)
    issued = quoting.issued(shop, TESTER, number)
    assert issued.customer_name == "J. Sample"
    assert f"${issued.repair_price:,.2f}" == total
    assert [draft.person for draft in shop.ledger.drafts.every()] == [wiring.DEMO_PERSON]
    shop.close()
    assert "Traceback" not in server.log()
    page.close()


def two_columns(page: Page) -> None:
    """Hold both paths to stand next to each other, also on a phone."""
    left, right = (page.locator("table.sides th").nth(at).bounding_box() for at in (0, 1))
    assert left is not None
    assert right is not None
    assert abs(left["y"] - right["y"]) < 1
    assert right["x"] >= left["x"] + left["width"] - 1


def pdf_text(path: Path) -> str:
    return "\n".join(page.extract_text() for page in PdfReader(io.BytesIO(path.read_bytes())).pages)


def test_a_reload_and_a_killed_server_bring_the_visit_back(
    browser: Browser, server: Server
) -> None:
    page = driving.signed_in(browser, server, PHONE)
    begin(page, server)
    give_heater(page)
    driving.tap(page, "Next: finding")
    give_finding(page)

    page.reload()
    driving.settle(page)
    assert driving.heading(page) == "Finding"
    expect(page.get_by_label("Millivolts, open circuit [mV]", exact=True)).to_have_value("12")
    expect(page.get_by_role("combobox", name="What is wrong")).to_have_value("Sensing element worn")

    server.stop()
    server.start()
    page.goto(page.url)
    driving.settle(page)
    assert driving.heading(page) == "Finding"
    expect(page.get_by_label("Millivolts, open circuit [mV]", exact=True)).to_have_value("12")

    page.go_back()
    driving.settle(page)
    driving.opened(page, server.address)
    expect(page.get_by_text("Finding, saved")).to_be_visible()
    page.close()


def test_a_field_left_by_a_tap_on_next_is_kept(browser: Browser, server: Server) -> None:
    page = driving.signed_in(browser, server, PHONE)
    begin(page, server)
    driving.choose(page, "Heater family", FAMILY)
    page.get_by_label("Year made", exact=True).fill("2016")  # no Enter: straight on
    driving.tap(page, "Next: finding")
    driving.tap(page, re.compile("Heater"))
    expect(page.get_by_label("Year made", exact=True)).to_have_value("2016")
    page.close()


def test_taps_that_cut_each_other_short_empty_no_field(browser: Browser, server: Server) -> None:
    page = driving.signed_in(browser, server, PHONE)
    begin(page, server)
    give_heater(page)
    driving.tap(page, "Next: finding")
    give_finding(page)
    for gap_ms in (12, 24, 150):
        for name, label, given in (
            ("Heater", "Year made", "2015"),
            ("Finding", "Millivolts, open circuit [mV]", "12"),
        ):
            step = page.get_by_role("button", name=re.compile(name)).first.element_handle()
            page.evaluate(THRICE, [step, gap_ms])
            page.wait_for_timeout(2 * gap_ms)
            driving.settle(page)
            assert driving.heading(page) == name
            expect(page.get_by_label(label, exact=True)).to_have_value(given)
    expect(page.get_by_role("combobox", name="What is wrong")).to_have_value("Sensing element worn")
    page.close()


@pytest.mark.parametrize(
    ("step", "question", "answer", "label", "text"),
    [
        ("Heater", "Heater family", FAMILY, "Year made", "2016"),
        ("Finding", "What is wrong", "Sensing element worn", "Millivolts, open circuit [mV]", "12"),
    ],
)
def test_what_is_typed_while_an_answer_is_on_its_way_is_kept(
    browser: Browser, server: Server, step: str, question: str, answer: str, label: str, text: str
) -> None:
    page = driving.signed_in(browser, server, PHONE)
    begin(page, server)
    if step == "Finding":
        give_heater(page)
        driving.tap(page, "Next: finding")
    box = page.get_by_role("combobox", name=question).first
    field = page.get_by_label(label, exact=True).first
    box.click()
    box.fill(answer)
    with server.held():  # the answer to the choice is not there yet
        page.get_by_role("option", name=answer).first.click()
        field.click()
        page.keyboard.type(text)
    driving.settle(page)
    expect(page.get_by_label(label, exact=True)).to_have_value(text)
    driving.tap(page, "Next: ")
    driving.tap(page, re.compile(step))
    expect(page.get_by_label(label, exact=True)).to_have_value(text)
    page.close()


def test_a_second_tap_at_once_is_the_same_tap(browser: Browser, server: Server) -> None:
    page = driving.signed_in(browser, server, PHONE)
    begin(page, server)
    give_heater(page)
    page.get_by_role("button", name="Next: finding").dblclick(delay=20)
    driving.settle(page)
    assert driving.heading(page) == "Finding"
    give_finding(page)
    for step in ("Part", "Price"):
        page.get_by_role("button", name=f"Next: {step.lower()}").dblclick(delay=20)
        driving.settle(page)
        assert driving.heading(page) == step
    page.close()


def test_what_cannot_be_is_said_at_the_field_and_nothing_else_is_lost(
    browser: Browser, server: Server
) -> None:
    page = driving.signed_in(browser, server, PHONE)
    begin(page, server)
    give_heater(page)
    driving.unfold(page, "Rating plate")
    driving.fill(page, "Tank size [gal]", "-40")
    expect(page.get_by_text("Tank size is -40; it must be 2 or more.")).to_be_visible()
    driving.fill(page, "Year made", "2999")
    expect(page.get_by_text("Year made is 2999; it must be 1950 to")).to_be_visible()
    expect(page.get_by_role("combobox", name="Heater family")).to_have_value(re.compile("Maker A"))
    sound(page)
    page.close()


def test_a_stop_closes_the_repair_at_once(browser: Browser, server: Server) -> None:
    page = driving.signed_in(browser, server, PHONE)
    begin(page, server)
    give_heater(page)
    driving.tap(page, "Next: finding")
    driving.unfold(page, "Look for these first")
    driving.tap_switch(page, "Smell of gas")
    expect(page.get_by_text("There is a smell of gas").first).to_be_visible()
    give_finding(page)
    driving.tap(page, re.compile("Price"))
    driving.shows(page, "The repair path is closed")
    driving.tap(page, re.compile("Show"))
    driving.shows(page, "Leave the house now")
    sound(page)
    page.close()


def test_a_missing_quote_and_draft_are_said_plainly(browser: Browser, server: Server) -> None:
    page = driving.signed_in(browser, server, PHONE)
    driving.opened(page, f"{server.address}/?quote=Q-NONE")
    assert "Q-NONE" in driving.message(page)
    driving.opened(page, f"{server.address}/?draft=gone&step=price")
    assert "no longer under way" in driving.message(page)
    assert driving.heading(page) == "Visits"
    assert "Traceback" not in page.locator("body").inner_text()
    page.close()
