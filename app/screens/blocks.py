"""Cards, headings and lines on the page. All text is escaped."""

from __future__ import annotations

from html import escape
from typing import TYPE_CHECKING

import streamlit as st

if TYPE_CHECKING:
    from streamlit.delta_generator import DeltaGenerator


def card(key: str) -> DeltaGenerator:
    """Return a card to be filled."""
    return st.container(border=True, key=key, gap="xsmall")


def slot() -> DeltaGenerator:
    """Return a place for what comes and goes.

    A field is told from another by where it stands: one that something new moves down while a
    person types into it is made anew, and what was typed is gone. So what stands above a
    field is always there, if empty.
    """
    return st.container()


def write(markup: str) -> None:
    """Lay out markup made here; an empty place where there is none."""
    if markup:
        st.html(markup)
    else:
        st.empty()


def title(text: str, under: str = "") -> None:
    """Write the heading of the screen."""
    below = f'<p class="under">{escape(under)}</p>' if under else ""
    write(f'<h1 class="title">{escape(text)}</h1>{below}')


def heading(text: str, under: str = "") -> None:
    """Write the heading of a card."""
    below = f'<p class="under">{escape(under)}</p>' if under else ""
    write(f'<h2 class="heading">{escape(text)}</h2>{below}')


def small(text: str) -> None:
    """Write a line of lesser weight."""
    write(f'<p class="under">{escape(text)}</p>')
