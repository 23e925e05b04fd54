"""Money, margin and labor rate against printed values. Source beside each."""

from __future__ import annotations

from decimal import Decimal
from typing import NamedTuple

import pytest

from estimator.labor_rate import LaborRateBasis, labor_rate
from estimator.money import to_cents
from estimator.price_lines import part_price
from estimator.rates import MarkupBand, PartPricing

FAYETTEVILLE = "City code of Fayetteville, West Virginia, 777.05: third decimal over four rounds up"
REMODELING = "Remodeling magazine, labor-only jobs: 31.30 + 20.34 = 51.64 $/h before profit"


class Row(NamedTuple):
    """One printed value: what goes in, the value as printed, and where."""

    given: str
    printed: str
    source: str


ROUNDED = (
    Row("0.014", "0.01", FAYETTEVILLE),
    Row("0.015", "0.02", FAYETTEVILLE),
    Row("10.0049", "10.00", FAYETTEVILLE),
    Row("10.005", "10.01", FAYETTEVILLE),
    Row("2.675", "2.68", f"{FAYETTEVILLE}; a binary float gives 2.67"),
    Row("1.005", "1.01", f"{FAYETTEVILLE}; a binary float gives 1.00"),
)


@pytest.mark.parametrize("row", ROUNDED, ids=lambda row: row.given)
def test_to_cents_against_tax_code(row: Row) -> None:
    assert to_cents(Decimal(row.given)) == Decimal(row.printed), row.source


def test_binary_floats_do_round_these_the_other_way() -> None:
    """The reason for the exact type; if this ever fails, the note on it is out of date."""
    assert (round(2.675, 2), round(1.005, 2)) == (2.67, 1.00)


MARGIN_MARKUP = (
    # margin = markup / (1 + markup); identity printed in any cost-accounting text
    ("0.20", "0.25"),
    ("0.25", "0.3333333333"),
    ("0.50", "1.00"),
)


@pytest.mark.parametrize(("margin", "markup"), MARGIN_MARKUP)
@pytest.mark.parametrize("cost", ["4.00", "18.75", "212.40"])
def test_part_price_against_margin_and_markup_identity(margin: str, markup: str, cost: str) -> None:
    by_margin = PartPricing(target_margin=Decimal(margin))
    by_markup = PartPricing(markup_bands=(MarkupBand(markup=Decimal(markup)),))
    assert part_price(Decimal(cost), None, by_margin) == part_price(Decimal(cost), None, by_markup)


def test_labor_rate_against_remodeling_magazine() -> None:
    hours = Decimal(1912) * Decimal("4.5")
    rate = labor_rate(
        LaborRateBasis(
            wages=Decimal("20.00") * hours,
            burden=Decimal("0.565"),
            overhead=Decimal(175_000),
            billable_hours=hours,
        )
    )
    assert rate.wages_per_h + rate.burden_per_h == Decimal("31.30"), REMODELING
    assert rate.overhead_per_h == Decimal("20.34"), REMODELING
    assert rate.cost_per_h == rate.rate_per_h == Decimal("51.64"), REMODELING
    assert rate.margin_per_h == 0
