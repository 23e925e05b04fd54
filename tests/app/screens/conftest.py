"""Screens run without a browser, over a demo shop of the test's own."""

from __future__ import annotations

from datetime import UTC, datetime
from pathlib import Path
from typing import TYPE_CHECKING, Any

import pytest
from streamlit.testing.v1 import AppTest

from app import session, visiting, wiring
from app.people.accounts import DEMO_OWNER, DEMO_PASSWORD, DEMO_TECHNICIAN
from app.people.signing_in import sign_in
from tests.acting import TESTER

if TYPE_CHECKING:
    from collections.abc import Callable

    from app.shop import Shop

MAIN = Path(__file__).resolve().parents[3] / "app" / "main.py"

Open = "Callable[..., AppTest]"


def signed_in(page: AppTest, shop: Shop, name: str = DEMO_TECHNICIAN) -> AppTest:
    """Sign one of the demo shop's people in on a page that has not run yet."""
    token = sign_in(shop, name, DEMO_PASSWORD, datetime.now(UTC)).token
    page.session_state[session.TOKEN] = token
    return page


@pytest.fixture
def open_page(shop: Shop, monkeypatch: pytest.MonkeyPatch) -> Callable[..., AppTest]:
    """Return a function that opens the page at an address, as the technician unless told."""
    monkeypatch.setenv("HEATER_SHOP", str(shop.folder))

    def opened(by: str | None = DEMO_TECHNICIAN, **address: str) -> AppTest:
        page = AppTest.from_file(str(MAIN), default_timeout=300)
        if by is not None:
            signed_in(page, shop, by)
        for key, value in address.items():
            page.query_params[key] = value
        return page.run()

    return opened


def _screen(name: str) -> None:
    # the function's source is run on its own, so it imports what it needs
    from importlib import import_module  # noqa: PLC0415

    import_module(f"app.screens.{name}").show_page()


@pytest.fixture
def owner_at(shop: Shop, monkeypatch: pytest.MonkeyPatch) -> Callable[..., AppTest]:
    """Return a function that opens one screen at an address, as the owner unless told."""
    monkeypatch.setenv("HEATER_SHOP", str(shop.folder))

    def opened(name: str, by: str = DEMO_OWNER, **address: str) -> AppTest:
        page = AppTest.from_function(_screen, default_timeout=300, args=(name,))
        for key, value in address.items():
            page.query_params[key] = value
        return signed_in(page, shop, by).run()

    return opened


@pytest.fixture
def start_draft(shop: Shop) -> Callable[[dict[str, Any]], str]:
    """Return a function that starts a draft with a payload and gives its id."""

    def started(payload: dict[str, Any]) -> str:
        return visiting.start_visit(shop, TESTER, datetime.now(UTC), payload).draft_id

    return started


@pytest.fixture
def demo_draft(start_draft: Callable[[dict[str, Any]], str]) -> str:
    """The worn-element visit as a draft."""
    return start_draft(wiring.demo_visit("worn_element"))
