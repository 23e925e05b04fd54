"""A job that the owner must allow: how it stands, and the way to ask."""

from __future__ import annotations

from typing import TYPE_CHECKING

import streamlit as st

from app import allowing, quoting, session
from app.screens import blocks, marks, refusals

if TYPE_CHECKING:
    from app.visiting import PricedVisit

NOTE, HERE = "ask-note", "ask-owner"


@refusals.said_at(HERE, "note")
def _ask(priced: PricedVisit, draft_id: str) -> None:
    note = st.session_state.get(NOTE) or ""
    allowing.ask_allowance(
        session.shop(), session.signed_in(), priced, session.now(), note=note, draft_id=draft_id
    )


def must_wait(priced: PricedVisit, draft_id: str) -> bool:
    """Lay out what stands in the way of issuing, if anything does.

    Parameters
    ----------
    priced
        The visit as it is to be issued.
    draft_id
        Its draft, for the owner to look at.

    Returns
    -------
    Whether the quote must wait. No figure of cost, margin or floor is said here.
    """
    jobs = quoting.jobs_under_floor(priced)
    if not jobs:
        return False
    asked = allowing.allowance_of(session.shop(), session.signed_in(), priced)
    if asked is not None and asked.decision == "allowed":
        blocks.write(marks.note(asked.reason, "good", f"{asked.decided_by} allows this job once."))
        return False
    names = ", ".join(job["name"] for job in jobs)
    with blocks.card("card-ask"):
        blocks.heading("Ask the owner", "This quote cannot be issued as it stands.")
        blocks.write(marks.note(f"{names}.", "check", "The owner must allow:"))
        if asked is not None and asked.decision == "":
            blocks.write(marks.note("Open this page again to see the answer.", "plain", "Asked."))
            return True
        if asked is not None:
            blocks.write(marks.note(asked.reason, "stop", f"{asked.decided_by} says no."))
        refusals.show(HERE)
        with refusals.field(HERE, "note"):
            st.text_area("Why this price", key=NOTE, height=100)
        st.button(
            "Ask the owner",
            type="primary",
            key=HERE,
            on_click=_ask,
            args=(priced, draft_id),
            width="stretch",
        )
        blocks.small("Taking the discount off may also do.")
    return True
