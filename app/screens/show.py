"""Step five: turn the screen round; then issue the quote and hand over the PDF."""

from __future__ import annotations

from typing import TYPE_CHECKING

import streamlit as st

from app import answering, quoting, revising, session, stopping
from app.screens import (
    asking,
    blocks,
    customer,
    files_card,
    kept_stops,
    link_card,
    marks,
    outcome,
    set_aside,
)
from app.views.quotes import STATES

if TYPE_CHECKING:
    from app.ledger.records import IssuedQuote
    from app.visiting import PricedVisit


@session.guarded
def _issue(priced: PricedVisit, draft_id: str) -> None:
    actor = session.signed_in()
    issued = quoting.issue_quote(
        session.shop(),
        priced,
        actor,
        session.now(),
        draft_id=draft_id,
        reserve=set_aside.wanted(draft_id),
    )
    st.query_params.from_dict({"issued": issued.number})


@session.guarded
def _revise(quote: IssuedQuote) -> None:
    draft = revising.revise_quote(session.shop(), session.signed_in(), quote, session.now())
    session.open_draft(draft)


def show(priced: PricedVisit, draft_id: str) -> None:
    """Lay out the customer's side by side with the button that issues the quote."""
    customer.show(quoting.view_of_priced(priced))
    if asking.must_wait(priced, draft_id):
        return
    with blocks.card("card-issue"):
        blocks.heading("Give this as a written quote", "It gets a number and no longer changes.")
        set_aside.tick(priced, draft_id)
        st.button(
            "Issue the quote",
            type="primary",
            key="issue",
            on_click=_issue,
            args=(priced, draft_id),
            width="stretch",
        )


def show_issued(number: str) -> None:
    """Lay out what follows on issuing: the number, the PDF, the customer's own view."""
    quote = quoting.issued(session.shop(), session.signed_in(), number)
    blocks.title(f"Quote {quote.number}", "Issued. It no longer changes.")
    actor, day = session.signed_in(), session.today()
    blocks.write(marks.tag(*STATES[answering.quote_state(session.shop(), actor, quote, day)]))
    with blocks.card("card-issued"):
        link = link_card.made_here(number)
        session.pdf_button(quote.number, "Download the PDF", "primary", link)
        st.button(
            "Show it to the customer",
            key="to-customer",
            on_click=st.query_params.from_dict,
            args=({"quote": number},),
            width="stretch",
        )
        st.button("Change this quote", key="revise", on_click=_revise, args=(quote,),
                  width="stretch")  # fmt: skip
        st.button("Next visit", key="next-visit", on_click=st.query_params.clear, width="stretch")
        set_aside.told(quote)
    link_card.show(quote)
    files_card.show(quote)
    kept = stopping.kept_stops_of_quote(session.shop(), session.signed_in(), number)
    blocks.write(kept_stops.markup(kept))
    outcome.show(quote)
