"""Publishing the rate sheet: what changes, and from which day on."""

from __future__ import annotations

from typing import TYPE_CHECKING

import streamlit as st

from app import publishing, session
from app.screens import blocks, marks, refusals
from app.views.rate_form import sheet_of

if TYPE_CHECKING:
    from app.views.rates import RatesView


@refusals.said_at("publish")
def _publish(form: str) -> None:
    state = st.session_state
    if form not in state:
        return  # published a moment ago
    sheet = sheet_of(state[form])
    by, now = session.signed_in(), session.now()
    made = publishing.publish_rates(session.shop(), sheet, state["holds-from"], by, now)
    del state[form]
    state["published"] = f"Version {made.version} is published."


def show(view: RatesView, form: str) -> None:
    """Lay out what changes, from when on, and the button; `form` is where the form is kept."""
    with blocks.card("card-publish"):
        blocks.heading("Publish")
        refusals.show("publish")
        if said := st.session_state.pop("published", None):
            blocks.write(marks.note("The next quote follows it.", "good", said))
        changes = marks.items(view.changes) or '<p class="under">Nothing is changed yet.</p>'
        blocks.write(changes + "".join(marks.note(fault, "stop") for fault in view.faults))
        st.date_input("Holds from", "today", key="holds-from", format="YYYY-MM-DD")
        if view.later:
            blocks.write(marks.note(view.later, "check"))
        st.button(
            "Publish this rate sheet",
            type="primary",
            key="publish",
            on_click=_publish,
            args=(form,),
            disabled=bool(view.faults) or not view.changes,
            width="stretch",
        )
