"""The quotes behind the books: a page of them to look into, and all of them as a file."""

from __future__ import annotations

import tempfile
from functools import partial
from html import escape
from pathlib import Path
from typing import TYPE_CHECKING

import streamlit as st

from app import session
from app.desk.book_rows import book_quotes, export_books
from app.screens import blocks
from app.views.desk_books import build_quotes_view

if TYPE_CHECKING:
    from app.desk.books import BookFilter
    from app.people.guard import Actor
    from app.views.desk_books import QuoteLine

LISTED = 25
FILES = (("CSV", ".csv"), ("Parquet", ".parquet"), ("Excel", ".xlsx"))
SKIP = "books-skip"


def show(actor: Actor, wanted: BookFilter) -> None:
    """List the quotes that the filter lets through, the last first; hand all over as files."""
    held, skip = st.session_state.get(SKIP, (None, 0))
    skip = skip if held == wanted else 0
    page = book_quotes(session.shop(), actor, wanted, session.today(), LISTED, skip)
    view = build_quotes_view(page)
    with blocks.card("card-quotes"):
        last = skip + len(view.rows)
        these = f"; these are {skip + 1:,} to {last:,}" if view.rows else ""
        blocks.heading("The quotes themselves", f"{view.count}{these}.")
        said = "".join(_line(row) for row in view.rows)
        blocks.write(f'<ul class="plain-list">{said}</ul>' if said else "<p>None.</p>")
        later, earlier = st.columns(2, wrap=False)
        for column, name, to, off in (
            (later, "Later", skip - LISTED, skip == 0),
            (earlier, "Earlier", skip + LISTED, last >= page.count),
        ):
            column.button(name, key=f"books-{name}", on_click=_turn, args=(wanted, to),
                          disabled=off, width="stretch")  # fmt: skip
        for name, ending in FILES:
            file, save = f"books{ending}", partial(_export, session.token(), wanted, ending)
            st.download_button(name, save, file, key=file, on_click="ignore",
                               disabled=not page.count, width="stretch")  # fmt: skip


@session.guarded
def _turn(wanted: BookFilter, to: int) -> None:
    st.session_state[SKIP] = (wanted, max(to, 0))


def _line(row: QuoteLine) -> str:
    number = escape(row.number)
    way = f'<a class="way" href="/?issued={number}" target="_self">{number}</a>'
    return f"<li>{way} {escape(row.said)}</li>"


def _export(token: str | None, wanted: BookFilter, ending: str) -> bytes:
    """Write the quotes to a file; saving happens apart from the page's run."""
    actor = session.of_token(token)
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / f"books{ending}"
        export_books(session.shop(), actor, wanted, session.today(), path, session.now())
        return path.read_bytes()
