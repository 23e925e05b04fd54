"""Every plot of the books as plain series."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Final

from app import formatting
from app.views.desk_book_words import name_of

if TYPE_CHECKING:
    from collections.abc import Callable

    from app.desk.books import Books
    from app.desk.tallies import Tally

MOST_BARS: Final = 24


@dataclass(frozen=True)
class BarPlot:
    """Bars over categories: each of `series` is a name and one value a category.

    `unit` is what a value counts; `line` is a level to hold the bars against, where there is
    one. `description` says in words what the plot shows.
    """

    title: str
    description: str
    categories: tuple[str, ...]
    series: tuple[tuple[str, tuple[float | None, ...]], ...]
    unit: str
    stacked: bool
    line: float | None = None


def build_plots(found: Books) -> tuple[BarPlot, ...]:
    """Build the plots; none where there is nothing to show."""
    if not found.total.quotes:
        return ()
    states: tuple[tuple[str, Callable[[Tally], int]], ...] = (
        ("Accepted", lambda it: it.accepted),
        ("Declined", lambda it: it.declined),
        ("Lapsed", lambda it: it.lapsed),
        ("Open", lambda it: it.open),
    )
    taken: tuple[tuple[str, Callable[[Tally], int]], ...] = (
        ("Repairs", lambda it: it.repaired),
        ("Replacements", lambda it: it.replaced),
    )
    return (
        _counts(found, "month", "Quotes by month and state", states),
        _counts(found, "age", "Repair against replacement by age of the heater", taken),
        _counts(found, "finding", "Repair against replacement by finding", taken),
        _margins(found),
    )


def _counts(
    found: Books, way: str, title: str, series: tuple[tuple[str, Callable[[Tally], int]], ...]
) -> BarPlot:
    shown = _shown(found, way)
    return BarPlot(
        title=title,
        description=f"{title}: {len(shown)} groups, "
        f"{formatting.listed([name.lower() for name, _ in series])} stacked.",
        categories=tuple(name_of(way, it.key) for it in shown),
        series=tuple((name, tuple(float(of(it)) for it in shown)) for name, of in series),
        unit="quotes",
        stacked=True,
    )


def _margins(found: Books) -> BarPlot:
    shown = _shown(found, "person")
    margins = [it.gross_margin for it in shown]
    return BarPlot(
        title="Gross margin by person",
        description="Gross margin of accepted jobs by who issued the quote, against "
        f"{formatting.percent(found.target)}.",
        categories=tuple(name_of("person", it.key) for it in shown),
        series=(("Gross margin", tuple(None if it is None else float(it) for it in margins)),),
        unit="share of price",
        stacked=False,
        line=float(found.target),
    )


def _shown(found: Books, way: str) -> tuple[Tally, ...]:
    """Return the groups that a plot has room for: the last months, the largest else."""
    every = found.by[way]
    return every[-MOST_BARS:] if way == "month" else every[:MOST_BARS]
