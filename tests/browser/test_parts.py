"""The parts screen and the photos in a browser, on a phone."""

from __future__ import annotations

import io
import re
from typing import TYPE_CHECKING

import pytest
from PIL import Image
from playwright.sync_api import expect

from app import wiring
from tests.browser import driving
from tests.browser.test_six_visits import at_every_size
from tests.browser.test_visit import PHONE, begin, give_finding, give_heater, sound

if TYPE_CHECKING:
    from playwright.sync_api import Browser, Page

    from tests.browser.serving import Server

pytestmark = pytest.mark.browser

SEARCH = "Number, words or a measure"


def text(page: Page) -> str:
    return page.locator("body").inner_text()


def test_one_box_takes_a_number_words_and_nonsense(browser: Browser, server: Server) -> None:
    page = driving.signed_in(browser, server, PHONE)
    driving.opened(page, f"{server.address}/parts")
    sound(page)
    driving.fill(page, SEARCH, "se 2O1O4")  # a space, and the letter for the digit
    expect(page.get_by_text("SE-20104").first).to_be_visible()
    expect(page.get_by_text("Sold today").first).to_be_visible()
    sound(page)
    at_every_size(page, PHONE)
    driving.fill(page, SEARCH, "SE-2010")
    sound(page)
    driving.tap(page, "It is SE-20101")
    expect(page.get_by_label(SEARCH, exact=True)).to_have_value("SE-20101")
    expect(page.get_by_text("What goes in for SE-20101")).to_be_visible()
    driving.fill(page, SEARCH, "thermocouple 24 in")
    driving.shows(page, "Read as sensing element, output class 30 mV, length 24 in")
    sound(page)
    page.reload()
    driving.settle(page)
    expect(page.get_by_label(SEARCH, exact=True)).to_have_value("thermocouple 24 in")
    driving.fill(page, SEARCH, "SE-2010")  # the last character is worn off
    page.get_by_role("button", name="24 in", exact=True).click()
    driving.settle(page)
    expect(page.get_by_label(SEARCH, exact=True)).to_have_value("SE-2010 24 in")
    expect(page.locator(".st-key-card-number-0").get_by_text("As told with it")).to_be_visible()
    driving.shows(page, "Told with it, length 24 in (609.6 mm):")
    sound(page)
    at_every_size(page, PHONE)
    for nonsense in ("😀", "ZZZZZZ", "-", "x" * 10_000):
        driving.fill(page, SEARCH, nonsense)
        assert page.locator("[role=status]").inner_text() != ""
        driving.no_overflow(page)
    assert "Traceback" not in text(page) + server.log()
    page.close()


def test_a_part_is_found_by_its_measures(browser: Browser, server: Server) -> None:
    page = driving.signed_in(browser, server, PHONE)
    driving.opened(page, f"{server.address}/parts")
    driving.unfold(page, "By measure")
    driving.choose(page, "Kind of part", "Sensing element")
    expect(page.locator("img.drawing")).to_be_visible()
    driving.fill(page, "A  Length [in]", "600 mm")
    driving.shows(page, "read as 23.622 in (600.0 mm)")
    driving.choose(page, "B  Connection at the control", "Push-in")
    expect(page.locator("[class*=st-key-card-fit-]").first).to_be_visible()
    sound(page)
    driving.fill(page, "A  Length [in]", "long 😀")
    expect(page.locator(".problem")).to_be_visible()
    expect(page.get_by_role("combobox", name="B Connection")).to_have_value(re.compile("push-in"))
    driving.no_overflow(page)
    page.close()


def test_answers_given_faster_than_they_are_read_all_count(
    browser: Browser, server: Server
) -> None:
    page = driving.signed_in(browser, server, PHONE)
    driving.opened(page, f"{server.address}/parts")
    driving.unfold(page, "By measure")
    driving.choose(page, "Kind of part", "Sensing element")
    length = page.get_by_label("A  Length [in]", exact=True)
    length.fill("24")
    length.press("Enter")  # and on at once
    page.get_by_role("combobox", name="B Connection").click()
    page.get_by_role("option", name="Push-in").first.click()
    search = page.get_by_label(SEARCH, exact=True)
    search.fill("SE-20104")
    search.press("Enter")
    driving.settle(page)
    page.reload()
    driving.settle(page)
    expect(search).to_have_value("SE-20104")
    expect(length).to_have_value("24")
    expect(page.get_by_role("combobox", name="B Connection")).to_have_value(re.compile("push-in"))
    expect(page.get_by_text("read as 24 in (609.6 mm)")).to_be_visible()
    page.close()


def test_remedies_are_compared_and_another_taken_by_a_tap(browser: Browser, server: Server) -> None:
    page = driving.signed_in(browser, server, PHONE)
    begin(page, server)
    give_heater(page)
    driving.tap(page, "Next: finding")
    give_finding(page)
    driving.tap(page, "Next: part")
    driving.unfold(page, "The old part in the hand")
    driving.fill(page, "Length [in]", "600 mm")
    expect(page.get_by_text("read as 23.622 in (600.0 mm)")).to_be_visible()
    sound(page)
    driving.fill(page, "Length [in]", "")
    driving.unfold(page, "Remedies compared")
    sound(page)
    driving.tap(page, "Replace the pilot assembly instead")
    expect(page.get_by_text("Replace the pilot assembly").first).to_be_visible()
    driving.unfold(page, "The old part in the hand")
    driving.fill(page, "Number on the old part", "SE-2010")
    assert page.get_by_role("button", name=re.compile("^It is ")).count() == 3
    sound(page)
    driving.tap(page, "Other numbers it may have been")
    sound(page)
    page.keyboard.press("Escape")
    driving.fill(page, "Number on the old part", "SE-2O1O4")
    driving.no_overflow(page)
    driving.shows(page, "SE-20104")
    page.close()


def test_photos_are_kept_small_and_plain(browser: Browser, server: Server) -> None:
    page = driving.signed_in(browser, server, PHONE)
    begin(page, server)
    driving.unfold(page, "Photo of the rating plate")
    sound(page)
    chooser = page.locator('[data-testid="stFileUploaderDropzoneInput"]').first
    chooser.set_input_files(_file("plate.jpg", _photo()))
    expect(page.get_by_text("1 taken")).to_be_visible()
    driving.settle(page)
    expect(page.get_by_alt_text("Photo of the rating plate")).to_be_visible()
    sound(page)
    chooser = page.locator('[data-testid="stFileUploaderDropzoneInput"]').first
    chooser.set_input_files(_file("no.jpg", b"this is no picture"))
    expect(page.get_by_text("This is no photo that can be read")).to_be_visible()
    page.reload()
    driving.settle(page)
    driving.unfold(page, "Photo of the rating plate")
    expect(page.get_by_text("1 taken")).to_be_visible()

    shop = wiring.open_shop(server.folder)
    [draft] = [each for each in shop.ledger.drafts.every() if each.draft_id in page.url]
    [photo] = shop.ledger.photos.of_visit(draft.draft_id)
    kept = Image.open(io.BytesIO(shop.ledger.photos.jpeg(photo.photo_id)))
    shop.close()
    assert not kept.getexif()
    assert max(kept.size) <= 1280
    driving.tap(page, "Take this photo away")
    expect(page.get_by_text("none taken")).to_be_visible()
    page.close()


def _photo() -> bytes:
    """Return a large picture that says where and with what it was taken."""
    picture = Image.effect_noise((3000, 2000), 60).convert("RGB")
    exif = picture.getexif()
    exif[0x010F] = "Camera maker (invented)"
    out = io.BytesIO()
    picture.save(out, "JPEG", exif=exif, quality=60)
    return out.getvalue()


def _file(name: str, content: bytes) -> dict[str, object]:
    return {"name": name, "mimeType": "image/jpeg", "buffer": content}
