"""The parts screen: one search box for a number, words or a measure; results as cards."""

from __future__ import annotations

import streamlit as st

from app import session
from app.people.roles import Action
from app.screens import blocks, finding_parts, marks, parts_cards, parts_form, parts_found, working
from estimator.errors import InputTrouble

ASKED = "q"


def show_page() -> None:
    """Show the search, what it found, and the two other ways to a part."""
    actor = session.allow(Action.WORK_VISIT)
    blocks.title("Parts", "From what is in the hand to what goes in.")
    with blocks.card("card-search"):
        asked = st.text_input(
            "Number, words or a measure",
            key=ASKED,
            placeholder="AB-1204, AB-120 24 in, thermocouple 24 in",
            autocomplete="off",
            bind="query-params",
        )
        vans = working.vans()
        last = finding_parts.van_of(actor)
        first = vans.index(last) if last in vans else 0
        chosen = st.selectbox("Van", vans, first, key="van", bind="query-params")
        van = chosen or ""  # a shop may keep no stock
        names = {family.slug: family.name for family in working.families()}
        heater = st.selectbox(
            "For this heater",
            list(names),
            None,
            names.__getitem__,
            key="heater",
            placeholder="Any",
            bind="query-params",
        )
    if asked:
        try:
            parts_found.show(finding_parts.found(asked, van, heater), _ask)
        except InputTrouble as trouble:
            said = marks.note(str(trouble), "check", "Not understood.")
            blocks.write(f'<div role="status">{said}</div>')
    parts_form.show(van, heater)
    if heater:
        with st.expander("**All parts of this heater**", key="heater-parts"):
            rows = finding_parts.of_heater(heater, van)
            blocks.write("".join(parts_cards.position(row) for row in rows))


@session.guarded
def _ask(text: str) -> None:
    st.session_state[ASKED] = text
