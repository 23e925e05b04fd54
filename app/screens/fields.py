"""Fields on the page: each is saved to the draft the moment it changes."""

from __future__ import annotations

from html import escape
from typing import TYPE_CHECKING, Any

import streamlit as st

from app import session
from app.screens import answers, blocks, widgets
from app.views.typed import kept_number

if TYPE_CHECKING:
    from collections.abc import Callable

    from app.views.fields import Card, Field

    Keeper = Callable[[str, Any], None]


@session.guarded
def _keep(keeper: Keeper, field: Field, key: str) -> None:
    given = st.session_state[key]
    keeper(field.path, kept_number(given or "", field.unit) if field.is_number else given)


def show(field: Field, owner: str, keeper: Keeper = session.keep) -> None:
    """Lay out one field with what stands beside it; `owner` tells equal fields apart."""
    base, value = f"{owner}:{field.path}", answers.shown(field)
    key = answers.following(base, value)
    bound = {"key": key, "on_change": _keep, "args": (keeper, field, key)}
    # Each field in a box of its own: a word that appears beside one moves no other.
    if not _in_a_row(field):
        with st.container(key=f"field-{base}", gap="xsmall"):
            widgets.draw(field, value, bound)
            beside = answers.beside(field)
            blocks.write(f'<div class="beside">{beside}</div>' if beside else "")
        return
    pad = f"pad-{field.kind}-" if field.is_number else ""
    with st.container(key=f"row-{pad}{base}"):
        shares = [2, 3] if field.choices else [3, 2]
        words, answer = st.columns(shares, wrap=False, vertical_alignment="center")
        with words:
            blocks.write(f'<p class="asked">{escape(field.name)}</p>{answers.beside(field)}')
        with answer:
            widgets.draw(field, value, {**bound, "label_visibility": "collapsed"})


def _in_a_row(field: Field) -> bool:
    """Say whether the answer is short enough to stand right of its question."""
    short = max((len(choice.label) for choice in field.choices), default=0) <= 12
    return field.is_number or field.kind == "yes_no" or (field.kind == "long_choice" and short)


def show_card(card: Card, owner: str, keeper: Keeper = session.keep) -> None:
    """Lay out a card of fields; a folded one opens on a tap."""
    label = f"**{card.title}**" + (f"  \n{card.summary}" if card.summary else "")
    with st.expander(label, expanded=not card.folded, key=f"{owner}-{card.key}"):
        for field in card.fields:
            show(field, owner, keeper)
