"""The owner's rates: a draft tried, a version brought back, the labor rate built up."""

from __future__ import annotations

from datetime import UTC, datetime
from typing import TYPE_CHECKING

import pytest

from app import formatting, quoting, visiting, wiring
from estimator.errors import LedgerTrouble
from tests.acting import TESTER
from tests.app.screens.reading import box, keys_beside_the_refusal, said_under, sound, text_of

if TYPE_CHECKING:
    from collections.abc import Callable

    from streamlit.testing.v1 import AppTest

    from app.shop import Shop

    OwnerAt = Callable[[str], AppTest]


def test_a_draft_is_tried_on_reference_visits_old_and_new(owner_at: OwnerAt, shop: Shop) -> None:
    page = owner_at("rates")
    box(page, "rates:labor.regular_per_h").set_value("500").run()
    page.button(key="try-visits").click().run()
    sound(page)
    now = visiting.price_visit(
        shop, TESTER, visiting.visit_from(wiring.demo_visit("worn_element"), "the visit")
    )
    text = text_of(page)
    assert f"Now Draft Repair price ${now.estimate.repair.priced.total:,.2f} $" in text
    margin = formatting.percent(now.owner.repair_margin.gross_margin)
    assert f"Repair margin {margin} " in text
    assert "with another price" in text
    assert "Verdict Repair cheaper Repair cheaper" in text
    assert len(shop.ledger.rate_sheets.every()) == 1
    box(page, "rates:labor.regular_per_h").set_value("510").run()
    assert "The draft changed since it was tried." in text_of(page)
    assert "with another price" not in text_of(page)


def test_a_draft_is_tried_on_the_last_quotes(owner_at: OwnerAt, shop: Shop) -> None:
    page = owner_at("rates")
    page.button(key="try-quotes").click().run()
    assert "There is no visit to try the rates on" in page.error[0].value
    assert keys_beside_the_refusal(page) == {"try-visits", "try-quotes"}
    priced = visiting.price_visit(
        shop, TESTER, visiting.visit_from(wiring.demo_visit("thermopile"), "it")
    )
    quote = quoting.issue_quote(shop, priced, TESTER, datetime.now(UTC))
    page.button(key="try-quotes").click().run()
    sound(page)
    assert quote.number in text_of(page)
    # nothing is changed in the draft
    assert "1 visit: 0 with another price, 0 with another verdict." in text_of(page)


def test_a_visit_file_that_is_none_is_said_where_the_draft_is_tried(
    owner_at: OwnerAt, shop: Shop
) -> None:
    own = shop.folder / "reference_visits"
    own.mkdir()
    (own / "torn.toml").write_text("[heater", encoding="utf-8")
    page = owner_at("rates")
    page.button(key="try-visits").click().run()
    assert "torn.toml" in page.error[0].value
    assert keys_beside_the_refusal(page) == {"try-visits", "try-quotes"}
    sound(page.run())


def test_books_that_cannot_be_priced_are_said_where_they_are_asked_for(
    owner_at: OwnerAt, monkeypatch: pytest.MonkeyPatch
) -> None:
    def damaged(*_: object) -> None:
        raise LedgerTrouble("Quote 2026-000001 holds inputs that can no longer be read")

    monkeypatch.setattr("app.screens.rates_trial.what_if", damaged)
    page = owner_at("rates")
    page.button(key="what-if").click().run()
    assert "2026-000001" in page.error[0].value
    assert keys_beside_the_refusal(page) == {"what-if-days", "what-if"}


def test_the_books_are_priced_again_at_the_draft(owner_at: OwnerAt, shop: Shop) -> None:
    priced = visiting.price_visit(
        shop, TESTER, visiting.visit_from(wiring.demo_visit("thermopile"), "it")
    )
    quote = quoting.issue_quote(shop, priced, TESTER, datetime.now(UTC))
    page = owner_at("rates")
    page.button(key="what-if").click().run()
    sound(page)
    same = f"${quote.repair_price:,.2f}"
    assert f"Repairs quoted: 1 Together {same} Change $0.00" in text_of(page)
    box(page, "rates:labor.regular_per_h").set_value("500").run()
    assert "Repairs quoted: 1" not in text_of(page)
    page.button(key="what-if").click().run()
    text = text_of(page)
    assert f"Repairs quoted: 1 Together {same} → $" in text
    assert "Change +$" in text
    assert quote.number in text


def test_a_version_is_brought_back_in_one_step(owner_at: OwnerAt, shop: Shop) -> None:
    page = owner_at("rates")
    box(page, "rates:labor.regular_per_h").set_value("160").run()
    page.button(key="publish").click().run()
    assert "Labor, regular hours: $148/h → $160/h" not in text_of(page)
    assert "Labor, regular hours: $160/h → $148/h" in text_of(page)  # what it would change
    page.button(key="back-1").click().run()
    sound(page)
    assert "Version 3 holds the figures of version 1 from" in text_of(page)
    assert box(page, "rates:labor.regular_per_h").value == "148"
    made = shop.ledger.rate_sheets.every()
    assert [each.sheet.labor.regular_per_h for each in made] == [148, 160, 148]
    assert made[2].sheet == made[0].sheet


def test_publishing_that_is_refused_is_said_in_its_card(
    owner_at: OwnerAt, shop: Shop, monkeypatch: pytest.MonkeyPatch
) -> None:
    def full(*_: object) -> None:
        raise LedgerTrouble("There is no room left on the disk")

    page = owner_at("rates")
    box(page, "rates:labor.regular_per_h").set_value("160").run()
    monkeypatch.setattr("app.publishing.publish_rates", full)
    page.button(key="publish").click().run()
    assert keys_beside_the_refusal(page) == {"holds-from", "publish"}
    assert len(shop.ledger.rate_sheets.every()) == 1


def test_a_file_that_is_no_rate_sheet_is_refused_under_the_file(
    owner_at: OwnerAt, shop: Shop
) -> None:
    page = owner_at("rates")
    page.file_uploader(key="rates-file").set_value(("rates.toml", b"[labor", "text/plain")).run()
    assert list(said_under(page)) == ["rates-file"]
    assert "rates.toml" in said_under(page)["rates-file"]
    sound(page)
    assert box(page, "rates:labor.regular_per_h").value == "148"


def test_a_version_is_opened_in_the_form_to_be_changed(owner_at: OwnerAt, shop: Shop) -> None:
    page = owner_at("rates")
    box(page, "rates:labor.regular_per_h").set_value("160").run()
    page.button(key="publish").click().run()
    page.button(key="open-1").click().run()
    sound(page)
    assert box(page, "rates:labor.regular_per_h").value == "148"
    assert len(shop.ledger.rate_sheets.every()) == 2


def test_a_payment_plan_and_a_target_are_set_and_taken_away(owner_at: OwnerAt, shop: Shop) -> None:
    page = owner_at("rates")
    box(page, "rates:quote.financing.months").set_value("60").run()
    sound(page)
    assert "Payment plan: a month, for each $1,000 is missing" in text_of(page)
    assert page.button(key="publish").disabled
    box(page, "rates:quote.financing.per_month_of_1000").set_value("21,50").run()
    box(page, "rates:quote.target_margin").set_value("20").run()
    assert "You aim at a margin of 20%, and a job under 25% waits for your word" in text_of(page)
    box(page, "rates:quote.target_margin").set_value("40").run()
    page.button(key="publish").click().run()
    sound(page)
    terms = shop.ledger.rate_sheets.every()[-1].sheet.quote
    assert terms.financing is not None
    assert (str(terms.financing.per_month_of_1000), terms.financing.months) == ("21.5", 60)
    assert str(terms.target_margin) == "0.4"
    for path in ("months", "per_month_of_1000"):
        box(page, f"rates:quote.financing.{path}").set_value("").run()
    page.button(key="publish").click().run()
    sound(page)
    assert shop.ledger.rate_sheets.every()[-1].sheet.quote.financing is None


def test_a_place_with_a_tax_of_its_own_is_added_and_published(
    owner_at: OwnerAt, shop: Shop
) -> None:
    page = owner_at("rates")
    page.button(key="place-more").click().run()
    assert "Place is needed." in text_of(page)
    assert page.button(key="publish").disabled
    box(page, "rates:tax.places.0.name").set_value("North").run()
    box(page, "rates:tax.places.0.rate").set_value("8,25").run()
    sound(page)
    assert "Tax, places: none → North 8.25%" in text_of(page)
    page.button(key="publish").click().run()
    sound(page)
    (place,) = shop.ledger.rate_sheets.every()[-1].sheet.tax.places
    assert (place.name, str(place.rate), place.taxable) == ("North", "0.0825", None)
    page.button(key="place-less").click().run()
    assert "Tax, places: North 8.25% → none" in text_of(page)


def test_labor_rate_against_the_published_build_up(owner_at: OwnerAt) -> None:
    """Remodeling magazine, on labor-only jobs: 20.00 $/h with 56.5 % burden is 31.30;
    175,000 over 1,912 h times 4.5 workers is 20.34; together 51.64 $/h before profit."""
    page = owner_at("rates")
    for name, value in (
        ("wage_per_h", "20,00"),
        ("workers", "4,5"),
        ("paid_hours", "1,912"),
        ("billable_hours", "1912 h"),
        ("burden.Other burden", "56,5 %"),
        ("overhead.Other overhead", "$175,000"),
        ("target_margin", "50"),
    ):
        box(page, f"build:{name}").set_value(value)
    page.run()
    sound(page)
    text = text_of(page)
    assert "Other overhead $20.34/h" in text
    assert "An hour costs you $51.64/h" in text
    assert "Labor rate $103.28/h" in text
    assert "1,530 billable hours a worker $129.10/h (+$25.82)" in text
    page.button(key="take-labor").click().run()
    assert box(page, "rates:labor.regular_per_h").value == "103.28"
    assert box(page, "rates:labor.cost_per_h").value == "51.64"
    box(page, "build:target_margin").set_value("100").run()
    assert "Margin wanted on labor is 100%; it must be below 100%." in text_of(page)
    assert not [each for each in page.button if each.key == "take-labor"]
