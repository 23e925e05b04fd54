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


def write(markup: str) -> None:
    """Lay out markup made here; nothing where there is none."""
    if markup:
        st.html(markup)


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
