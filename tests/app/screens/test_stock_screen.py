"""What the pages say of stock set aside on the van and at the branch, from the tick to the list."""

from __future__ import annotations

from datetime import UTC, datetime
from typing import TYPE_CHECKING, Any

import pytest

from app import quoting, reserving, visiting, wiring
from catalog.offers import stock
from tests.acting import TESTER
from tests.app.screens.reading import asked, sound, text_of

if TYPE_CHECKING:
    from collections.abc import Callable

    from streamlit.testing.v1 import AppTest

    from app.ledger.records import IssuedQuote
    from app.shop import Shop

VAN, BRANCH = "van-1", "branch-1"
NUMBER = "SE-20104"


def payload() -> dict[str, Any]:
    """Return the worn-element visit of today with its element picked, wherever that lies."""
    visit = wiring.demo_visit("worn_element")
    visit["work"] = {**visit["work"], "part_number": NUMBER}
    visit["visit"] = {**visit["visit"], "date": datetime.now(UTC).date().isoformat()}
    return visit


def issue(shop: Shop) -> IssuedQuote:
    priced = visiting.price_visit(shop, TESTER, visiting.visit_from(payload(), "a visit"))
    return quoting.issue_quote(shop, priced, TESTER, datetime.now(UTC), reserve=True)


def free(shop: Shop) -> tuple[int, int]:
    found = stock(reserving.free_catalog(shop, datetime.now(UTC).date()), NUMBER, VAN)
    return found.van, found.branch


def hold_the_van(shop: Shop) -> int:
    """Let quotes hold every piece on the van; return how many are free at the branch."""
    on_van, at_branch = free(shop)
    for _ in range(on_van):
        issue(shop)
    assert free(shop) == (0, at_branch)
    return at_branch


@pytest.mark.parametrize("step", ["part", "show"])
def test_the_steps_of_a_visit_say_where_the_part_is_free(
    step: str,
    open_page: Callable[..., AppTest],
    start_draft: Callable[[dict[str, Any]], str],
    shop: Shop,
) -> None:
    draft = start_draft(payload())
    at_branch = hold_the_van(shop)
    page = open_page(draft=draft, step=step)
    sound(page)
    if step == "part":
        assert f"{at_branch} at the branch, none on the van" in text_of(page)
    else:
        [tick] = page.toggle
        assert tick.label.startswith(f"Set the parts aside on {VAN}: ")
        assert f"at the branch: {NUMBER}" in tick.label
    for _ in range(at_branch):
        issue(shop)
    page = open_page(draft=draft, step=step)
    sound(page)
    if step == "part":
        assert f"{at_branch} at the branch, none on the van" not in text_of(page).split("✗")[0]
        assert "To order, 2 days" in text_of(page)
    else:
        assert not page.toggle  # nothing of it is free, so nothing is asked


def test_a_quote_issued_on_the_page_says_that_it_holds_a_piece_at_the_branch(
    open_page: Callable[..., AppTest],
    start_draft: Callable[[dict[str, Any]], str],
    shop: Shop,
) -> None:
    draft = start_draft(payload())
    at_branch = hold_the_van(shop)
    page = open_page(draft=draft, step="show")
    page.toggle[0].set_value(True).run()
    page.button(key="issue").click().run()
    sound(page)
    number = asked(page, "issued")
    assert f"1 of {NUMBER} set aside at {BRANCH} until " in text_of(page)
    assert free(shop) == (0, at_branch - 1)
    page.button(key=f"let-go-{number}").click().run()
    sound(page)
    assert f"{NUMBER} was set aside and let go again." in text_of(page)
    assert free(shop) == (0, at_branch)


def test_the_branch_is_a_place_of_the_stock_page(
    owner_at: Callable[..., AppTest], shop: Shop
) -> None:
    on_van, _ = free(shop)
    at_branch = hold_the_van(shop)
    quote = issue(shop)
    page = owner_at("stock")
    page.selectbox(key="van").set_value(BRANCH).run()
    sound(page)
    said = text_of(page)
    assert f"Quote {quote.number}" in said
    assert f"At {BRANCH}: 1 of {NUMBER}" in said
    assert said.count("Let go what") == 1  # the other quotes hold nothing at the branch
    assert f"All at {BRANCH}" in said
    assert f"{NUMBER} {at_branch - 1} free, 1 set aside" in said
    assert "Runs low" not in said
    page.selectbox(key="van").set_value(VAN).run()
    sound(page)
    said = text_of(page)
    assert "Runs low" in said
    assert f"{NUMBER} ! 0 free, {on_van} set aside" in said
    assert at_branch > 1
    bring = said[said.index(f"{NUMBER} Bring") :]
    assert bring.index(f"{at_branch - 1} at the branch") < bring.index("free. ")
    page.button(key=f"let-go-{quote.number}").click().run()
    assert free(shop) == (0, at_branch)


def test_a_card_says_all_that_its_button_lets_go(
    owner_at: Callable[..., AppTest], shop: Shop
) -> None:
    hold_the_van(shop)
    quote = issue(shop)  # its element lies at the branch, what goes with it on the van
    held = shop.ledger.reservations.of(quote.number)
    assert [each.place for each in held] == [BRANCH, VAN]
    page = owner_at("stock")
    for place in (VAN, BRANCH):
        page.selectbox(key="van").set_value(place).run()
        there = {each.place: f"{each.pieces} of {each.part}" for each in held}
        assert (
            f"Quote {quote.number} On {VAN}: {there[VAN]} At {BRANCH}: {there[BRANCH]} until "
            in text_of(page)
        )
    page.button(key=f"let-go-{quote.number}").click().run()
    sound(page)
    assert all(each.released_at for each in shop.ledger.reservations.of(quote.number))
