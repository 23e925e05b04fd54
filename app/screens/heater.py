"""Step one: which heater, where, for whom."""

from __future__ import annotations

from html import escape
from typing import TYPE_CHECKING

import streamlit as st

from app import session
from app.photos import PhotoKind
from app.screens import answers, blocks, fields, photos

if TYPE_CHECKING:
    from collections.abc import Sequence

    from app.views.heater import Family, HeaterView


@session.guarded
def _take(slug: str, families: Sequence[Family]) -> None:
    session.keep_family(next((each for each in families if each.slug == slug), None))


@session.guarded
def _choose(key: str, families: Sequence[Family]) -> None:
    _take(st.session_state[key], families)


def show(view: HeaterView, families: Sequence[Family], draft_id: str) -> None:
    """Lay out the heater: the family fills the plate, the rest has defaults."""
    blocks.title("Heater")
    with blocks.card("card-family"):
        key = answers.following(f"{draft_id}:family", view.family)
        slugs = [choice.value for choice in view.families]
        names = answers.words_of(view.families)
        with blocks.slot():
            if view.recent:
                blocks.small("Met last: one tap takes its plate")
            for choice in view.recent:
                st.button(
                    choice.label,
                    key=f"recent-{choice.value}",
                    on_click=_take,
                    args=(choice.value, families),
                    width="stretch",
                )
        st.selectbox(
            "Heater family",
            slugs,
            answers.place(view.family, slugs),
            names,
            key=key,
            on_change=_choose,
            args=(key, families),
            placeholder="Find it, or type the plate below",
        )
        name = f'<p class="under only-phone">{escape(names(view.family))}.</p>'
        note = f'{name}<p class="under">{escape(view.plate_note)}</p>'
        blocks.write(note if view.plate_note else "")
        for field in view.made:
            fields.show(field, draft_id)
    photos.show(draft_id, PhotoKind.PLATE)
    for card in view.cards:
        fields.show_card(card, draft_id)
