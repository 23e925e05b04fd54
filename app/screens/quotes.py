"""The issued quotes, and the customer's view of one for who is signed in."""

from __future__ import annotations

from html import escape
from typing import TYPE_CHECKING

import streamlit as st

from app import answering, quoting, session
from app.people.roles import Action
from app.screens import blocks, link, link_card, marks, revisions
from app.views.quotes import build_quotes_view

if TYPE_CHECKING:
    from app.views.quotes import QuoteRow


def show_page() -> None:
    """Show the list of issued quotes, the newest first."""
    with session.guard():
        actor = session.allow(Action.LIST_QUOTES)
        found = quoting.quotes(session.shop(), actor)
        states = answering.states(session.shop(), actor, found, session.today())
        rows = build_quotes_view(found, states)
        blocks.title("Quotes", "Issued quotes do not change.")
        if not rows:
            blocks.write(marks.note("A visit ends with one.", "plain", "No quote is issued yet."))
        for row in rows:
            with st.container(border=True, key=f"quote-{row.number}"):
                blocks.write(_row(row))
                open_it, pdf = st.columns(2, wrap=False)
                with open_it:
                    st.link_button("Open", f"/?issued={row.number}", width="stretch")
                with pdf:
                    session.pdf_button(row.number, "PDF")


def _row(row: QuoteRow) -> str:
    prices = (("Repair", row.repair), ("Replace", row.replace))
    cells = "".join(f"<div><dt>{name}</dt><dd>{escape(price)}</dd></div>" for name, price in prices)
    return (
        f'<h2 class="heading">{escape(row.customer)}</h2>'
        f'<p class="under">{escape(" · ".join(t for t in (row.number, row.revision) if t))}</p>'
        f'<div class="path"><dl>{cells}</dl></div><p class="tags">'
        f"{marks.tag(row.state, row.state_tone)}{marks.tag(row.verdict, row.verdict_tone)}"
        f"{marks.tag(row.holds)}</p>"
        f'<p class="under">{escape(row.about)}</p>'
    )


def show_to_customer(number: str) -> None:
    """Show the customer's view of an issued quote on the shop's own screen; nothing else."""
    quote = quoting.issued(session.shop(), session.signed_in(), number, revisions.asked())
    link.show_quote(quote, session.signed_in, link_card.made_here(number))
