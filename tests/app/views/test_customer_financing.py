"""The shop's payment plan: its own monthly figure, with the caution, and nothing else."""

from __future__ import annotations

from decimal import Decimal

import pytest

from app.views.customer import CustomerView, build_customer_view
from app.views.customer_financing import monthly_figure
from estimator.errors import RateSheetTrouble
from estimator.rates import Financing, QuoteTerms, rate_sheet_from, rate_sheet_to
from tests.app import estimates
from tests.app.ledger.support import rate_sheet

PLAN = Financing(per_month_of_1000=Decimal("21.50"), months=60, least_price=Decimal(500))


def view_of(plan: Financing | None, language: str = "en", **estimate: object) -> CustomerView:
    terms: QuoteTerms = estimates.TERMS.model_copy(update={"financing": plan})
    made = estimate.get("estimate") or estimates.estimate()
    return build_customer_view(estimates.visit(), made, estimates.SHOP, terms, language=language)  # type: ignore[arg-type]


def test_a_price_by_the_plan_is_rounded_half_up_to_the_cent() -> None:
    # 1,749.60 / 1,000 x 21.50 = 37.6164; 275.40 is under the least price.
    assert monthly_figure(Decimal("1749.60"), PLAN) == Decimal("37.62")
    assert monthly_figure(Decimal("275.40"), PLAN) is None
    assert monthly_figure(Decimal("500.00"), PLAN) == Decimal("10.75")
    assert monthly_figure(Decimal("0.00"), PLAN.model_copy(update={"least_price": 0})) is None


def test_the_monthly_figure_comes_with_its_caution_and_only_where_there_is_a_plan() -> None:
    without = [note.text for note in view_of(None).notes]
    said = view_of(PLAN).notes
    assert not any("payment plan" in text for text in without)
    lines = [note.text for note in said if note.text not in without]
    assert lines[0] == "Replace: $37.62 a month for 60 months by the shop's own payment plan."
    assert lines[1].startswith("The monthly figure is the shop's own and no offer of credit.")
    assert len(lines) == 2
    assert said[-1].source == "12 CFR 1026.18"


def test_no_path_no_figure_and_no_caution() -> None:
    dear = PLAN.model_copy(update={"least_price": Decimal(5000)})
    assert view_of(dear).notes == view_of(None).notes
    closed = estimates.everything_closed()
    assert view_of(PLAN, estimate=closed).notes == view_of(None, estimate=closed).notes


def test_the_plan_is_said_in_spanish() -> None:
    said = [note.text for note in view_of(PLAN, "es").notes]
    assert any("al mes durante 60 meses" in text for text in said)
    assert any("no es una oferta de crédito" in text for text in said)


def test_a_plan_that_pays_back_less_than_it_lends_is_refused() -> None:
    plan = {"per_month_of_1000": "10", "months": 60}
    values = {**rate_sheet_to(rate_sheet()), "quote": {"financing": plan}}
    with pytest.raises(RateSheetTrouble) as refused:
        rate_sheet_from(values, "rates.toml")
    said = "60 payments of 10 for each 1,000 come to 600, less than what is financed"
    assert said in str(refused.value)
