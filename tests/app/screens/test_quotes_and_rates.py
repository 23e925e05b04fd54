"""The list of quotes, the customer's view and the owner's rate sheet, without a browser."""

from __future__ import annotations

from datetime import UTC, date, datetime
from decimal import Decimal
from typing import TYPE_CHECKING, Any

import pytest
from streamlit.testing.v1 import AppTest

from app import publishing, quoting, visiting, wiring
from app.people.accounts import DEMO_OWNER
from tests.acting import TESTER
from tests.app.screens.conftest import signed_in
from tests.app.screens.reading import box, sound, text_of

if TYPE_CHECKING:
    from collections.abc import Callable

    from app.ledger.records import IssuedQuote
    from app.shop import Shop


def quotes_page() -> None:
    # the function's source is run on its own, so it imports what it needs
    from app.screens import quotes  # noqa: PLC0415

    quotes.show_page()


def rates_page() -> None:
    from app.screens import rates  # noqa: PLC0415

    rates.show_page()


@pytest.fixture
def issued(shop: Shop, monkeypatch: pytest.MonkeyPatch) -> IssuedQuote:
    monkeypatch.setenv("HEATER_SHOP", str(shop.folder))
    visit = visiting.visit_from(wiring.demo_visit("worn_element"), "the demo visit")
    priced = visiting.price_visit(shop, TESTER, visit)
    return quoting.issue_quote(shop, priced, TESTER, datetime.now(UTC))


@pytest.fixture
def rates(shop: Shop, monkeypatch: pytest.MonkeyPatch) -> AppTest:
    monkeypatch.setenv("HEATER_SHOP", str(shop.folder))
    page = AppTest.from_function(rates_page, default_timeout=300)
    return signed_in(page, shop, DEMO_OWNER).run()


def test_quotes_lists_the_issued_with_prices_and_validity(issued: IssuedQuote, shop: Shop) -> None:
    page = signed_in(AppTest.from_function(quotes_page, default_timeout=300), shop).run()
    sound(page)
    text = text_of(page)
    assert issued.number in text
    assert f"${issued.repair_price:,.2f}" in text
    assert "Repair cheaper" in text
    assert "Holds until" in text
    assert "by A. Tester" in text


def test_quotes_says_so_when_there_is_none(shop: Shop, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("HEATER_SHOP", str(shop.folder))
    page = signed_in(AppTest.from_function(quotes_page, default_timeout=300), shop).run()
    sound(page)
    assert "No quote is issued yet." in text_of(page)


def test_customer_sees_both_paths_and_nothing_of_the_shop_inside(
    issued: IssuedQuote, open_page: Callable[..., AppTest]
) -> None:
    page = open_page(quote=issued.number)
    sound(page)
    text = text_of(page)
    assert f"Quote {issued.number}" in text
    assert "Repair Replace" in text
    assert f"${issued.repair_price:,.2f}" in text
    assert not page.button, "the customer's page has no button of the technician's"
    assert page.radio[0].value is None, "nothing is chosen beforehand"
    assert "margin" not in text.lower()
    assert "markup" not in text.lower()


def test_customer_of_a_quote_that_is_not_there_is_told_so(
    open_page: Callable[..., AppTest],
) -> None:
    page = open_page(quote="Q-NONE")
    assert not page.exception
    [said] = [each.value for each in page.error]
    assert "Q-NONE" in said


def field(page: AppTest, path: str) -> Any:
    return box(page, f"rates:{path}")


def test_rates_shows_the_sheet_in_force_and_what_parts_sell_for(rates: AppTest) -> None:
    sound(rates)
    text = text_of(rates)
    assert "Version 1 holds since January 1, 2026." in text
    assert "A part that costs you $10 $30.00" in text  # markup 200 % up to $15
    assert "A part that costs you $300 $495.00" in text  # markup 65 % above $150
    assert field(rates, "labor.regular_per_h").value == "148"
    assert field(rates, "tax.rate").value == "7.25"
    assert rates.button(key="publish").disabled


def test_rates_publishes_a_new_version_and_keeps_the_old(rates: AppTest, shop: Shop) -> None:
    field(rates, "labor.regular_per_h").set_value("160").run()
    field(rates, "tax.rate").set_value("8.1").run()
    assert "Labor, regular hours: $148/h → $160/h" in text_of(rates)
    assert "Tax, sales tax: 7.25% → 8.1%" in text_of(rates)
    rates.date_input(key="holds-from").set_value(date(2026, 11, 24)).run()
    rates.button(key="publish").click().run()
    sound(rates)
    assert "Version 2 is published." in text_of(rates)
    made = publishing.rate_sheet_on(shop, TESTER, date(2026, 11, 24))
    assert made.version == 2
    assert made.sheet.labor.regular_per_h == Decimal(160)
    assert made.sheet.tax.rate == Decimal("0.081")
    assert (
        publishing.rate_sheet_on(shop, TESTER, date(2026, 11, 23)).sheet.labor.regular_per_h == 148
    )


def test_rates_turns_markup_bands_into_a_target_margin_and_back(rates: AppTest, shop: Shop) -> None:
    way = rates.get("button_group")[0]
    way.set_value("margin").run()
    assert "Target margin is needed." in text_of(rates)
    field(rates, "parts.target_margin").set_value("50").run()
    sound(rates)
    assert "A part that costs you $40 $80.00" in text_of(rates)  # 50 % margin doubles the cost
    rates.button(key="publish").click().run()
    parts = publishing.rate_sheet_on(shop, TESTER, datetime.now(UTC).date()).sheet.parts
    assert parts.target_margin == Decimal("0.5")
    assert parts.markup_bands == ()


def test_rates_adds_a_band_and_takes_it_away(rates: AppTest) -> None:
    rates.button(key="band-more").click().run()
    assert "Cost up to is needed." in text_of(rates)
    rates.button(key="band-less").click().run()
    assert "is needed" not in text_of(rates)
    assert "Nothing is changed yet." in text_of(rates)


@pytest.mark.parametrize(
    ("path", "value", "said"),
    [
        ("labor.regular_per_h", "-5", "Regular hours is -5; it must be 0 or more."),
        ("labor.regular_per_h", None, "Regular hours is needed."),
        ("labor.access_factor.tight", "0.5", "Tight access is 0.5; it must be 1 or more."),
        ("tax.rate", "120", "Sales tax is 120%; it must be below 100%."),
        ("quote.margin_floor", "-1", "No job under a margin of is -1%; it must be 0% or more."),
        (
            "parts.markup_bands.0.up_to_cost",
            "400",
            "Parts: the markup bands do not rise in cost; put the cheapest first.",
        ),
    ],
)
def test_rates_says_at_the_field_what_cannot_be_and_does_not_publish(
    rates: AppTest, shop: Shop, path: str, value: str | None, said: str
) -> None:
    field(rates, "trip.amount").set_value("99").run()
    field(rates, path).set_value(value or "").run()
    sound(rates)
    assert said in text_of(rates)
    assert rates.button(key="publish").disabled
    assert field(rates, "trip.amount").value == "99"
    assert len(shop.ledger.rate_sheets.every()) == 1
