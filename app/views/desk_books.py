"""The books as the owner reads them: figures, tables, and what a plot shows."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from app import formatting
from app.views.quotes import VERDICTS
from estimator.findings import FINDINGS, Finding

if TYPE_CHECKING:
    from decimal import Decimal

    from app.desk.books import Books, Tally

WAYS = {
    "person": "By person",
    "finding": "By finding",
    "age": "By heater age, years",
    "verdict": "By verdict",
    "month": "By month",
}
MOST_ROWS = 30


@dataclass(frozen=True)
class BookTable:
    """One way to count: a heading and rows of name, figures and a second line."""

    key: str
    title: str
    rows: tuple[tuple[str, str, str], ...]


@dataclass(frozen=True)
class BookPlot:
    """Counts by month: labels and the series beside each other."""

    title: str
    description: str
    months: tuple[str, ...]
    series: tuple[tuple[str, tuple[int, ...]], ...]


@dataclass(frozen=True)
class BooksView:
    """The books over a filter."""

    figures: tuple[tuple[str, str], ...]
    short: str
    tables: tuple[BookTable, ...]
    plot: BookPlot | None
    parts: tuple[tuple[str, str], ...]


def build_books_view(books: Books) -> BooksView:
    """Build the view of the books.

    Parameters
    ----------
    books
        The books as counted.

    Returns
    -------
    The view; `short` says where the margin falls short of its target.
    """
    total = books.total
    target = "floor" if books.target_is_floor else "target"
    margin = total.gross_margin
    short = ""
    if margin is not None and margin < books.target:
        short = f"The margin earned is under the {target} of {_share(books.target)}."
    return BooksView(
        figures=(
            ("Quotes", f"{total.quotes:,}"),
            ("Waiting for an answer", f"{total.open:,}"),
            (
                "Accepted, declined, lapsed",
                f"{total.accepted:,}, {total.declined:,}, {total.lapsed:,}",
            ),
            ("Share accepted", _share(total.share_accepted)),
            ("Repairs among the accepted", _share(total.share_repaired)),
            ("Average job, before tax", _money(total.average_job)),
            ("Earned before tax", formatting.money(total.revenue)),
            (f"Gross margin ({target} {_share(books.target)})", _share(margin)),
        ),
        short=short,
        tables=tuple(
            BookTable(key, title, tuple(_row(key, it) for it in books.by[key][:MOST_ROWS]))
            for key, title in WAYS.items()
        ),
        plot=_plot(books.by["month"]),
        parts=tuple(
            (part.number, f"{part.used} used, {part.quoted} quoted")
            for part in books.parts[:MOST_ROWS]
        ),
    )


def words_of(way: str, key: str | None) -> str:
    """Return what a key of a tally is called on a screen."""
    if key is None:
        return "Not known"
    if way == "finding" and key in tuple(Finding):
        return FINDINGS[Finding(key)].name
    if way == "verdict" and key in VERDICTS:
        return VERDICTS[key][0]
    return key


def _row(way: str, tally: Tally) -> tuple[str, str, str]:
    counted = f"{tally.quotes:,} quoted, {tally.accepted:,} accepted"
    more = (
        f"{_share(tally.share_accepted)} accepted · average {_money(tally.average_job)} · "
        f"margin {_share(tally.gross_margin)}"
    )
    return words_of(way, tally.key), counted, more


def _plot(months: tuple[Tally, ...]) -> BookPlot | None:
    if not months:
        return None
    last = months[-24:]
    series = (
        ("Repair accepted", tuple(it.repaired for it in last)),
        ("Replacement accepted", tuple(it.replaced for it in last)),
        ("Declined", tuple(it.declined for it in last)),
        ("Lapsed", tuple(it.lapsed for it in last)),
        ("Waiting", tuple(it.open for it in last)),
    )
    said = ", ".join(f"{name.lower()} {sum(counts)}" for name, counts in series)
    return BookPlot(
        title="Quotes by month",
        description=f"{len(last)} months: {said}.",
        months=tuple(str(it.key) for it in last),
        series=series,
    )


def _share(share: Decimal | None) -> str:
    return "none yet" if share is None else f"{share * 100:.1f}%"


def _money(sum_: Decimal | None) -> str:
    return "none yet" if sum_ is None else formatting.money(sum_)
