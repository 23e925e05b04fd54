"""The parts screen: one search box for a number, words or a measure; results as cards."""

from __future__ import annotations

from typing import Any

import streamlit as st

from app import session
from app.people.roles import Action
from app.screens import blocks, finding_parts, marks, parts_cards, parts_form, parts_found, working
from estimator.errors import InputTrouble

ASKED, VAN, HEATER = "q", "van", "heater"


def show_page() -> None:
    """Show the search, what it found, and the two other ways to a part."""
    actor = session.allow(Action.WORK_VISIT)
    blocks.title("Parts", "From what is in the hand to what goes in.")
    with blocks.card("card-search"):
        _asked_in_address(
            "Number, words or a measure", ASKED, "AB-1204, AB-120 24 in, thermocouple 24 in"
        )
        vans = working.vans()
        if st.query_params.get(VAN) not in vans:
            st.query_params[VAN] = finding_parts.van_of(actor) or next(iter(vans), "")
        _chosen_in_address("Van", VAN, {van: van for van in vans})
        names = {family.slug: family.name for family in working.families()}
        _chosen_in_address("For this heater", HEATER, names)
    asked = st.query_params.get(ASKED, "")
    van, heater = st.query_params.get(VAN, ""), st.query_params.get(HEATER) or None
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


def _ask(text: str) -> None:
    st.session_state[f"parts-{ASKED}"] = st.query_params[ASKED] = text


def _to_address(name: str, key: str) -> None:
    value = st.session_state[key]
    if value:
        st.query_params[name] = value
    else:
        st.query_params.pop(name, None)


def _asked_in_address(label: str, name: str, example: str) -> None:
    """Ask for a text that a reload or a link brings back."""
    key = f"parts-{name}"
    st.session_state.setdefault(key, st.query_params.get(name, ""))
    st.text_input(
        label,
        key=key,
        placeholder=example,
        autocomplete="off",
        on_change=_to_address,
        args=(name, key),
    )


def _chosen_in_address(label: str, name: str, names: dict[str, str]) -> None:
    key = f"parts-{name}"
    held: Any = st.query_params.get(name)
    st.session_state.setdefault(key, held if held in names else None)
    st.selectbox(
        label,
        list(names),
        None,
        names.__getitem__,
        key=key,
        placeholder="Any",
        on_change=_to_address,
        args=(name, key),
    )
