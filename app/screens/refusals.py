"""Why a press of a button was refused, said in the form where it was pressed."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import streamlit as st

from app import session

if TYPE_CHECKING:
    from collections.abc import Callable

KEY = "refused:"


def said_at(place: str) -> Callable[[Callable[..., None]], Callable[..., None]]:
    """Wrap what a button does, so that trouble is kept for the form that it stands in.

    Parameters
    ----------
    place
        The form; ``{0}`` in it is the first thing that the action is given.

    Returns
    -------
    A decorator; what it wraps never raises.
    """

    def wrapped(action: Callable[..., None]) -> Callable[..., None]:
        def quietly(*given: Any) -> None:
            try:
                action(*given)
            except Exception as problem:  # noqa: BLE001 - the last line before a person
                st.session_state[KEY + place.format(*given)] = session.in_words(problem)

        return quietly

    return wrapped


def show(place: str) -> None:
    """Show why the last press in a form was refused, once."""
    said = st.session_state.pop(KEY + place, None)
    if said:
        st.error(said, icon=":material/error:")
