"""Why a press of a button was refused, said at the field it is about, else in its form."""

from __future__ import annotations

from contextlib import contextmanager
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

import streamlit as st

from app import session
from app.screens import answers, blocks
from estimator.errors import Trouble

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator

KEY = "refused:"


@dataclass(frozen=True)
class Refused:
    """Why, and the field of the form that it is about; empty where it is about no single one."""

    why: str
    field: str


def said_at(place: str, *fields: str) -> Callable[[Callable[..., None]], Callable[..., None]]:
    """Wrap what a button does: done whole, and trouble is kept for the form that it stands in.

    Parameters
    ----------
    place
        The form; ``{0}`` in it is the first thing that the action is given.
    *fields
        The fields that the form lays out by `field`; a refusal that is about another one, or
        about none, stands where the form calls `show`.

    Returns
    -------
    A decorator; what it wraps never raises.
    """

    def wrapped(action: Callable[..., None]) -> Callable[..., None]:
        def quietly(*given: Any) -> None:
            with session.whole():
                try:
                    action(*given)
                except Exception as problem:  # noqa: BLE001 - the last line before a person
                    about = problem.field if isinstance(problem, Trouble) else ""
                    kept = Refused(session.in_words(problem), about if about in fields else "")
                    st.session_state[KEY + place.format(*given)] = kept

        return quietly

    return wrapped


def show(place: str) -> None:
    """Show why the last press in a form was refused, once, if it is about no single field."""
    said = _taken(place, "")
    with blocks.slot():
        if said:
            st.error(said, icon=":material/error:")


def show_gone(*laid_out: str) -> None:
    """Show, once, what was kept for a form that is no longer on the page.

    Parameters
    ----------
    *laid_out
        The forms that are: what another person did meanwhile may have taken the one away in
        which the button was pressed, and the reason with it.
    """
    here = {KEY + place for place in laid_out}
    kept = [key for key in st.session_state if str(key).startswith(KEY) and key not in here]
    for key in kept:
        st.error(st.session_state.pop(key).why, icon=":material/error:")


@contextmanager
def field(place: str, name: str = "") -> Iterator[None]:
    """Lay out one field of a form, and under it why the last press was refused for its sake.

    Parameters
    ----------
    place
        The form.
    name
        What a refusal calls the field; empty where it is the only one of the form, so that
        every refusal is about it.
    """
    # A box of its own, as every field has: a word that appears beside one moves no other.
    with st.container(gap="xsmall"):
        yield
        said = _taken(place, name)
        blocks.write(f'<div class="beside">{answers.problem(said)}</div>' if said else "")


def _taken(place: str, name: str) -> str:
    """Take up what is kept for a field of a form, so that it is said once."""
    kept = st.session_state.get(KEY + place)
    if not isinstance(kept, Refused) or kept.field != name:
        return ""
    del st.session_state[KEY + place]
    return kept.why
