"""The technician's visit: the trail, the open step, and the way on."""

from __future__ import annotations

from typing import TYPE_CHECKING

import streamlit as st

from app import session
from app.screens import blocks, finding, heater, part, price, show, start, working
from app.views.finding import build_finding_view
from app.views.heater import build_heater_view, visit_day
from app.views.price import build_price_view
from app.views.start import build_start_view
from app.views.trail import build_missing, build_trail, label_of_step, neighbor

if TYPE_CHECKING:
    from app.ledger.records import Draft


def show_page() -> None:
    """Show the step that the address names, or the list of visits."""
    with session.guard():
        issued = st.query_params.get("issued")
        draft = None if issued else session.draft()
        if issued:
            show.show_issued(issued)
        elif draft is None:
            start.show(build_start_view(session.shop().ledger.drafts()))
        else:
            _trail(draft)
            with session.guard():
                _step(draft)
            _ways(session.step())


def _trail(draft: Draft) -> None:
    with st.container(horizontal=True, wrap=False, gap="xsmall", key="trail"):
        for each in build_trail(draft.payload, session.step()):
            kind = "primary" if each.state == "here" else "secondary"
            label = f"{each.mark} {each.label}"
            st.button(label, key=f"to-{each.slug}", type=kind, on_click=session.go, args=(each.slug,))


def _step(draft: Draft) -> None:
    step, payload = session.step(), draft.payload
    if step == "heater":
        families = working.families()
        day = visit_day(payload, session.today())
        heater.show(build_heater_view(payload, families, day), families, draft.draft_id)
    elif step == "finding":
        finding.show(build_finding_view(payload), draft.draft_id)
    elif missing := build_missing(payload):
        blocks.title(label_of_step(step))
        for each in missing:
            st.html(blocks.note(each.sentence, "check", f"{label_of_step(each.step)}."))
    elif step == "part":
        part.show(working.part_view(payload), draft.draft_id)
    elif step == "price":
        price.show(build_price_view(working.priced(payload).estimate))
    else:
        show.show(working.priced(payload), draft.draft_id)


def _ways(step: str) -> None:
    with st.container(horizontal=True, wrap=False, key="ways"):
        for by, word in ((-1, "Back"), (1, "Next")):
            to = neighbor(step, by)
            if to:
                label = f"{word}: {label_of_step(to).lower()}"
                kind = "primary" if by > 0 else "secondary"
                st.button(label, key=f"way-{word}", type=kind, on_click=session.go, args=(to,), width="stretch")
