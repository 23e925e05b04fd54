"""The books on the page: counted, filtered, and down to the quote."""

from __future__ import annotations

from datetime import UTC, datetime
from typing import TYPE_CHECKING

import pytest

from app import answering, quoting, visiting, wiring
from app.people.guard import operator
from tests.acting import TESTER
from tests.app.screens.reading import sound, text_of

if TYPE_CHECKING:
    from collections.abc import Callable

    from streamlit.testing.v1 import AppTest

    from app.ledger.records import IssuedQuote
    from app.shop import Shop

    OwnerAt = Callable[[str], AppTest]


@pytest.fixture
def two(shop: Shop) -> tuple[IssuedQuote, IssuedQuote]:
    """A repair that was accepted and one that waits."""
    made = []
    now = datetime.now(UTC)
    for name, by in (("worn_element", "A. Tester"), ("thermopile", "B. Tester")):
        priced = visiting.price_visit(
            shop, TESTER, visiting.visit_from(wiring.demo_visit(name), name)
        )
        made.append(quoting.issue_quote(shop, priced, operator(by), now))
    answering.accept(shop, operator("it"), made[0], "repair", "J. Sample", "I agree.", now)
    return made[0], made[1]


def test_books_say_what_was_taken_and_earned(
    owner_at: OwnerAt, shop: Shop, two: tuple[IssuedQuote, IssuedQuote]
) -> None:
    page = owner_at("books")
    sound(page)
    text = text_of(page)
    margin = quoting.owner_results(shop, TESTER, two[0]).repair_margin
    assert "Quotes 2 Waiting for an answer 1" in text
    assert f"Earned before tax ${margin.revenue:,.2f}" in text
    assert f"(target 45.0%) {margin.gross_margin * 100:.1f}%" in text
    assert all(quote.number in text for quote in two)
    assert len(page.get("plotly_chart")) == 1


def test_a_filter_narrows_figures_and_list(
    owner_at: OwnerAt, two: tuple[IssuedQuote, IssuedQuote]
) -> None:
    page = owner_at("books")
    people = next(each for each in page.get("button_group") if each.key == "books-people")
    people.set_value(["B. Tester"]).run()
    sound(page)
    text = text_of(page)
    assert "Quotes 1 Waiting for an answer 1" in text
    assert two[1].number in text
    assert two[0].number not in text


def test_empty_books_are_said_plainly(owner_at: OwnerAt) -> None:
    page = owner_at("books")
    sound(page)
    assert "Quotes 0" in text_of(page)
    assert "Share accepted none yet" in text_of(page)
