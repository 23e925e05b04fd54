"""The books in full columns, and every plot of them as plain series."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Final

from app import formatting
from app.views.desk_books import words_of
from app.views.desk_words import NONE, counted, money_or_none, percent_or_none
from estimator.findings import FINDINGS, Finding

if TYPE_CHECKING:
    from collections.abc import Callable

    from app.desk.book_rows import QuotePage
    from app.desk.books import BookFilter, Books, Tally
    from app.desk.part_costs import PartCost

COLUMNS: Final = (
    "Quotes",
    "Open",
    "Accepted",
    "Declined",
    "Lapsed",
    "Share accepted",
    "Repairs of accepted",
    "Average job",
    "Gross margin",
)
WAYS: Final[dict[str, str]] = {
    "person": "By person",
    "finding": "By finding",
    "age": "By age of the heater",
    "verdict": "By verdict",
    "month": "By month",
}
MOST_BARS: Final = 24


@dataclass(frozen=True)
class TallyRow:
    """One row of a table; `key` filters the books to it, `None` where it is not known."""

    key: str | None
    name: str
    cells: tuple[str, ...]
    under_target: bool


@dataclass(frozen=True)
class TallyTable:
    """One way to look at the books; `cells` of each row stand under `columns`."""

    way: str
    title: str
    columns: tuple[str, ...]
    rows: tuple[TallyRow, ...]


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


@dataclass(frozen=True)
class BookTablesView:
    """The books on the screen.

    `figures` are label and text; `parts` number and texts; `people`, `findings` and `states`
    are what a filter may name, each with its words.
    """

    span: str
    figures: tuple[tuple[str, str], ...]
    target: str
    tables: tuple[TallyTable, ...]
    plots: tuple[BarPlot, ...]
    parts: tuple[tuple[str, str, str], ...]
    people: tuple[str, ...]
    findings: tuple[tuple[str, str], ...]
    empty: str


@dataclass(frozen=True)
class QuoteLine:
    """One quote in a list; `number` and `revision` open it."""

    number: str
    revision: int
    cells: tuple[str, ...]


@dataclass(frozen=True)
class QuotesView:
    """A page of the quotes behind the books, under `columns`."""

    count: str
    columns: tuple[str, ...]
    rows: tuple[QuoteLine, ...]


def build_book_tables(found: Books) -> BookTablesView:
    """Build the view of the books.

    Parameters
    ----------
    found
        The books.

    Returns
    -------
    The view; for the owner's eyes only, for it shows margins.
    """
    floor = " (the margin floor: no target was given)" if found.target_is_floor else ""
    return BookTablesView(
        span=_span(found.filter),
        figures=_figures(found),
        target=f"Held against a gross margin of {formatting.percent(found.target)}{floor}.",
        tables=tuple(_table(found, way) for way in WAYS),
        plots=_plots(found),
        parts=tuple(
            (it.number, f"in {counted(it.used, 'repair')}", f"quoted {it.quoted}")
            for it in found.parts
        ),
        people=found.people,
        findings=tuple((it.value, FINDINGS[it].name) for it in Finding),
        empty="" if found.total.quotes else "There is no quote here yet.",
    )


def build_quotes_view(page: QuotePage) -> QuotesView:
    """Build the view of a page of quotes.

    Parameters
    ----------
    page
        The page.

    Returns
    -------
    The view.
    """
    return QuotesView(
        count=counted(page.count, "quote"),
        columns=("Issued", "By", "State", "Finding", "Verdict", "Taken", "Price", "Cost"),
        rows=tuple(
            QuoteLine(
                row.number,
                row.revision,
                (
                    formatting.long_date(row.issued_on),
                    row.issued_by,
                    row.state,
                    _word_of("finding", row.finding),
                    _word_of("verdict", row.verdict),
                    row.chosen_path or NONE,
                    money_or_none(row.revenue),
                    money_or_none(row.cost),
                ),
            )
            for row in page.rows
        ),
    )


def build_part_cost_rows(found: tuple[PartCost, ...]) -> tuple[tuple[str, ...], ...]:
    """Build the rows of parts' costs: number, name, used, then, now, change, over all used.

    Parameters
    ----------
    found
        The parts' costs.

    Returns
    -------
    One row of texts each.
    """
    return tuple(
        (
            it.number,
            it.description,
            formatting.number(it.used),
            money_or_none(it.cost_then),
            f"{money_or_none(it.cost_now)} {it.supplier or ''}".strip(),
            percent_or_none(it.change),
            money_or_none(it.variance),
        )
        for it in found
    )


def _name_of(way: str, key: str | None) -> str:
    words = words_of(way, key)
    return f"{words} years" if way == "age" and key is not None else words


def _word_of(way: str, key: str | None) -> str:
    return NONE if key is None else words_of(way, key)


def _span(wanted: BookFilter) -> str:
    said = []
    if wanted.first is not None:
        said.append(f"from {formatting.long_date(wanted.first)}")
    if wanted.last is not None:
        said.append(f"to {formatting.long_date(wanted.last)}")
    days = " ".join(said) or "of all days"
    words = [*wanted.people, *(words_of("finding", it) for it in wanted.findings), *wanted.states]
    return f"Quotes {days}" + (f": {formatting.listed(words)}" if words else "")


def _figures(found: Books) -> tuple[tuple[str, str], ...]:
    total = found.total
    return (
        ("Quotes", formatting.number(total.quotes)),
        ("Open", formatting.number(total.open)),
        ("Accepted", formatting.number(total.accepted)),
        ("Declined", formatting.number(total.declined)),
        ("Lapsed", formatting.number(total.lapsed)),
        ("Earlier revisions, not counted", formatting.number(found.superseded)),
        ("Share accepted", percent_or_none(total.share_accepted)),
        ("Repairs", formatting.number(total.repaired)),
        ("Replacements", formatting.number(total.replaced)),
        ("Earned before tax", formatting.money(total.revenue)),
        ("Average job", money_or_none(total.average_job)),
        ("Gross margin", percent_or_none(total.gross_margin)),
    )


def _table(found: Books, way: str) -> TallyTable:
    rows = tuple(
        TallyRow(
            key=it.key,
            name=_name_of(way, it.key),
            cells=_cells(it),
            under_target=it.gross_margin is not None and it.gross_margin < found.target,
        )
        for it in found.by[way]
    )
    return TallyTable(way, WAYS[way], COLUMNS, rows)


def _cells(it: Tally) -> tuple[str, ...]:
    counts = (it.quotes, it.open, it.accepted, it.declined, it.lapsed)
    return (
        *map(formatting.number, counts),
        percent_or_none(it.share_accepted),
        percent_or_none(it.share_repaired),
        money_or_none(it.average_job),
        percent_or_none(it.gross_margin),
    )


def _plots(found: Books) -> tuple[BarPlot, ...]:
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
        categories=tuple(_name_of(way, it.key) for it in shown),
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
        categories=tuple(_name_of("person", it.key) for it in shown),
        series=(("Gross margin", tuple(None if it is None else float(it) for it in margins)),),
        unit="share of price",
        stacked=False,
        line=float(found.target),
    )


def _shown(found: Books, way: str) -> tuple[Tally, ...]:
    """Return the groups that a plot has room for: the last months, the largest else."""
    every = found.by[way]
    return every[-MOST_BARS:] if way == "month" else every[:MOST_BARS]
