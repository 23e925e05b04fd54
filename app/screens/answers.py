"""What a widget shows: the answer that the draft holds."""

from __future__ import annotations

from html import escape
from typing import TYPE_CHECKING, Any

import streamlit as st

from app.screens import marks
from app.views.typed import number_shown

if TYPE_CHECKING:
    from collections.abc import Callable

    from app.views.fields import Choice, Field


def blank(field: Field) -> Any:
    """Return what a field shows while nobody has answered."""
    return {"text": "", "long_text": "", "tick": False, "many": []}.get(field.kind)


def shown(field: Field) -> Any:
    """Return what a field shows: the answer, or what stands there while there is none."""
    if field.is_number:
        return number_shown(field.value)
    return blank(field) if field.value is None else field.value


def words_of(choices: tuple[Choice, ...]) -> Callable[[Any], str]:
    """Return a function from a value to its words."""
    labels = {choice.value: choice.label for choice in choices}
    return lambda value: labels.get(value, str(value))


def seed(key: str, value: Any) -> None:
    """Show what the draft holds; a value that could not be saved stays as typed."""
    last = f"{key}:seed"
    if key not in st.session_state or st.session_state.get(last) != value:
        st.session_state[key] = value
    st.session_state[last] = value


def beside(field: Field) -> str:
    """Return what stands beside a field: its word, what is assumed, its limit, its problem."""
    said = [marks.tag(field.word, field.tone)] if field.word else []
    if field.required and field.value in (None, "") and not field.problem:
        said.append(marks.tag("needed", "check"))
    said += [marks.tag(f"assumed: {field.assumed}")] if field.assumed else []
    said += [f'<span class="hint">{escape(field.hint)}</span>'] if field.hint else []
    if field.problem:
        said.append(problem(field.problem))
    return "".join(said)


def problem(said: str) -> str:
    """Return why an answer is not usable, as it stands at its field; it is read out at once."""
    return f'<span class="problem" role="alert">{escape(said)}</span>'
