"""The page served from a demo shop of its own, and Debian's Chromium to drive it."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import pytest
from playwright.sync_api import sync_playwright

from tests.browser.driving import made_patient
from tests.browser.serving import FLAGS, NO_BROWSER, Server, chromium

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path

    from playwright.sync_api import Browser, Page


@pytest.fixture(scope="session")
def browser() -> Iterator[Browser]:
    found = chromium()
    if found is None:  # a failure here and under CI alike: nothing is skipped in silence
        pytest.fail(NO_BROWSER)
    with sync_playwright() as play:
        driven = play.chromium.launch(executable_path=found, args=FLAGS)
        plain = driven.new_page

        def new_page(**how: Any) -> Page:
            return made_patient(plain(**how))

        driven.new_page = new_page  # type: ignore[method-assign]
        yield driven
        driven.close()


@pytest.fixture
def server(shop_folder: Path) -> Iterator[Server]:
    served = Server(shop_folder)
    served.start()
    yield served
    served.stop()
