"""The books as the owner reads them: figures, tables, and every plot as plain series."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from typing import TYPE_CHECKING, Final

from app import formatting
from app.views.desk_book_plots import BarPlot, build_plots
from app.views.desk_book_words import asks_for, name_of, words_of
from app.views.desk_words import NONE, counted, money_or_none, percent_or_none, signed_money
from estimator.findings import FINDINGS, Finding

if TYPE_CHECKING:
    from app.desk.book_rows import QuotePage, QuoteRow
    from app.desk.books import BookFilter, Books
    from app.desk.part_costs import PartCost
    from app.desk.tallies import Tally

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


@dataclass(frozen=True)
class TallyRow:
    """One row of a table; `key` is ``None`` where it is not known.

    `asks` is what filters the books to it, as in the address of the screen; nothing where no
    filter can. `short` and `more` say the row in two lines, for a phone.
    """

    key: str | None
    name: str
    cells: tuple[str, ...]
    under_target: bool
    asks: str
    short: str
    more: str


@dataclass(frozen=True)
class TallyTable:
    """One way to look at the books; `cells` of each row stand under `columns`."""

    way: str
    title: str
    columns: tuple[str, ...]
    rows: tuple[TallyRow, ...]


@dataclass(frozen=True)
class BooksView:
    """The books on the screen.

    `figures` are label and text; `parts` number and texts; `people`, `findings` and `states`
    are what a filter may name, each with its words.
    """

    span: str
    figures: tuple[tuple[str, str], ...]
    target: str
    under_target: str
    tables: tuple[TallyTable, ...]
    plots: tuple[BarPlot, ...]
    parts: tuple[tuple[str, str, str], ...]
    people: tuple[str, ...]
    findings: tuple[tuple[str, str], ...]
    empty: str


@dataclass(frozen=True)
class QuoteLine:
    """One quote in a list; `number` and `revision` open it. `said` is the row in a line."""

    number: str
    revision: int
    cells: tuple[str, ...]
    said: str


@dataclass(frozen=True)
class QuotesView:
    """A page of the quotes behind the books, under `columns`."""

    count: str
    columns: tuple[str, ...]
    rows: tuple[QuoteLine, ...]


def build_books_view(found: Books) -> BooksView:
    """Build the view of the books.

    Parameters
    ----------
    found
        The books.

    Returns
    -------
    The view; for the owner's eyes only, for it shows margins.
    """
    floor = " (the margin floor: no target is set)" if found.target_is_floor else ""
    margin = found.total.gross_margin
    under = margin is not None and margin < found.target
    return BooksView(
        span=_span(found.filter),
        figures=_figures(found),
        target=f"Held against a gross margin of {formatting.percent(found.target)}{floor}.",
        under_target=(
            f"The margin earned is under {formatting.percent(found.target)}." if under else ""
        ),
        tables=tuple(_table(found, way) for way in WAYS),
        plots=build_plots(found),
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
                _said(row),
            )
            for row in page.rows
        ),
    )


def _said(row: QuoteRow) -> str:
    money = "" if row.revenue is None else f", {formatting.money(row.revenue)} before tax"
    finding = _word_of("finding", row.finding)
    return f"{finding}, {row.state}{money} · {row.issued_on}, {row.issued_by}"


def build_part_cost_lines(found: tuple[PartCost, ...]) -> tuple[tuple[str, str], ...]:
    """Build the parts' costs for a phone: number and name, and what became of the cost.

    Parameters
    ----------
    found
        The parts' costs.

    Returns
    -------
    Label and text of each, and of all together at the end.
    """
    lines = [(f"{it.number}, {it.description}", _cost(it)) for it in found]
    known = [it.variance for it in found if it.variance is not None]
    if known:
        more = signed_money(sum(known, Decimal(0)))
        lines.append(("All that was used, at today's cheapest offers", more))
    return tuple(lines)


def _cost(it: PartCost) -> str:
    used = f"{counted(it.used, 'piece')} at {formatting.money(it.cost_then)}"
    if it.cost_now is None:
        return f"{used}; nobody offers it today"
    change = f" ({percent_or_none(it.change)})" if it.change else ""
    spread = ""
    if it.dearest_now is not None and it.dearest_now != it.cost_now:
        spread = f", dearest {formatting.money(it.dearest_now)}"
    return f"{used}; {formatting.money(it.cost_now)} now{change} from {it.supplier}{spread}"


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


def _word_of(way: str, key: str | None) -> str:
    return NONE if key is None else words_of(way, key)


def _span(wanted: BookFilter) -> str:
    said = []
    if wanted.first is not None:
        said.append(f"from {formatting.long_date(wanted.first)}")
    if wanted.last is not None:
        said.append(f"to {formatting.long_date(wanted.last)}")
    days = " ".join(said) or "of all days"
    words = [
        *wanted.people,
        *(words_of("finding", it) for it in wanted.findings),
        *(f"{band} years" for band in wanted.ages),
        *(words_of("verdict", it) for it in wanted.verdicts),
        *wanted.states,
    ]
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
            name=name_of(way, it.key),
            cells=_cells(it),
            under_target=it.gross_margin is not None and it.gross_margin < found.target,
            asks=asks_for(way, it.key),
            short=f"{it.quotes:,} quoted, {it.accepted:,} accepted",
            more=_more(it),
        )
        for it in found.by[way]
    )
    return TallyTable(way, WAYS[way], COLUMNS, rows)


def _more(it: Tally) -> str:
    shares = f"{percent_or_none(it.share_accepted)} accepted"
    repaired = f"{percent_or_none(it.share_repaired)} of them repairs"
    margin = f"margin {percent_or_none(it.gross_margin)}"
    return f"{shares}, {repaired} · average {money_or_none(it.average_job)} · {margin}"


def _cells(it: Tally) -> tuple[str, ...]:
    counts = (it.quotes, it.open, it.accepted, it.declined, it.lapsed)
    return (
        *map(formatting.number, counts),
        percent_or_none(it.share_accepted),
        percent_or_none(it.share_repaired),
        money_or_none(it.average_job),
        percent_or_none(it.gross_margin),
    )
