"""A photo taken with the device's own camera, which Chromium plays."""

from __future__ import annotations

from io import BytesIO
from typing import TYPE_CHECKING

import pytest
from PIL import Image
from playwright.sync_api import expect

from app import wiring
from tests.browser import driving
from tests.browser.serving import FLAGS, chromium
from tests.browser.test_visit import PHONE, sound

if TYPE_CHECKING:
    from collections.abc import Iterator

    from playwright.sync_api import Browser

    from tests.browser.serving import Server

pytestmark = pytest.mark.browser

CAMERA = ["--use-fake-device-for-media-stream", "--use-fake-ui-for-media-stream"]
CARD = "Photo of the rating plate"
# Before its first picture, and while it starts anew in another width, the camera takes nothing.
FILMING = """() => {
  const film = document.querySelector("video");
  return Boolean(film && film.videoHeight && film.currentTime > 0);
}"""


@pytest.fixture
def with_camera(browser: Browser) -> Iterator[Browser]:
    driven = browser.browser_type.launch(executable_path=chromium(), args=[*FLAGS, *CAMERA])
    yield driven
    driven.close()


def test_a_photo_from_the_camera_is_kept_small_and_plain_and_shown_after_a_reload(
    with_camera: Browser, server: Server
) -> None:
    shop = wiring.open_shop(server.folder)
    draft = shop.ledger.drafts.every()[0].draft_id
    page = driving.signed_in(with_camera, server, PHONE)
    driving.opened(page, f"{server.address}/?draft={draft}&step=heater")
    driving.unfold(page, CARD)
    driving.tap_switch(page, "With this device's camera")
    shutter = page.get_by_role("button", name="Take Photo")
    expect(shutter).to_be_enabled()
    sound(page)
    driving.settle(page)
    page.wait_for_function(FILMING)
    shutter.click()
    picture = page.get_by_alt_text(CARD)
    expect(picture).to_be_visible()
    driving.settle(page)
    sound(page)

    page.reload()
    driving.settle(page)
    assert driving.heading(page) == "Heater"
    driving.unfold(page, CARD)
    expect(picture).to_be_visible()
    assert picture.evaluate("each => each.naturalWidth") > 100

    [photo] = shop.ledger.photos.of_visit(draft)
    jpeg = shop.ledger.photos.jpeg(photo.photo_id)
    shop.close()
    assert (photo.kind, photo.taken_by) == ("plate", wiring.DEMO_PERSON)
    assert len(jpeg) <= 400_000
    with Image.open(BytesIO(jpeg)) as kept:
        assert kept.format == "JPEG"
        assert not kept.getexif()
        assert set(kept.info) <= {"jfif", "jfif_version", "jfif_unit", "jfif_density"}
        assert max(kept.size) <= 1280
    assert "Traceback" not in server.log()
    page.close()
