"""The owner's desk: what waits for his word."""

from __future__ import annotations

from html import escape
from typing import TYPE_CHECKING

import streamlit as st

from app import allowing, publishing, session
from app.people.roles import Action
from app.screens import blocks, marks, refusals
from app.views.desk_asks import build_asks_view

if TYPE_CHECKING:
    from app.views.desk_asks import AskRow

DECIDED_SHOWN = 10


@refusals.said_at("{0}", "reason")
def _decide(allowance_id: str, allow: bool) -> None:
    allowing.decide_allowance(
        session.shop(),
        session.signed_in(),
        allowance_id,
        allow=allow,
        reason=st.session_state.get(f"reason-{allowance_id}") or "",
        at=session.now(),
    )


def show_page() -> None:
    """Show the requests that nobody decided, and the last ones that somebody did."""
    with session.guard():
        actor = session.allow(Action.DECIDE_ALLOWANCE)
        shop = session.shop()
        floor = publishing.rate_sheet_on(shop, actor, session.today()).sheet.quote.margin_floor
        every = build_asks_view(allowing.allowances(shop, actor, undecided=False), floor)
        waiting = [ask for ask in every if not ask.decided]
        decided = [ask for ask in every if ask.decided][:DECIDED_SHOWN]
        blocks.title("Desk", "Jobs under your margin floor wait for your word.")
        refusals.show_gone(*(ask.allowance_id for ask in waiting))
        if not waiting:
            blocks.write(marks.note("No technician asks.", "good", "Nothing waits."))
        for ask in waiting:
            _ask(ask)
        if decided:
            with blocks.card("card-decided"):
                blocks.heading("Decided")
                rows = "".join(
                    f'<div class="path"><h3>{escape(ask.title)}</h3><p>{escape(ask.decided)}</p>'
                    f'<p class="under">{escape(ask.about)}</p></div>'
                    for ask in decided
                )
                blocks.write(rows)


def _ask(ask: AskRow) -> None:
    with blocks.card(f"card-ask-{ask.allowance_id}"):
        blocks.heading(ask.title, ask.about)
        jobs = "".join(
            f"<p><strong>{escape(name)}</strong><br>{escape(sums)}</p>" for name, sums in ask.jobs
        )
        blocks.write(jobs + (marks.note(ask.note, "plain", "He says:") if ask.note else ""))
        refusals.show(ask.allowance_id)
        with refusals.field(ask.allowance_id, "reason"):
            st.text_input("Your reason, for the books", key=f"reason-{ask.allowance_id}")
        once, never = st.columns(2, wrap=False)
        once.button("Allow once", type="primary", key=f"allow-{ask.allowance_id}",
                    on_click=_decide, args=(ask.allowance_id, True), width="stretch")  # fmt: skip
        never.button("Refuse", key=f"deny-{ask.allowance_id}", on_click=_decide,
                     args=(ask.allowance_id, False), width="stretch")  # fmt: skip
