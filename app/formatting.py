"""The only place where money, dates, percents, hours, years and measures become text.

Every function takes the bare quantity and gives the whole text, sign and unit included.
`Formats` writes for one language and one system of units; the functions of the module are
those of US English in US units. English needs no library; every other language takes its
signs, dates and currency from the CLDR through Babel.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from decimal import ROUND_HALF_UP, Decimal, InvalidOperation
from typing import TYPE_CHECKING, Final

if TYPE_CHECKING:
    from datetime import date, datetime

Number = Decimal | float | int

MINUS = "\N{MINUS SIGN}"
MONTHS = (
    "January",
    "February",
    "March",
    "April",
    "May",
    "June",
    "July",
    "August",
    "September",
    "October",
    "November",
    "December",
)

LOCALES: Final[dict[str, str]] = {"en": "en_US", "es": "es_US"}
"""Language → the locale whose numbers, dates and currency are written."""

US, SI = "us", "si"
UNITS: Final = (US, SI)

# Exact by definition (NIST SP 811) or as the estimator converts energy: a therm of
# 100,000 Btu and a kilowatt-hour of 3,412 Btu (16 CFR 305 appendix).
LITERS_PER_GAL = 3.785411784
KWH_PER_THERM = 100_000 / 3_412
KWH_PER_GAL_PROPANE = 91_333 / 3_412
CM_PER_IN = 2.54
M3_PER_FT3 = 0.028316846592
KPA_PER_IN_WC = 0.24908891
KW_PER_BTU_PER_H = 1 / 3_412

UNIT_WORDS: Final[dict[str, dict[str, tuple[str, str]]]] = {
    "en": {
        "year": ("year", "years"),
        "month": ("month", "months"),
        "hour": ("hour", "hours"),
        "gallon": ("gallon", "gallons"),
        "liter": ("liter", "liters"),
        "therm": ("therm", "therms"),
        "kWh": ("kWh", "kWh"),
        "under_a_month": ("less than a month", "less than a month"),
        "per": ("per", "per"),
    },
    "es": {
        "year": ("año", "años"),
        "month": ("mes", "meses"),
        "hour": ("hora", "horas"),
        "gallon": ("galón", "galones"),
        "liter": ("litro", "litros"),
        "therm": ("termia", "termias"),
        "kWh": ("kWh", "kWh"),
        "under_a_month": ("menos de un mes", "menos de un mes"),
        "per": ("por", "por"),
    },
}


def _rounded(value: Number, decimals: int) -> Decimal:
    exact = value if isinstance(value, Decimal) else Decimal(repr(value))
    if not exact.is_finite():
        raise ValueError(f"A number to be written must be finite, not {value}")
    try:
        return exact.quantize(Decimal(1).scaleb(-decimals), rounding=ROUND_HALF_UP)
    except InvalidOperation:
        raise ValueError(f"A number to be written is too large: {value}") from None


@dataclass(frozen=True)
class Formats:
    """How quantities are written in one language and one system of units.

    Parameters
    ----------
    language
        One of `LOCALES`.
    units
        ``us`` or ``si``.

    Raises
    ------
    ValueError
        If either is not known.
    """

    language: str = "en"
    units: str = US

    def __post_init__(self) -> None:
        if self.language not in LOCALES:
            raise ValueError(f"Language {self.language!r} is not one of {', '.join(LOCALES)}")
        if self.units not in UNITS:
            raise ValueError(f"Units {self.units!r} are not one of {', '.join(UNITS)}")

    @property
    def locale(self) -> str:
        """The locale, such as ``es_US``."""
        return LOCALES[self.language]

    @property
    def si(self) -> bool:
        """Whether measures are written in SI units."""
        return self.units == SI

    def number(self, value: Number, decimals: int = 0, *, trim: bool = False) -> str:
        """Write a number with thousands separators, rounded half up.

        Parameters
        ----------
        value
            A finite number.
        decimals
            Digits after the point.
        trim
            Leave out zeros at the end and a point with nothing after it.

        Returns
        -------
        The text, such as ``1,234.5``.

        Raises
        ------
        ValueError
            If the value is not finite.
        """
        rounded = _rounded(value, decimals)
        text = self._grouped(abs(rounded), decimals, trim=trim)
        return f"{MINUS}{text}" if rounded < 0 else text

    def _grouped(self, amount: Decimal, decimals: int, *, trim: bool) -> str:
        if self.language == "en":
            text = f"{amount:,.{decimals}f}"
            return text.rstrip("0").rstrip(".") if trim and "." in text else text
        from babel.numbers import format_decimal  # noqa: PLC0415

        least = 0 if trim else decimals
        after = f".{'0' * least}{'#' * (decimals - least)}" if decimals else ""
        return format_decimal(amount, format=f"#,##0{after}", locale=self.locale)

    def money(self, amount: Number) -> str:
        """Write an amount in dollars and cents.

        Parameters
        ----------
        amount
            The amount [USD].

        Returns
        -------
        The text, such as ``$1,234.50``; a minus sign stands before the dollar sign.
        """
        return self._dollars(amount, 2)

    def whole_money(self, amount: Number) -> str:
        """Write an expected amount in whole dollars; cents would claim too much.

        Parameters
        ----------
        amount
            The amount [USD].

        Returns
        -------
        The text, such as ``$1,235``.
        """
        return self._dollars(amount, 0)

    def _dollars(self, amount: Number, decimals: int) -> str:
        if self.language == "en":
            text = self.number(amount, decimals)
            return f"{MINUS}${text[1:]}" if text.startswith(MINUS) else f"${text}"
        from babel.numbers import format_currency  # noqa: PLC0415

        text = format_currency(
            _rounded(amount, decimals) + 0,
            "USD",
            format=f"¤#,##0{'.' + '0' * decimals if decimals else ''}",
            locale=self.locale,
            currency_digits=False,
        )
        return text.replace("-", MINUS)

    def energy_price(self, amount: Number, unit: str) -> str:
        """Write a price of energy.

        Parameters
        ----------
        amount
            The price of one unit [USD].
        unit
            Its name: therm, gallon (of propane) or kWh. In SI units both fuels are
            priced by the kilowatt-hour.

        Returns
        -------
        The text, such as ``$1.52 per therm``; below 50 cents with a third decimal.
        """
        if self.si and unit in ("therm", "gallon"):
            held = KWH_PER_THERM if unit == "therm" else KWH_PER_GAL_PROPANE
            amount, unit = float(amount) / held, "kWh"
        decimals = 2 if amount >= Decimal("0.5") else 3
        return f"{self._dollars(amount, decimals)} {self.word('per')} {self.word(unit)}"

    def energy(self, amount: Number, unit: str) -> str:
        """Write an amount of energy.

        Parameters
        ----------
        amount
            Energy, in `unit`.
        unit
            therm, gal (of propane) or kWh, with or without "/yr".

        Returns
        -------
        The text, such as ``176 therms``; kilowatt-hours in SI units.
        """
        name = {"gal": "gallon"}.get(unit.removesuffix("/yr"), unit.removesuffix("/yr"))
        if self.si and name in ("therm", "gallon"):
            held = KWH_PER_THERM if name == "therm" else KWH_PER_GAL_PROPANE
            amount, name = float(amount) * held, "kWh"
        return self._counted(self.number(amount), name)

    def volume(self, gallons: Number) -> str:
        """Write a volume of water.

        Parameters
        ----------
        gallons
            The volume [gal].

        Returns
        -------
        The text, such as ``40 gallons``, or ``151 liters`` in SI units.
        """
        if self.si:
            return self._counted(self.number(float(gallons) * LITERS_PER_GAL), "liter")
        return self._counted(self.number(gallons, 1, trim=True), "gallon")

    def temperature(self, value: Number, decimals: int = 0) -> str:
        """Write a temperature.

        Parameters
        ----------
        value
            The temperature [°F].
        decimals
            Most digits after the point; zeros at the end are left out.

        Returns
        -------
        The text, such as ``120 °F``, or ``49 °C`` in SI units.
        """
        if self.si:
            return f"{self.number((float(value) - 32) / 1.8, decimals, trim=True)} °C"
        return f"{self.number(value, decimals, trim=True)} °F"

    def measure(self, value: Number, unit: str, decimals: int = 0) -> str:
        """Write a measure that has a short unit.

        Parameters
        ----------
        value
            How much, in `unit`.
        unit
            in, in wc, ft³ or Btu/h; any other is written as it is.
        decimals
            Most digits after the point in `unit`; zeros at the end are left out.

        Returns
        -------
        The text, such as ``7.1 in wc``, or ``1.77 kPa`` in SI units.
        """
        turned = {
            "in": (CM_PER_IN, "cm", 1),
            "in wc": (KPA_PER_IN_WC, "kPa", 2),
            "ft³": (M3_PER_FT3, "m³", 1),
            "Btu/h": (KW_PER_BTU_PER_H, "kW", 1),
        }
        if self.si and unit in turned:
            factor, unit, decimals = turned[unit]
            value = float(value) * factor
        return f"{self.number(value, decimals, trim=True)} {unit}"

    def percent(self, share: Number, decimals: int = 1) -> str:
        """Write a fraction of one as a percentage.

        Parameters
        ----------
        share
            The fraction of one.
        decimals
            Most digits after the point; zeros at the end are left out.

        Returns
        -------
        The text, such as ``7.5%``.
        """
        exact = share if isinstance(share, Decimal) else Decimal(repr(share))
        return f"{self.number(exact * 100, decimals, trim=True)}%"

    def quantity(self, value: Number, unit: str = "") -> str:
        """Write how many, with at most two decimals and the unit if there is one.

        Parameters
        ----------
        value
            How many.
        unit
            What of; may be empty.

        Returns
        -------
        The text, such as ``2`` or ``1.25 h``.
        """
        text = self.number(value, 2, trim=True)
        return f"{text} {unit}" if unit else text

    def hours(self, value: Number) -> str:
        """Write a time of work.

        Parameters
        ----------
        value
            The time [h].

        Returns
        -------
        The text, such as ``1.5 hours``.
        """
        return self._counted(self.number(value, 2, trim=True), "hour")

    def years(self, value: Number, decimals: int = 0) -> str:
        """Write a time in years.

        Parameters
        ----------
        value
            The time [yr].
        decimals
            Digits after the point.

        Returns
        -------
        The text, such as ``12 years`` or ``8.4 years``.
        """
        return self._counted(self.number(value, decimals), "year")

    def age(self, value: float) -> str:
        """Write the age of a heater the way a person says it.

        Parameters
        ----------
        value
            The age [yr], zero or more.

        Returns
        -------
        Whole years, or months below one year: ``11 years``, ``5 months``.

        Notes
        -----
        Rounded down, as ages are.
        """
        if value >= 1:
            return self.years(math.floor(value))
        months = math.floor(value * 12)
        if months < 1:
            return self.word("under_a_month")
        return self._counted(str(months), "month")

    def word(self, name: str) -> str:
        """Return a unit's name in the singular; a unit that has none stays as it is."""
        return UNIT_WORDS[self.language].get(name, (name, name))[0]

    def _counted(self, text: str, name: str) -> str:
        one, many = UNIT_WORDS[self.language].get(name, (name, name))
        return f"{text} {one if text == '1' else many}"

    def long_date(self, day: date) -> str:
        """Write a date in full.

        Parameters
        ----------
        day
            The date.

        Returns
        -------
        The text, such as ``March 5, 2026``.
        """
        if self.language == "en":
            return f"{MONTHS[day.month - 1]} {day.day}, {day.year}"
        from babel.dates import format_date  # noqa: PLC0415

        return format_date(day, "long", locale=self.locale)

    def month_and_year(self, day: date) -> str:
        """Write a month, for a date whose day means nothing.

        Parameters
        ----------
        day
            Any day of the month.

        Returns
        -------
        The text, such as ``March 2015``.
        """
        if self.language == "en":
            return f"{MONTHS[day.month - 1]} {day.year}"
        from babel.dates import format_skeleton  # noqa: PLC0415

        return format_skeleton("yMMMM", day, locale=self.locale)

    def moment(self, at: datetime) -> str:
        """Write a date with its time and zone, for what was signed.

        Parameters
        ----------
        at
            The moment, with its zone.

        Returns
        -------
        The text, such as ``March 5, 2026, 14:05 UTC``.

        Raises
        ------
        ValueError
            If it has no zone.
        """
        if at.tzinfo is None:
            raise ValueError("A moment to be written needs its zone")
        return f"{self.long_date(at.date())}, {at:%H:%M} {at.tzname()}"

    def listed(self, items: tuple[str, ...] | list[str]) -> str:
        """Join words into a list as it is spoken.

        Parameters
        ----------
        items
            The words, in order.

        Returns
        -------
        ``a``, ``a and b``, or ``a, b and c``; empty for none.
        """
        if len(items) < 2:
            return "".join(items)
        joint = "and"
        if self.language == "es":
            last = items[-1].lower()
            said_as_i = last.startswith(("i", "hi")) and not last.startswith(("hie", "ia", "io"))
            joint = "e" if said_as_i else "y"
        return f"{', '.join(items[:-1])} {joint} {items[-1]}"


US_ENGLISH = Formats()

number = US_ENGLISH.number
money = US_ENGLISH.money
whole_money = US_ENGLISH.whole_money
energy_price = US_ENGLISH.energy_price
percent = US_ENGLISH.percent
quantity = US_ENGLISH.quantity
hours = US_ENGLISH.hours
years = US_ENGLISH.years
age = US_ENGLISH.age
temperature = US_ENGLISH.temperature
long_date = US_ENGLISH.long_date
month_and_year = US_ENGLISH.month_and_year
listed = US_ENGLISH.listed
