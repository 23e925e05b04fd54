"""The only place where money, dates, percents, hours, years and temperatures become text.

US English. Every function takes the bare quantity and gives the whole text, sign and
unit included, so that another language can take over here without a change elsewhere.
"""

from __future__ import annotations

import math
from decimal import ROUND_HALF_UP, Decimal, InvalidOperation
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from datetime import date

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


def number(value: Number, decimals: int = 0, *, trim: bool = False) -> str:
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
    exact = value if isinstance(value, Decimal) else Decimal(repr(value))
    if not exact.is_finite():
        raise ValueError(f"A number to be written must be finite, not {value}")
    try:
        rounded = exact.quantize(Decimal(1).scaleb(-decimals), rounding=ROUND_HALF_UP)
    except InvalidOperation:
        raise ValueError(f"A number to be written is too large: {value}") from None
    text = f"{abs(rounded):,.{decimals}f}"
    if trim and "." in text:
        text = text.rstrip("0").rstrip(".")
    return f"{MINUS}{text}" if rounded < 0 else text


def money(amount: Number) -> str:
    """Write an amount in dollars and cents.

    Parameters
    ----------
    amount
        The amount [USD].

    Returns
    -------
    The text, such as ``$1,234.50``; a minus sign stands before the dollar sign.
    """
    return _dollars(number(amount, 2))


def whole_money(amount: Number) -> str:
    """Write an expected amount in whole dollars; cents would claim too much.

    Parameters
    ----------
    amount
        The amount [USD].

    Returns
    -------
    The text, such as ``$1,235``.
    """
    return _dollars(number(amount, 0))


def _dollars(text: str) -> str:
    return f"{MINUS}${text[1:]}" if text.startswith(MINUS) else f"${text}"


def energy_price(amount: Number, unit: str) -> str:
    """Write a price of energy.

    Parameters
    ----------
    amount
        The price of one unit [USD].
    unit
        Its name: therm, gallon, kWh.

    Returns
    -------
    The text, such as ``$1.52 per therm``; below 50 cents with a third decimal.
    """
    decimals = 2 if amount >= Decimal("0.5") else 3
    return f"{_dollars(number(amount, decimals))} per {unit}"


def percent(share: Number, decimals: int = 1) -> str:
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
    return f"{number(exact * 100, decimals, trim=True)}%"


def quantity(value: Number, unit: str = "") -> str:
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
    text = number(value, 2, trim=True)
    return f"{text} {unit}" if unit else text


def hours(value: Number) -> str:
    """Write a time of work.

    Parameters
    ----------
    value
        The time [h].

    Returns
    -------
    The text, such as ``1.5 hours``.
    """
    text = number(value, 2, trim=True)
    return f"{text} {'hour' if text == '1' else 'hours'}"


def years(value: Number, decimals: int = 0) -> str:
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
    text = number(value, decimals)
    return f"{text} {'year' if text == '1' else 'years'}"


def age(value: float) -> str:
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
        return years(math.floor(value))
    months = math.floor(value * 12)
    if months < 1:
        return "less than a month"
    return f"{months} {'month' if months == 1 else 'months'}"


def temperature(value: Number) -> str:
    """Write a temperature.

    Parameters
    ----------
    value
        The temperature [°F].

    Returns
    -------
    The text, such as ``120 °F``.
    """
    return f"{number(value)} °F"


def long_date(day: date) -> str:
    """Write a date in full.

    Parameters
    ----------
    day
        The date.

    Returns
    -------
    The text, such as ``March 5, 2026``.
    """
    return f"{MONTHS[day.month - 1]} {day.day}, {day.year}"


def month_and_year(day: date) -> str:
    """Write a month, for a date whose day means nothing.

    Parameters
    ----------
    day
        Any day of the month.

    Returns
    -------
    The text, such as ``March 2015``.
    """
    return f"{MONTHS[day.month - 1]} {day.year}"


def listed(items: tuple[str, ...] | list[str]) -> str:
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
    return f"{', '.join(items[:-1])} and {items[-1]}"
