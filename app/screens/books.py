"""The books, for the owner: filters, figures, plots, and the way down to each quote."""

from __future__ import annotations

from html import escape
from typing import TYPE_CHECKING

import streamlit as st

from app import session
from app.desk import books as counting
from app.desk.part_costs import part_costs
from app.people.roles import Action
from app.screens import blocks, books_filter, books_plots, books_quotes, marks, prices
from app.views.desk_books import build_books_view, build_part_cost_lines

if TYPE_CHECKING:
    from app.desk.books import BookFilter
    from app.people.guard import Actor
    from app.views.desk_books import TallyTable


def show_page() -> None:
    """Show the books over what the filter lets through."""
    with session.guard():
        actor = session.allow(Action.SEE_BOOKS)
        shop, today = session.shop(), session.today()
        blocks.title("Books", "What was quoted, taken and earned.")
        wanted = books_filter.show(counting.book_people(shop, actor))
        view = build_books_view(counting.books(shop, actor, wanted, today))
        with blocks.card("card-figures"):
            blocks.heading("In all", view.span)
            blocks.write(prices.pairs(view.figures))
            blocks.write(marks.note(view.under_target, "check") if view.under_target else "")
            blocks.small(view.target)
        books_plots.show(view.plots)
        with blocks.card("card-ways"):
            blocks.heading("Counted another way", "Tap a name to see those alone.")
            blocks.write("".join(marks.more(it.title, _table(it)) for it in view.tables))
            parts = tuple((number, f"{used}, {quoted}") for number, used, quoted in view.parts)
            blocks.write(marks.more("Parts", prices.pairs(parts)))
        _costs(actor, wanted)
        books_quotes.show(actor, wanted)


def _table(table: TallyTable) -> str:
    rows = "".join(
        f'<tr><th scope="row">{_way(row.name, row.asks)}<small>{escape(row.more)}</small></th>'
        f'<td class="sum">{escape(row.short)}</td></tr>'
        for row in table.rows
    )
    return f'<table class="prices pairs">{rows}</table>'


def _way(name: str, asks: str) -> str:
    if not asks:
        return escape(name)
    return f'<a class="way" href="/books?{escape(asks)}" target="_self">{escape(name)}</a>'


def _costs(actor: Actor, wanted: BookFilter) -> None:
    """Lay out what the parts used cost when they were quoted, against suppliers' offers now."""
    with blocks.card("card-costs"):
        blocks.heading("Parts against suppliers", "What was used, at its cost then and now.")
        if st.toggle("Compare with today's offers", key="books-costs"):
            found = part_costs(session.shop(), actor, wanted, session.today())
            blocks.write(prices.pairs(build_part_cost_lines(found)) or "<p>None was used.</p>")
