"""A job under the margin floor: the technician asks, the owner allows it once, both are kept."""

from __future__ import annotations

from datetime import UTC, datetime
from decimal import Decimal
from typing import TYPE_CHECKING, Any

import pytest

from app import publishing, wiring
from app.people.accounts import DEMO_TECHNICIAN
from app.people.guard import operator
from tests.acting import TESTER
from tests.app.screens.reading import asked, said_under, sound, text_of

if TYPE_CHECKING:
    from collections.abc import Callable

    from streamlit.testing.v1 import AppTest

    from app.shop import Shop

    OpenPage = Callable[..., AppTest]


@pytest.fixture
def low_draft(shop: Shop, start_draft: Callable[[dict[str, Any]], str]) -> str:
    """A visit whose jobs lie under a floor that the owner raised."""
    now = datetime.now(UTC)
    sheet = publishing.rate_sheet_on(shop, TESTER, now.date()).sheet
    quote = sheet.quote.model_copy(update={"margin_floor": Decimal("0.9")})
    day = wiring.DEMO_RATES_HOLD_FROM
    publishing.publish_rates(
        shop, sheet.model_copy(update={"quote": quote}), day, operator("owner"), now
    )
    return start_draft(wiring.demo_visit("worn_element"))


def test_technician_asks_and_sees_no_figure_of_cost(
    open_page: OpenPage, low_draft: str, shop: Shop
) -> None:
    page = open_page(draft=low_draft, step="show")
    sound(page)
    text = text_of(page)
    assert "The owner must allow:" in text
    assert "90" not in text.split("The owner must allow:")[1]
    assert "margin" not in text.lower()
    assert not [each for each in page.button if each.key == "issue"]
    page.text_area(key="ask-note").set_value("x" * 501).run()
    page.button(key="ask-owner").click().run()
    assert said_under(page)["ask-note"].startswith("The note has 501 characters; at most 500")
    page.text_area(key="ask-note").set_value("A neighbor of ours").run()
    page.button(key="ask-owner").click().run()
    sound(page)
    assert "Asked." in text_of(page)
    [kept] = shop.ledger.allowances.every(undecided=True)
    assert (kept.asked_by, kept.note) == (DEMO_TECHNICIAN, "A neighbor of ours")


def test_owner_allows_once_with_a_reason_and_the_technician_issues(
    open_page: OpenPage, owner_at: Callable[[str], AppTest], low_draft: str, shop: Shop
) -> None:
    page = open_page(draft=low_draft, step="show")
    page.button(key="ask-owner").click().run()
    [kept] = shop.ledger.allowances.every(undecided=True)

    desk = owner_at("desk")
    text = text_of(desk)
    assert "floor 90.0%" in text
    assert "Asked by Demo technician (invented)" in text
    desk.button(key=f"allow-{kept.allowance_id}").click().run()
    reason = f"reason-{kept.allowance_id}"
    assert said_under(desk) == {reason: "There is no reason. Say why, for the books."}
    sound(desk)
    desk.text_input(key=reason).set_value("x" * 501).run()
    desk.button(key=f"deny-{kept.allowance_id}").click().run()
    assert said_under(desk)[reason].startswith("The reason has 501 characters; at most 500")
    desk.text_input(key=f"reason-{kept.allowance_id}").set_value("First job here").run()
    desk.button(key=f"allow-{kept.allowance_id}").click().run()
    sound(desk)
    assert "Allowed by Demo owner (invented): First job here" in text_of(desk)

    page.run()
    assert "allows this job once" in text_of(page)
    page.button(key="issue").click().run()
    sound(page)
    assert asked(page, "issued")
    journal = [line.action for line in shop.ledger.journal.lines(20)]
    assert {"ask for allowance", "allow under the floor"} <= set(journal)


def test_a_request_that_another_owner_decided_meanwhile_is_said(
    open_page: OpenPage, owner_at: Callable[[str], AppTest], low_draft: str, shop: Shop
) -> None:
    open_page(draft=low_draft, step="show").button(key="ask-owner").click().run()
    [kept] = shop.ledger.allowances.every(undecided=True)
    desk = owner_at("desk")
    now = datetime.now(UTC)
    shop.ledger.allowances.decide(kept.allowance_id, "denied", "Too low", "Other owner", now)
    desk.text_input(key=f"reason-{kept.allowance_id}").set_value("First job here")
    desk.button(key=f"allow-{kept.allowance_id}").click().run()
    assert [each.value for each in desk.error] == [
        "This request was denied already by Other owner. Ask again if it must be decided anew."
    ]
    sound(desk.run())


def test_owner_refuses_and_the_job_stays_closed(
    open_page: OpenPage, owner_at: Callable[[str], AppTest], low_draft: str, shop: Shop
) -> None:
    page = open_page(draft=low_draft, step="show")
    page.button(key="ask-owner").click().run()
    [kept] = shop.ledger.allowances.every(undecided=True)
    desk = owner_at("desk")
    desk.text_input(key=f"reason-{kept.allowance_id}").set_value("Too low").run()
    desk.button(key=f"deny-{kept.allowance_id}").click().run()
    page.run()
    assert "says no. Too low" in text_of(page)
    assert not [each for each in page.button if each.key == "issue"]
