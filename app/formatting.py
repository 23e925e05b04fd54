"""The only place where money, dates, percents, hours, years and measures become text.

Every function takes the bare quantity and gives the whole text, sign and unit included.
`Formats` writes for one language and one system of units, numbers and money as
`formatting_numbers` has it and measures as `formatting_measures` does; the functions of the
module are those of US English in US units.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from app.formatting_measures import Measures

if TYPE_CHECKING:
    from datetime import date, datetime

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


@dataclass(frozen=True)
class Formats(Measures):
    """How quantities, dates and lists are written in one language and one system of units.

    Parameters
    ----------
    language
        One of `formatting_numbers.LOCALES`.
    units
        ``us`` or ``si``.

    Raises
    ------
    ValueError
        If either is not known.
    """

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
