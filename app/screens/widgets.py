"""One widget for each kind of question."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import streamlit as st

from app.screens import answers

if TYPE_CHECKING:
    from app.views.fields import Field

FEW = 10
FITS = 30  # letters that fit next to each other on a phone


def draw(field: Field, value: Any, bound: dict[str, Any]) -> None:
    """Draw the widget of a field.

    Parameters
    ----------
    field
        The field.
    value
        What it shows at first.
    bound
        Key, callback and the like, given on to the widget.
    """
    name = field.name
    values, said = [choice.value for choice in field.choices], answers.words_of(field.choices)
    chosen = value if value in values else None
    at = answers.place(value, values)
    if field.kind == "choice" and sum(len(choice.label) for choice in field.choices) > FITS:
        st.pills(name, values, default=chosen, format_func=said, **bound)
    elif field.kind == "choice":
        st.segmented_control(
            name, values, default=chosen, format_func=said, width="stretch", **bound
        )
    elif field.kind == "yes_no":
        st.segmented_control(
            name, [True, False], default=value, format_func=_yes_no, width="stretch", **bound
        )
    elif field.kind == "long_choice":
        if len(values) < FEW:  # a short list needs no keyboard
            bound = {"filter_mode": None, **bound}
        st.selectbox(name, values, at, said, placeholder="Choose", **bound)
    elif field.kind == "pick":
        st.radio(name, values, at, said, width="stretch", **bound)
    elif field.kind == "many":
        st.pills(name, values, default=value, selection_mode="multi", format_func=said, **bound)
    elif field.kind == "tick":
        st.toggle(name, value, **bound)
    # No text is cut short here: too long a one is refused at the field, with a word.
    elif field.kind == "text":
        st.text_input(name, value, **bound)
    elif field.kind == "long_text":
        st.text_area(name, value, height=100, **bound)
    else:  # a number, as text: a comma or another script's digits must not vanish unread
        st.text_input(name, value, autocomplete="off", **bound)


def _yes_no(answer: bool) -> str:
    return "Yes" if answer else "No"
