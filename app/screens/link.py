"""What a customer's link opens: his quote and its PDF, without signing in, and nothing else."""

from __future__ import annotations

from functools import partial
from typing import TYPE_CHECKING

import streamlit as st

from app import customer_links, customer_page, session
from app.people.guard import customer as customer_of
from app.screens import accept, customer, language, link_card, revisions
from app.views import answering
from app.views.customer_state import SUPERSEDED

if TYPE_CHECKING:
    from collections.abc import Callable

    from app.ledger.records import IssuedQuote
    from app.people.guard import Actor
    from app.views.customer import CustomerView

OPENED = "link-opened"


def show_page(token: str) -> None:
    """Show the quote that a link opens, or one plain refusal."""
    with session.guard():
        quote = _open(token)
        show_quote(quote, lambda: customer_of(_open(token).number), link_card.address_of(token))


def show_quote(quote: IssuedQuote, who: Callable[[], Actor], link: str | None = None) -> None:
    """Lay out a quote as its customer reads it, with the answer and the PDF.

    Parameters
    ----------
    quote
        The quote.
    who
        Says who reads and answers, and raises where he may no longer.
    link
        The address of the customer's own page, for the PDF's QR code.
    """
    language.show()
    spoken, units = session.language(), session.units()
    view = customer_page.customers_view(
        session.shop(), who(), quote, session.today(), language=spoken, units=units, link=link
    )
    last = customer_page.last_revision(session.shop(), who(), quote)
    others = answering.other_revisions(view, last)
    if view.state == SUPERSEDED:  # the way to what holds stands first
        revisions.to_last(others[0])
    customer.show(view)
    accept.show(view, quote, who)
    revisions.show(others, answering.said(view, answering.REVISIONS))
    st.download_button(
        answering.said(view, answering.SAVE_PDF),
        partial(_pdf, view),
        f"quote-{quote.number}.pdf",
        "application/pdf",
        key=f"pdf-{quote.number}",
        on_click="ignore",
        width="stretch",
    )


def _open(token: str) -> IssuedQuote:
    again = st.session_state.get(OPENED) == token
    revision = revisions.asked()
    quote = customer_links.open_link(
        session.shop(), token, session.now(), again=again, revision=revision
    )
    st.session_state[OPENED] = token
    return quote


def _pdf(view: CustomerView) -> bytes:
    return session.pdf_of_view(view)
