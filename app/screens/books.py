"""The books, for the owner: filters, figures, plots, and the way down to each quote."""

from __future__ import annotations

import tempfile
from functools import partial
from html import escape
from pathlib import Path
from typing import TYPE_CHECKING, Any

import streamlit as st

from app import formatting, session
from app.desk import books as counting
from app.desk.book_rows import book_quotes, export_books
from app.people.roles import Action
from app.screens import blocks, marks, prices
from app.views.desk_books import build_books_view, words_of
from estimator.findings import FINDINGS

if TYPE_CHECKING:
    from app.desk.book_rows import QuoteRow
    from app.people.guard import Actor
    from app.views.desk_books import BookPlot, BookTable

MOST_LISTED = 25
FILES = (("CSV", ".csv"), ("Parquet", ".parquet"), ("Excel", ".xlsx"))
LOOKS = ("#0f5c57", "#6fae9f", "#8a1c17", "#b98a2f", "#9aa39f")
SHAPES = ("", "/", "x", ".", "-")


def show_page() -> None:
    """Show the books over what the filter lets through."""
    with session.guard():
        actor = session.allow(Action.SEE_BOOKS)
        shop, today = session.shop(), session.today()
        everything = counting.books(shop, actor, counting.BookFilter(), today)
        blocks.title("Books", "What was quoted, taken and earned.")
        wanted = _filter(everything.people)
        books = counting.books(shop, actor, wanted, today)
        view = build_books_view(books)
        with blocks.card("card-figures"):
            if view.short:
                blocks.write(marks.note(view.short, "check"))
            blocks.write(prices.pairs(view.figures))
        if view.plot:
            with blocks.card("card-months"):
                blocks.heading(view.plot.title)
                _plot(view.plot)
                blocks.small(view.plot.description)
        with blocks.card("card-ways"):
            blocks.heading("Counted another way")
            blocks.write("".join(marks.more(it.title, _table(it)) for it in view.tables))
            blocks.write(marks.more("Parts", prices.pairs(view.parts)))
        _quotes(actor, wanted)


def _filter(people: tuple[str, ...]) -> counting.BookFilter:
    with st.expander("**Filter**  \nby day, person, finding, state", key="books-filter"):
        first, last = st.columns(2)
        since = first.date_input("Issued from", None, key="books-first", format="YYYY-MM-DD")
        until = last.date_input("Issued to", None, key="books-last", format="YYYY-MM-DD")
        chosen_people = st.pills("Person", people, selection_mode="multi", key="books-people")
        findings = st.multiselect(
            "Finding",
            [each.value for each in FINDINGS],
            format_func=lambda value: words_of("finding", value),
            key="books-findings",
        )
        states = st.pills(
            "State",
            counting.STATES,
            selection_mode="multi",
            format_func=str.capitalize,
            key="books-states",
        )
    return counting.BookFilter(since, until, tuple(chosen_people), tuple(findings), tuple(states))


def _table(table: BookTable) -> str:
    rows = "".join(
        f'<tr><th scope="row">{escape(name)}<small>{escape(more)}</small></th>'
        f'<td class="sum">{escape(counted)}</td></tr>'
        for name, counted, more in table.rows
    )
    return f'<table class="prices">{rows}</table>'


def _plot(plot: BookPlot) -> None:
    from plotly.graph_objects import Figure  # noqa: PLC0415 - slow to import, wanted here only

    dark = st.context.theme.type == "dark"
    ink, rule = ("#eef2ef", "#43504b") if dark else ("#17211f", "#c9cec6")
    figure = Figure()
    for (name, counts), color, shape in zip(plot.series, LOOKS, SHAPES, strict=True):
        figure.add_bar(
            x=list(plot.months),
            y=list(counts),
            name=name,
            marker={"color": color, "pattern": {"shape": shape, "fgopacity": 0.4, "size": 8}},
        )
    axis: dict[str, Any] = {"gridcolor": rule, "linecolor": ink, "fixedrange": True}
    figure.update_layout(
        barmode="stack",
        height=300,
        margin={"l": 8, "r": 8, "t": 8, "b": 8},
        paper_bgcolor="rgba(0,0,0,0)",
        plot_bgcolor="rgba(0,0,0,0)",
        font={"color": ink, "size": 14, "family": "Source Sans, sans-serif"},
        legend={"orientation": "h", "y": -0.2, "x": 0},
        xaxis={"type": "category", "automargin": True, **axis},
        yaxis={"rangemode": "tozero", "automargin": True, **axis},
    )
    quiet = {"displayModeBar": False, "staticPlot": True}
    st.plotly_chart(figure, theme=None, config=quiet, alt=f"{plot.title}. {plot.description}")


def _quotes(actor: Actor, wanted: counting.BookFilter) -> None:
    """List the last quotes that the filter lets through, and hand all of them over as files."""
    page = book_quotes(session.shop(), actor, wanted, session.today(), MOST_LISTED)
    with blocks.card("card-quotes"):
        blocks.heading("The quotes themselves", f"The last {len(page.rows)} of {page.count:,}.")
        said = "".join(_line(row) for row in page.rows)
        blocks.write(f'<ul class="plain-list">{said}</ul>' if said else "<p>None.</p>")
        for name, ending in FILES:
            st.download_button(
                name,
                partial(_export, session.token(), wanted, ending),
                f"books{ending}",
                key=f"books{ending}",
                on_click="ignore",
                disabled=not page.count,
                width="stretch",
            )


def _line(row: QuoteRow) -> str:
    money = "" if row.revenue is None else f", {formatting.money(row.revenue)} before tax"
    return (
        f'<li><a class="way" href="/?issued={escape(row.number)}" target="_self">'
        f"{escape(row.number)}</a> {row.issued_on}, {escape(words_of('finding', row.finding))}, "
        f"{escape(row.state)}{money}</li>"
    )


def _export(token: str | None, wanted: counting.BookFilter, ending: str) -> bytes:
    """Write the quotes to a file; saving happens apart from the page's run."""
    actor = session.of_token(token)
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / f"books{ending}"
        export_books(session.shop(), actor, wanted, session.today(), path, session.now())
        return path.read_bytes()
