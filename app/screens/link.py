"""What a customer's link opens: his quote and its PDF, without signing in, and nothing else."""

from __future__ import annotations

from functools import partial
from typing import TYPE_CHECKING

import streamlit as st

from app import customer_links, customer_page, session
from app.people.guard import customer as customer_of
from app.screens import accept, blocks, customer, language, link_card
from app.views import answering

if TYPE_CHECKING:
    from collections.abc import Callable

    from app.ledger.records import IssuedQuote
    from app.people.guard import Actor
    from app.views.answering import RevisionShown
    from app.views.customer import CustomerView

OPENED = "link-opened"
LONGEST = 6
"""Digits of a number of a revision, and more than any has."""


def show_page(token: str) -> None:
    """Show the quote that a link opens, or one plain refusal."""
    with session.guard():
        quote = _open(token)
        show_quote(quote, lambda: customer_of(_open(token).number), link_card.address_of(token))


def asked_revision() -> int | None:
    """Return the revision that the address asks for; without one, the last is shown."""
    asked = st.query_params.get("revision", "")
    return int(asked) if asked.isascii() and asked.isdigit() and len(asked) < LONGEST else None


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
    customer.show(view)
    accept.show(view, quote, who)
    last = customer_page.last_revision(session.shop(), who(), quote)
    _revisions(answering.other_revisions(view, last), answering.said(view, answering.REVISIONS))
    st.download_button(
        answering.said(view, answering.SAVE_PDF),
        partial(_pdf, view),
        f"quote-{quote.number}.pdf",
        "application/pdf",
        key=f"pdf-{quote.number}",
        on_click="ignore",
        width="stretch",
    )


def _revisions(others: tuple[RevisionShown, ...], title: str) -> None:
    """Lay out the way to the other revisions, where there are any."""
    if not others:
        return
    with blocks.card("card-revisions"):
        blocks.heading(title)
        for each in others:
            st.button(
                each.label,
                key=f"revision-{each.revision}",
                on_click=_to_revision,
                args=(each.revision,),
                width="stretch",
            )


def _to_revision(revision: int) -> None:
    st.query_params["revision"] = str(revision)


def _open(token: str) -> IssuedQuote:
    again = st.session_state.get(OPENED) == token
    revision = asked_revision()
    quote = customer_links.open_link(
        session.shop(), token, session.now(), again=again, revision=revision
    )
    st.session_state[OPENED] = token
    return quote


def _pdf(view: CustomerView) -> bytes:
    return session.pdf_of_view(view)
