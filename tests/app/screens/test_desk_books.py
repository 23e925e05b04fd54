"""The books on the page: counted, filtered, and down to the quote."""

from __future__ import annotations

import re
from datetime import UTC, datetime
from html import unescape
from typing import TYPE_CHECKING
from urllib.parse import parse_qs

import pytest

from app import answering, formatting, quoting, visiting, wiring
from app.desk.books import BookFilter
from app.desk.part_costs import part_costs
from app.people.guard import operator
from app.screens import books_quotes
from tests.acting import TESTER
from tests.app.screens.reading import sound, text_of

if TYPE_CHECKING:
    from collections.abc import Callable

    from streamlit.testing.v1 import AppTest

    from app.ledger.records import IssuedQuote
    from app.shop import Shop

    OwnerAt = Callable[[str], AppTest]


def markup_of(page: AppTest) -> str:
    return "".join(block.proto.body for block in page.get("html"))


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
    assert "Quotes 2 Open 1 Accepted 1 Declined 0 Lapsed 0" in text
    assert f"Earned before tax ${margin.revenue:,.2f}" in text
    assert f"Gross margin {formatting.percent(margin.gross_margin)}" in text
    assert "The margin earned is under 45%. Held against a gross margin of 45%." in text
    assert all(quote.number in text for quote in two)
    assert len(page.get("plotly_chart")) == 4


def test_a_filter_narrows_figures_and_list(
    owner_at: OwnerAt, two: tuple[IssuedQuote, IssuedQuote]
) -> None:
    page = owner_at("books")
    people = next(each for each in page.get("button_group") if each.key == "books-people")
    people.set_value(["B. Tester"]).run()
    sound(page)
    text = text_of(page)
    assert "Quotes 1 Open 1 Accepted 0" in text
    assert two[1].number in text
    assert two[0].number not in text


def test_empty_books_are_said_plainly(owner_at: OwnerAt) -> None:
    page = owner_at("books")
    sound(page)
    assert "Quotes 0" in text_of(page)
    assert "Share accepted —" in text_of(page)
    assert "0 quotes. None." in text_of(page)


def test_a_group_leads_to_its_quotes(
    owner_at: OwnerAt, two: tuple[IssuedQuote, IssuedQuote]
) -> None:
    page = owner_at("books")
    links = re.findall(r'href="/books\?([^"]+)"', markup_of(page))
    assert any(link.startswith("finding=") for link in links)
    assert any(link.startswith("age=") for link in links)
    asked = next(link for link in links if link == "finding=element_worn")
    for name, values in parse_qs(unescape(asked)).items():
        page.query_params[name] = values
    page.run()
    sound(page)
    text = text_of(page)
    assert "Quotes of all days: Sensing element worn Quotes 1" in text
    assert two[0].number in text
    assert two[1].number not in text
    page.button(key="books-clear").click().run()
    assert "Quotes of all days Quotes 2" in text_of(page)


def test_an_address_that_asks_for_what_is_not_there_shows_all(
    owner_at: OwnerAt, two: tuple[IssuedQuote, IssuedQuote]
) -> None:
    page = owner_at("books")
    for name, value in (("finding", "no_such"), ("from", "yesterday"), ("person", "<b>")):
        page.query_params[name] = value
    page.run()
    sound(page)
    assert "Quotes of all days Quotes 2" in text_of(page)


def test_quotes_are_leafed_through(
    owner_at: OwnerAt, two: tuple[IssuedQuote, IssuedQuote], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(books_quotes, "LISTED", 1)
    page = owner_at("books")
    assert "2 quotes; these are 1 to 1." in text_of(page)
    assert two[1].number in text_of(page)
    assert page.button(key="books-Later").disabled
    page.button(key="books-Earlier").click().run()
    sound(page)
    assert "2 quotes; these are 2 to 2." in text_of(page)
    assert two[0].number in text_of(page)
    assert two[1].number not in text_of(page)
    assert page.button(key="books-Earlier").disabled


def test_parts_used_are_held_against_todays_offers(
    owner_at: OwnerAt, shop: Shop, two: tuple[IssuedQuote, IssuedQuote]
) -> None:
    page = owner_at("books")
    page.toggle(key="books-costs").set_value(True).run()
    sound(page)
    (cost,) = part_costs(shop, operator("it"), BookFilter(), datetime.now(UTC).date())
    text = text_of(page)
    assert f"{cost.number}, {cost.description}" in text
    assert f"1 piece at ${cost.cost_then:,.2f}; ${cost.cost_now:,.2f} now from" in text
    assert "All that was used, at today's cheapest offers $0.00" in text
