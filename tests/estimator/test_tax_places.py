"""Sales tax by place: the rate and the kinds of a place, and nothing else of the sheet."""

from __future__ import annotations

from decimal import Decimal

import pytest

from estimator.errors import InputTrouble, RateSheetTrouble
from estimator.priced_job import Job
from estimator.pricing import price_job
from estimator.rates import LineKind, RateSheet, rate_sheet_from, rate_sheet_to
from estimator.supply import Operation
from tests.app.ledger.support import rate_sheet

PLACES = [
    {"name": "North", "rate": "0.0825"},
    {"name": "South", "rate": "0.06", "taxable": ["labor"]},
]


def sheet(places: list[dict[str, object]] = PLACES) -> RateSheet:  # type: ignore[assignment]
    tax = {"rate": "0.05", "taxable": ["trip"], "places": places}
    return rate_sheet_from({**rate_sheet_to(rate_sheet()), "tax": tax}, "rates.toml")


def taxed(place: str) -> Decimal:
    hour = Operation(slug="work", name="Work", hours=Decimal(2))
    return price_job(Job(name="It", operations=(hour,)), sheet().at_place(place))[0].tax


@pytest.mark.parametrize(
    ("place", "tax"),
    [
        # Two hours at 145.00 and a trip of 89.00: by hand.
        ("", "4.45"),  # 5 % of 89.00
        ("North", "7.34"),  # 8.25 % of 89.00 is 7.3425
        ("South", "17.40"),  # 6 % of 290.00
    ],
)
def test_the_tax_of_a_place_by_hand(place: str, tax: str) -> None:
    assert taxed(place) == Decimal(tax)


def test_a_place_changes_the_tax_alone() -> None:
    there = sheet().at_place("South")
    assert (there.tax.rate, there.tax.taxable) == (Decimal("0.06"), (LineKind.LABOR,))
    assert there.model_copy(update={"tax": sheet().tax}) == sheet()
    assert sheet().at_place("") == sheet()


def test_a_place_that_is_not_there_is_refused_by_name() -> None:
    with pytest.raises(InputTrouble) as refused:
        sheet().at_place("East")
    assert str(refused.value) == (
        'The rate sheet has no sales tax of "East" in work.tax_place; its places are North, '
        "South. Choose one of them, or leave the place out."
    )


def test_a_place_named_twice_is_refused() -> None:
    with pytest.raises(RateSheetTrouble, match='the place "north" is there twice'):
        sheet([*PLACES, {"name": "NORTH ", "rate": "0.01"}])
