"""Fields on the page: each is saved to the draft the moment it changes."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import streamlit as st

from app import session
from app.screens import blocks

if TYPE_CHECKING:
    from app.views.fields import Card, Field


@session.guarded
def _keep(path: str, key: str) -> None:
    session.keep(path, st.session_state[key])


def show(field: Field, draft_id: str) -> None:
    """Lay out one field with what stands beside it."""
    key = f"{draft_id}:{field.path}"
    seed(key, _blank(field) if field.value is None else field.value)
    _widget(field, {"key": key, "on_change": _keep, "args": (field.path, key)})
    beside = [blocks.tag(field.word, field.tone)] if field.word else []
    beside += [blocks.tag(f"assumed: {field.assumed}")] if field.assumed else []
    beside += [f'<span class="hint">{blocks.escape(field.hint)}</span>'] if field.hint else []
    if field.problem:
        beside.append(f'<span class="problem" role="alert">{blocks.escape(field.problem)}</span>')
    if beside:
        st.html(f'<div class="beside">{"".join(beside)}</div>')


def _blank(field: Field) -> Any:
    return {"text": "", "long_text": "", "tick": False}.get(field.kind)


def seed(key: str, value: Any) -> None:
    """Show what the draft holds; a value that could not be saved stays as typed."""
    last = f"{key}:seed"
    if key not in st.session_state or st.session_state.get(last) != value:
        st.session_state[key] = value
    st.session_state[last] = value


def _widget(field: Field, bound: dict[str, Any]) -> None:
    name = field.name + (" *" if field.required and field.value is None else "")
    values = [choice.value for choice in field.choices]
    labels = {choice.value: choice.label for choice in field.choices}
    if field.kind == "choice":
        st.segmented_control(name, values, format_func=labels.get, width="stretch", **bound)
    elif field.kind == "yes_no":
        yes_no = {True: "Yes", False: "No"}
        st.segmented_control(name, [True, False], format_func=yes_no.get, **bound)
    elif field.kind == "long_choice":
        st.selectbox(name, values, None, labels.get, placeholder="Choose", **bound)
    elif field.kind == "pick":
        st.radio(name, values, None, labels.get, width="stretch", **bound)
    elif field.kind == "tick":
        st.toggle(name, **bound)
    elif field.kind == "text":
        st.text_input(name, max_chars=200, **bound)
    elif field.kind == "long_text":
        st.text_area(name, max_chars=2000, height=100, **bound)
    else:
        whole = field.kind == "whole"
        steps: dict[str, Any] = {"step": 1} if whole else {"step": 0.1, "format": "%g"}
        st.number_input(name, value=None, **steps, **bound)


def show_card(card: Card, draft_id: str) -> None:
    """Lay out a card of fields; a folded one opens on a tap."""
    label = f"**{card.title}**" + (f"  \n{card.summary}" if card.summary else "")
    with st.expander(label, expanded=not card.folded, key=f"{draft_id}-{card.key}"):
        for field in card.fields:
            show(field, draft_id)
