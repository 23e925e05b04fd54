"""How quantities are written: signs, separators, rounding, singular and plural."""

from __future__ import annotations

import subprocess
import sys
from datetime import date
from decimal import Decimal

import pytest

from app import formatting


@pytest.mark.parametrize(
    ("amount", "text"),
    [
        (Decimal("2.675"), "$2.68"),  # binary floats would give 2.67
        (1.005, "$1.01"),  # the float 1.005 is below 1.005; its written digits decide
        (Decimal("1234567.8"), "$1,234,567.80"),
        (Decimal("-12.5"), "\u2212$12.50"),
        (0, "$0.00"),
        (Decimal("-0.001"), "$0.00"),
    ],
)
def test_money(amount: Decimal, text: str) -> None:
    assert formatting.money(amount) == text


def test_whole_money_rounds_half_up() -> None:
    assert formatting.whole_money(Decimal("2.5")) == "$3"
    assert formatting.whole_money(-1499.5) == "\u2212$1,500"


@pytest.mark.parametrize("amount", [float("nan"), float("inf"), Decimal("NaN")])
def test_an_amount_that_is_not_finite_is_refused(amount: float) -> None:
    with pytest.raises(ValueError, match="must be finite"):
        formatting.money(amount)


def test_a_number_too_large_to_round_is_refused() -> None:
    with pytest.raises(ValueError, match="too large"):
        formatting.money(1e300)


def test_percent() -> None:
    assert formatting.percent(0.03) == "3%"
    assert formatting.percent(Decimal("0.0725"), 2) == "7.25%"
    assert formatting.percent(-0.015) == "\u22121.5%"


def test_years_and_hours_in_singular_and_plural() -> None:
    assert formatting.years(1) == "1 year"
    assert formatting.years(12.4) == "12 years"
    assert formatting.years(8.44, 1) == "8.4 years"
    assert formatting.hours(Decimal("1.00")) == "1 hour"
    assert formatting.hours(Decimal("1.50")) == "1.5 hours"


@pytest.mark.parametrize(
    ("value", "text"),
    [
        (11.97, "11 years"),
        (1.0, "1 year"),
        (0.5, "6 months"),
        (0.1, "1 month"),
        (0.01, "less than a month"),
    ],
)
def test_age_is_rounded_down(value: float, text: str) -> None:
    assert formatting.age(value) == text


def test_dates() -> None:
    assert formatting.long_date(date(2026, 3, 5)) == "March 5, 2026"
    assert formatting.month_and_year(date(2015, 12, 31)) == "December 2015"


def test_other_quantities() -> None:
    assert formatting.temperature(119.6) == "120 °F"
    assert formatting.quantity(Decimal("2.00")) == "2"
    assert formatting.quantity(Decimal("1.25"), "h") == "1.25 h"
    assert formatting.energy_price(1.523, "therm") == "$1.52 per therm"
    assert formatting.energy_price(0.1638, "kWh") == "$0.164 per kWh"


def test_listed() -> None:
    assert formatting.listed([]) == ""
    assert formatting.listed(["a"]) == "a"
    assert formatting.listed(("a", "b", "c")) == "a, b and c"


def test_formatting_is_light_to_import() -> None:
    heavy = {"babel", "rich", "pydantic", "numpy", "typst"}
    script = "import sys, app.formatting; print(' '.join(sys.modules))"
    loaded = subprocess.run(
        [sys.executable, "-c", script], capture_output=True, text=True, check=True
    ).stdout.split()
    assert heavy.isdisjoint(loaded)
