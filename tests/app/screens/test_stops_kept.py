"""A stop that was corrected stays to be seen on the visit and on its quote, by the shop alone."""

from __future__ import annotations

from typing import TYPE_CHECKING

from app.people.accounts import DEMO_OWNER, DEMO_TECHNICIAN
from tests.app.screens.reading import asked, box, sound, text_of

if TYPE_CHECKING:
    from collections.abc import Callable

    from streamlit.testing.v1 import AppTest

    from app.shop import Shop

    OpenPage = Callable[..., AppTest]

KEPT = "Inlet pressure, standing: 15 in wc, then 7 in wc"
WHY = "The inlet pressure is above 14 in wc"


def corrected(open_page: OpenPage, draft: str) -> AppTest:
    page = open_page(draft=draft, step="finding")
    inlet = f"{draft}:readings.inlet_standing_in_wc"
    page.text_input(key=inlet).set_value("15").run()
    assert WHY in text_of(page)
    assert KEPT not in text_of(page)
    page.text_input(key=inlet).set_value("7").run()
    sound(page)
    return page


def test_the_visit_shows_what_was_corrected_by_whom_also_after_a_reload(
    open_page: OpenPage, demo_draft: str
) -> None:
    said = text_of(corrected(open_page, demo_draft))
    again = text_of(open_page(draft=demo_draft, step="finding"))
    for text in (said, again):
        assert "Stops that were corrected: 1" in text
        assert KEPT in text
        assert f"to {DEMO_TECHNICIAN}" in text
        assert f"by {DEMO_TECHNICIAN}" in text


def test_the_quote_carries_it_to_the_shop_and_not_to_the_customer(
    open_page: OpenPage, demo_draft: str, shop: Shop
) -> None:
    page = corrected(open_page, demo_draft)
    page.button(key="to-show").click().run()
    assert KEPT not in text_of(page)
    page.button(key="issue").click().run()
    sound(page)
    number = asked(page, "issued") or ""
    assert KEPT in text_of(page)
    assert KEPT in text_of(open_page(by=DEMO_OWNER, issued=number))
    for by in (DEMO_OWNER, DEMO_TECHNICIAN):
        turned = text_of(open_page(by=by, quote=number))
        assert number in turned
        assert KEPT not in turned
        assert "corrected" not in turned


def test_no_step_of_a_stopped_visit_shows_a_price_of_the_repair(
    open_page: OpenPage, demo_draft: str
) -> None:
    page = open_page(draft=demo_draft, step="finding")
    box(page, f"{demo_draft}:readings.inlet_standing_in_wc").set_value("15").run()
    for step in ("price", "show"):
        page.button(key=f"to-{step}").click().run()
        assert WHY in text_of(page) or "gas pressure" in text_of(page)
        assert "$217.26" not in text_of(page)
