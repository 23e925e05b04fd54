"""The door between exact dollars and floats."""

from __future__ import annotations

from decimal import Decimal

import pytest

from estimator.money import dollars, from_float, to_cents, to_float, whole_dollars


@pytest.mark.parametrize(
    ("amount", "step", "rounded"),
    [
        ("102.50", "5", "105.00"),
        ("102.49", "5", "100.00"),
        ("-2.675", "0.01", "-2.68"),
        ("3.33", "0.05", "3.35"),
        ("0.5", "1", "1.00"),
    ],
)
def test_to_cents_rounds_half_up_to_a_step(amount: str, step: str, rounded: str) -> None:
    result = to_cents(Decimal(amount), Decimal(step))
    assert (result, str(result)) == (Decimal(rounded), rounded)


def test_from_float_takes_the_shortest_decimal_of_a_float() -> None:
    assert from_float(2.675) == Decimal("2.68")
    assert from_float(1.005) == Decimal("1.01")
    assert from_float(to_float(Decimal("1234567.89"))) == Decimal("1234567.89")


@pytest.mark.parametrize("amount", [float("nan"), float("inf")])
def test_from_float_refuses_what_is_not_finite(amount: float) -> None:
    with pytest.raises(ValueError, match="must be finite"):
        from_float(amount)


def test_amounts_are_written_for_a_sentence() -> None:
    assert dollars(Decimal("1234.5")) == "$1,234.50"
    assert dollars(Decimal("-0.004")) == "$0.00"
    assert dollars(Decimal("-3.1")) == "-$3.10"
    assert whole_dollars(Decimal("1234.5")) == "$1,235"
    assert whole_dollars(Decimal("-12.6")) == "-$13"
