"""Step one: which heater, where, for whom."""

from __future__ import annotations

from typing import TYPE_CHECKING

import streamlit as st

from app import session
from app.screens import blocks, fields

if TYPE_CHECKING:
    from collections.abc import Sequence

    from app.views.heater import Family, HeaterView


@session.guarded
def _choose(key: str, families: Sequence[Family]) -> None:
    chosen = st.session_state[key]
    session.keep_family(next((each for each in families if each.slug == chosen), None))


def show(view: HeaterView, families: Sequence[Family], draft_id: str) -> None:
    """Lay out the heater: the family fills the plate, the rest has defaults."""
    blocks.title("Heater")
    with st.container(border=True, key="card-family"):
        key = f"{draft_id}:family"
        fields.seed(key, view.family)
        names = {choice.value: choice.label for choice in view.families}
        st.selectbox(
            "Heater family",
            list(names),
            None,
            names.get,
            key=key,
            on_change=_choose,
            args=(key, families),
            placeholder="Find it, or type the plate below",
        )
        left, right = st.columns(2, wrap=False)
        with left:
            fields.show(view.made[0], draft_id)
        with right:
            fields.show(view.made[1], draft_id)
        if view.plate_note:
            st.html(blocks.note(view.plate_line, "plain") + f'<p class="under">{view.plate_note}</p>')
    for card in view.cards:
        fields.show_card(card, draft_id)
