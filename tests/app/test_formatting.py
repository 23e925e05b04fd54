"""How quantities are written: signs, separators, rounding, singular and plural."""

from __future__ import annotations

import subprocess
import sys
from datetime import date, datetime
from decimal import Decimal

import pytest
from babel.dates import format_date
from babel.numbers import format_currency, format_decimal

from app import formatting
from app.formatting import Formats
from app.formatting_numbers import LOCALES


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


@pytest.mark.parametrize("language", sorted(LOCALES))
@pytest.mark.parametrize(
    "amount", ["0", "0.005", "1.5", "999.995", "1234.5", "1234567.891", "-12.5", "-1234567"]
)
def test_numbers_and_money_against_the_cldr(language: str, amount: str) -> None:
    """As Babel writes them from the CLDR, but for a proper minus and half rounded up."""
    formats, value = Formats(language), Decimal(amount)
    cents = value.quantize(Decimal("0.01"), rounding="ROUND_HALF_UP")
    locale = LOCALES[language]
    money = format_currency(cents, "USD", locale=locale).replace("-", "\u2212")
    assert formats.money(value) == money
    number = format_decimal(cents, "#,##0.00", locale=locale).replace("-", "\u2212")
    assert formats.number(value, 2) == number


@pytest.mark.parametrize("language", sorted(LOCALES))
def test_dates_against_the_cldr(language: str) -> None:
    for month in range(1, 13):
        day = date(2026, month, 7)
        expected = format_date(day, "long", locale=LOCALES[language])
        assert Formats(language).long_date(day) == expected


def test_spanish_words_and_signs() -> None:
    spanish = Formats("es")
    assert spanish.long_date(date(2026, 3, 5)) == "5 de marzo de 2026"
    assert spanish.month_and_year(date(2015, 9, 1)) == "septiembre de 2015"
    assert spanish.years(1) == "1 año"
    assert spanish.age(0.5) == "6 meses"
    assert spanish.energy_price(1.55, "therm") == "$1.55 por termia"
    assert spanish.listed(["a", "b", "c"]) == "a, b y c"
    assert spanish.listed(["agua", "instalación"]) == "agua e instalación"
    assert spanish.listed(["agua", "hierro"]) == "agua y hierro"


@pytest.mark.parametrize(
    ("written", "text"),
    [
        # 1 gal = 3.785411784 L, 1 in wc = 249.08891 Pa, 1 ft³ = 0.028316846592 m³
        # (NIST SP 811, appendix B.8)
        (Formats("en", "si").volume(40), "151 liters"),
        (Formats("en", "si").measure(7.1, "in wc", 1), "1.77 kPa"),
        (Formats("en", "si").measure(700, "ft³"), "19.8 m³"),
        (Formats("en", "si").temperature(120), "49 °C"),
        (Formats("en", "si").temperature(32), "0 °C"),
        # 100,000 Btu a therm, 91,333 Btu a gallon of propane, 3,412 Btu a kilowatt-hour
        # (16 CFR 305 appendix)
        (Formats("en", "si").energy(100, "therm"), "2,931 kWh"),
        (Formats("en", "si").energy_price(2.70, "gallon"), "$0.101 per kWh"),
        (Formats("en", "si").measure(40_000, "Btu/h"), "11.7 kW"),
        (Formats("en").volume(40), "40 gallons"),
        (Formats("es", "si").volume(1), "4 litros"),
    ],
)
def test_measures_in_si_units_against_nist_and_16_cfr_305(written: str, text: str) -> None:
    assert written == text


def test_a_moment_needs_its_zone() -> None:
    with pytest.raises(ValueError, match="needs its zone"):
        Formats().moment(datetime(2026, 3, 5, 9, 30))  # noqa: DTZ001 - that is the fault


def test_languages_and_units_that_are_not_there_are_refused() -> None:
    with pytest.raises(ValueError, match="Language 'fr' is not one of en, es"):
        Formats("fr")
    with pytest.raises(ValueError, match="Units 'cgs' are not one of us, si"):
        Formats("en", "cgs")
