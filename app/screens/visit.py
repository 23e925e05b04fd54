"""The technician's visit: the trail, the open step, and the way on."""

from __future__ import annotations

from typing import TYPE_CHECKING

import streamlit as st

from app import session, stopping, visiting
from app.people.roles import Action
from app.screens import (
    blocks,
    finding,
    heater,
    marks,
    part,
    price_step,
    show,
    start,
    trail,
    working,
)
from app.views.finding import build_finding_view
from app.views.heater import build_heater_view, visit_day
from app.views.start import build_start_view
from app.views.trail import build_missing, label_of_step

if TYPE_CHECKING:
    from app.ledger.records import Draft


def show_page() -> None:
    """Show the step that the address names, or the list of visits."""
    with session.guard():
        actor = session.allow(Action.WORK_VISIT)
        issued = st.query_params.get("issued")
        draft = None if issued else session.draft()
        if issued:
            show.show_issued(issued)
        elif draft is None:
            if "draft" in st.query_params:
                st.warning(
                    "That visit is no longer under way: it ended in a quote, or was put away."
                )
            start.show(build_start_view(visiting.drafts(session.shop(), actor)))
        else:
            trail.show(draft.payload)
            with session.guard():
                _step(draft)
            trail.show_ways()


def _step(draft: Draft) -> None:
    step, payload = session.step(), draft.payload
    if step == "heater":
        families = working.families()
        day = visit_day(payload, session.today())
        view = build_heater_view(
            payload,
            families,
            day,
            working.recent_families(),
            working.vans(),
            working.tax_places(day),
        )
        heater.show(view, families, draft.draft_id)
    elif step == "finding":
        kept = stopping.kept_stops(session.shop(), session.signed_in(), draft.draft_id)
        finding.show(build_finding_view(payload, kept), draft.draft_id)
    elif missing := build_missing(payload):
        blocks.title(label_of_step(step))
        for each in missing:
            blocks.write(marks.note(each.sentence, "check", f"{label_of_step(each.step)}."))
    elif step == "part":
        fit, kits, meant = working.part_step(payload)
        part.show(fit, kits, meant, draft.draft_id)
    elif step == "price":
        price_step.show(draft)
    else:
        show.show(working.priced(payload), draft.draft_id)
