"""The owner's rates: a draft tried, a version brought back, the labor rate built up."""

from __future__ import annotations

from datetime import UTC, datetime
from typing import TYPE_CHECKING

from app import quoting, visiting, wiring
from tests.acting import TESTER
from tests.app.screens.reading import sound, text_of

if TYPE_CHECKING:
    from collections.abc import Callable

    from streamlit.testing.v1 import AppTest

    from app.shop import Shop

    OwnerAt = Callable[[str], AppTest]


def test_a_draft_is_tried_on_reference_visits_old_and_new(owner_at: OwnerAt, shop: Shop) -> None:
    page = owner_at("rates")
    page.text_input(key="rates:labor.regular_per_h").set_value("500").run()
    page.button(key="try-visits").click().run()
    sound(page)
    now = visiting.price_visit(
        shop, TESTER, visiting.visit_from(wiring.demo_visit("worn_element"), "the visit")
    )
    text = text_of(page)
    assert f"Now Repair ${now.estimate.repair.priced.total:,.2f}" in text
    assert f"margin {now.owner.repair_margin.gross_margin * 100:.1f}%" in text
    assert "repairs: $" in text
    assert "Replace closed" in text
    assert len(shop.ledger.rate_sheets()) == 1
    page.text_input(key="rates:labor.regular_per_h").set_value("510").run()
    assert "The draft changed since it was tried." in text_of(page)
    assert "repairs: $" not in text_of(page)


def test_a_draft_is_tried_on_the_last_quotes(owner_at: OwnerAt, shop: Shop) -> None:
    page = owner_at("rates")
    page.button(key="try-quotes").click().run()
    assert "There is no visit to try the rates on" in page.error[0].value
    priced = visiting.price_visit(
        shop, TESTER, visiting.visit_from(wiring.demo_visit("thermopile"), "it")
    )
    quote = quoting.issue_quote(shop, priced, TESTER, datetime.now(UTC))
    page.button(key="try-quotes").click().run()
    sound(page)
    assert quote.number in text_of(page)
    assert "0 verdicts turn." in text_of(page)  # nothing is changed in the draft


def test_the_books_are_priced_again_at_the_draft(owner_at: OwnerAt, shop: Shop) -> None:
    priced = visiting.price_visit(
        shop, TESTER, visiting.visit_from(wiring.demo_visit("thermopile"), "it")
    )
    quote = quoting.issue_quote(shop, priced, TESTER, datetime.now(UTC))
    page = owner_at("rates")
    page.button(key="what-if").click().run()
    sound(page)
    same = f"${quote.repair_price:,.2f}"
    assert f"Repairs: 1 jobs {same} → {same}" in text_of(page)
    page.text_input(key="rates:labor.regular_per_h").set_value("500").run()
    assert "Repairs: 1 jobs" not in text_of(page)
    page.button(key="what-if").click().run()
    assert f"Repairs: 1 jobs {same} → $" in text_of(page)
    assert f"{same} → {same}" not in text_of(page).split("New heaters")[0]


def test_a_version_is_brought_back_as_a_new_one(owner_at: OwnerAt, shop: Shop) -> None:
    page = owner_at("rates")
    page.text_input(key="rates:labor.regular_per_h").set_value("160").run()
    page.button(key="publish").click().run()
    page.button(key="back-1").click().run()
    sound(page)
    assert "Labor, regular hours: $160/h → $148/h" in text_of(page)
    page.button(key="publish").click().run()
    sound(page)
    made = shop.ledger.rate_sheets()
    assert [each.sheet.labor.regular_per_h for each in made] == [148, 160, 148]


def test_labor_rate_against_the_published_build_up(owner_at: OwnerAt) -> None:
    """Remodeling magazine, on labor-only jobs: 20.00 $/h with 56.5 % burden is 31.30;
    175,000 over 1,912 h times 4.5 workers is 20.34; together 51.64 $/h before profit."""
    page = owner_at("rates")
    for name, value in (
        ("wage_per_h", 20.0),
        ("workers", 4.5),
        ("paid_hours", 1912.0),
        ("billable_hours", 1912.0),
        ("burden", 56.5),
        ("overhead", 175_000.0),
        ("target_margin", 50.0),
    ):
        page.number_input(key=f"build-{name}").set_value(value)
    page.run()
    sound(page)
    text = text_of(page)
    assert "Overhead $20.34/h" in text
    assert "An hour costs you $51.64/h" in text
    assert "Labor rate $103.28/h" in text
    page.button(key="take-labor").click().run()
    assert page.text_input(key="rates:labor.regular_per_h").value == "103.28"
    page.number_input(key="build-target_margin").set_value(100.0).run()
    assert "target_margin" in text_of(page)
