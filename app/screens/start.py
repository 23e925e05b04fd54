"""Where a visit begins, or goes on."""

from __future__ import annotations

from html import escape
from typing import TYPE_CHECKING

import streamlit as st

from app import session, visiting
from app.recent import recent_visits
from app.screens import blocks

if TYPE_CHECKING:
    from app.views.start import OpenVisit


@session.guarded
def _start() -> None:
    actor = session.signed_in()
    van = recent_visits(session.shop(), actor).van
    known = {
        "visit": {"date": session.today().isoformat(), "technician": actor.name, "van": van},
        "ui": {"last_van": van},
    }
    session.open_draft(visiting.own_visit(session.shop(), actor, session.now(), known))


@session.guarded
def _resume(draft_id: str) -> None:
    draft = visiting.draft_of(session.shop(), session.signed_in(), draft_id)
    if draft is not None:
        session.open_draft(draft)


def show(visits: tuple[OpenVisit, ...]) -> None:
    """Lay out the start: a new visit, and those under way."""
    blocks.title("Visits", "At the heater: read the plate, find the fault, quote both paths.")
    with blocks.card("card-new"):
        blocks.heading("New visit")
        st.button("Start a visit", type="primary", on_click=_start, width="stretch", key="start")
    if visits:
        blocks.write('<h2 class="heading">Under way</h2>')
    for visit in visits:
        with st.container(border=True, key=f"card-{visit.draft_id}"):
            about = f'<p>{escape(visit.about)}</p><p class="under">{escape(visit.left_at)}</p>'
            blocks.write(f'<h3 class="heading">{escape(visit.title)}</h3>{about}')
            st.button(
                "Go on with this visit",
                key=f"resume-{visit.draft_id}",
                on_click=_resume,
                args=(visit.draft_id,),
                width="stretch",
            )
