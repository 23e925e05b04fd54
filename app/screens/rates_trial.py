"""Beside the rate sheet's form: the draft tried on visits, and the books priced again at it."""

from __future__ import annotations

from datetime import timedelta
from html import escape
from typing import TYPE_CHECKING

import streamlit as st

from app import session, wiring
from app.desk import rate_trials
from app.desk.books import BookFilter
from app.desk.rate_cautions import rate_cautions
from app.desk.what_if import what_if
from app.screens import blocks, marks, prices, refusals
from app.views import rate_form
from app.views.desk_trial import build_trial_view
from app.views.desk_what_if import build_what_if_view
from estimator.errors import Trouble

if TYPE_CHECKING:
    from app.views.desk_trial import TrialRow
    from app.views.desk_what_if import WhatIfRow

QUOTES_TRIED = 40
SPANS = {30: "30 days", 90: "90 days", 365: "A year"}
TRIED, WHAT_IF = "rates-tried", "rates-what-if"


@refusals.said_at("try")
def _try(form: str, on: str) -> None:
    shop, actor, today = session.shop(), session.signed_in(), session.today()
    draft = rate_form.sheet_of(st.session_state[form])
    if on == "quotes":
        visits = rate_trials.last_issued(shop, actor, QUOTES_TRIED)
    else:
        files = rate_trials.reference_files(shop, actor, wiring.DEMO_DATA / "visits")
        visits = rate_trials.reference_visits(shop, actor, files)
    st.session_state[TRIED] = rate_trials.try_rates(shop, actor, draft, visits, today)


@refusals.said_at("what-if")
def _what_if(form: str) -> None:
    today, draft = session.today(), rate_form.sheet_of(st.session_state[form])
    days = st.session_state["what-if-days"] or next(iter(SPANS))
    wanted = BookFilter(first=today - timedelta(days=days))
    found = what_if(session.shop(), session.signed_in(), draft, wanted, today)
    st.session_state[WHAT_IF] = (draft, found)


def show_trial(form: str, *, ready: bool) -> None:
    """Lay out the trial of the draft in the form."""
    with blocks.card("card-try"):
        blocks.heading("Try it first", "Each visit at the sheet in force and at the draft.")
        refusals.show("try")
        visits, quotes = st.columns(2, wrap=False)
        visits.button("On reference visits", key="try-visits", on_click=_try,
                      args=(form, "visits"), disabled=not ready, width="stretch")  # fmt: skip
        quotes.button("On the last quotes", key="try-quotes", on_click=_try,
                      args=(form, "quotes"), disabled=not ready, width="stretch")  # fmt: skip
        tried = st.session_state.get(TRIED)
        if tried is None:
            return
        if not ready or tried.draft != rate_form.sheet_of(st.session_state[form]):
            blocks.small("The draft changed since it was tried. Try it again.")
            return
        view = build_trial_view(tried)
        blocks.write(f"<p><strong>{escape(view.summary)}</strong></p>")
        blocks.write("".join(_visit(row) for row in view.rows))


def _visit(row: TrialRow) -> str:
    under = f"Under the margin floor: {row.under_floor}." if row.under_floor else ""
    said = "".join(marks.note(text, "check") for text in (row.refused, under) if text)
    title = escape(row.name.replace("_", " "))
    table = prices.compared(("Now", "Draft"), row.cells)
    new = f'<p class="under">{escape(row.replacement)}</p>'
    return f'<div class="path"><h3>{title}</h3>{new}{table}{said}</div>'


def show_what_if(form: str, *, ready: bool) -> None:
    """Lay out the last days of the books, priced again at the draft in the form."""
    with blocks.card("card-what-if"):
        blocks.heading("What if", "Every quote of the last days, as issued → at the draft.")
        refusals.show("what-if")
        st.segmented_control("The last", list(SPANS), format_func=SPANS.__getitem__, default=30,
                             key="what-if-days", width="stretch")  # fmt: skip
        st.button("Price the books again", key="what-if", on_click=_what_if, args=(form,),
                  disabled=not ready, width="stretch")  # fmt: skip
        draft, found = st.session_state.get(WHAT_IF, (None, None))
        if found is None or not ready or draft != rate_form.sheet_of(st.session_state[form]):
            return
        view = build_what_if_view(found)
        blocks.write(f"<p><strong>{escape(view.summary)}</strong></p>")
        blocks.write("".join(_jobs(row) for row in view.rows))
        changed = tuple((number, f"{one} · {other}") for number, one, other in view.quotes)
        label = "The quotes that change most: repair · replacement"
        blocks.write(marks.more(label, prices.pairs(changed)))
        blocks.small(view.note)


def _jobs(row: WhatIfRow) -> str:
    lines = (("Together", row.total), ("Change", row.change), ("Margin", row.margin))
    note = marks.note(row.note, "check") if row.note else ""
    head = f"{escape(row.name)}: {escape(row.jobs)}"
    return f'<div class="path"><h3>{head}</h3>{prices.pairs(lines)}{note}</div>'


def show_cautions(form: str) -> None:
    """Lay out what the owner should know of the draft in the form."""
    try:
        found = rate_cautions(rate_form.sheet_of(st.session_state[form]))
    except Trouble:
        return  # the form says what must be mended first
    for caution in found:
        blocks.write(marks.note(caution.message, "check"))
