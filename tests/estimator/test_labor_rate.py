"""The labor rate and its parts."""

from __future__ import annotations

from decimal import Decimal

import pytest

from estimator.errors import InputTrouble, checked
from estimator.labor_rate import LaborRateBasis, labor_rate

BASIS = LaborRateBasis(
    wages=Decimal(60_000),
    burden=Decimal("0.30"),
    overhead=Decimal(42_000),
    billable_hours=Decimal(1_200),
    target_margin=Decimal("0.20"),
)


def test_every_part_of_the_rate_is_shown() -> None:
    rate = labor_rate(BASIS)
    assert rate.wages_per_h == Decimal("50.00")
    assert rate.burden_per_h == Decimal("15.00")
    assert rate.overhead_per_h == Decimal("35.00")
    assert rate.cost_per_h == Decimal("100.00")
    assert rate.rate_per_h == Decimal("125.00")
    assert rate.margin_per_h == Decimal("25.00")


def test_fewer_billable_hours_make_a_dearer_hour() -> None:
    shown = [(each.billable_hours, each.rate_per_h) for each in labor_rate(BASIS).sensitivity]
    assert shown[0] == (Decimal(960), Decimal("156.25"))
    assert shown[2] == (Decimal(1200), Decimal("125.00"))
    prices = [price for _, price in shown]
    assert prices == sorted(prices, reverse=True)


def test_no_billable_hours_are_refused_in_words() -> None:
    values = {"wages": 60_000, "billable_hours": 0}
    with pytest.raises(InputTrouble) as told:
        checked(LaborRateBasis, values, "labor rate")
    assert str(told.value) == (
        "billable_hours is 0 in labor rate; it must be above 0. Correct this and try again."
    )
