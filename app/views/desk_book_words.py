"""What the groups of the books are called, and how an address asks for one of them."""

from __future__ import annotations

import calendar
from datetime import date
from typing import TYPE_CHECKING
from urllib.parse import urlencode

from app.desk.books import BookFilter
from app.desk.tallies import AGE_BANDS, STATES
from app.views.quotes import VERDICTS
from estimator.findings import FINDINGS, Finding
from estimator.verdict import VerdictKind

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping, Sequence


def words_of(way: str, key: str | None) -> str:
    """Return what a key of a tally is called on a screen."""
    if key is None:
        return "Not known"
    if way == "finding" and key in tuple(Finding):
        return FINDINGS[Finding(key)].name
    if way == "verdict" and key in VERDICTS:
        return VERDICTS[key][0]
    return key


def name_of(way: str, key: str | None) -> str:
    """Return what a group is called where nothing beside it says what it is."""
    words = words_of(way, key)
    return f"{words} years" if way == "age" and key is not None else words


def asks_for(way: str, key: str | None) -> str:
    """Return what in the screen's address filters the books to one group of them."""
    if key is None:
        return ""
    if way != "month":
        return urlencode({way: key})
    year, month = map(int, key.split("-"))
    last = calendar.monthrange(year, month)[1]
    return urlencode({"from": f"{key}-01", "to": f"{key}-{last}"})


def filter_from(asked: Mapping[str, Sequence[str]], people: Sequence[str]) -> BookFilter:
    """Return the filter that an address asks for; what the books do not know is left out.

    Parameters
    ----------
    asked
        Name → values, as `asks_for` writes them.
    people
        Everyone in the books.
    """

    def known(name: str, there: Iterable[str]) -> tuple[str, ...]:
        return tuple(it for it in asked.get(name, ()) if it in tuple(there))

    def day(name: str) -> date | None:
        try:
            return date.fromisoformat(next(iter(asked.get(name, ())), ""))
        except ValueError:
            return None

    return BookFilter(
        first=day("from"),
        last=day("to"),
        people=known("person", people),
        findings=known("finding", Finding),
        states=known("state", STATES),
        ages=known("age", AGE_BANDS),
        verdicts=known("verdict", VerdictKind),
    )
