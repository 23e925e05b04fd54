"""Sliders under the price: other numbers, answered as they move; the quote stays as it is."""

from __future__ import annotations

from html import escape
from typing import TYPE_CHECKING

import streamlit as st

from app import session
from app.screens import blocks, prices
from app.trying import try_numbers
from app.views.trying import (
    LEAST_PERCENT,
    MOST_PERCENT,
    SLIDERS,
    STEP_PERCENT,
    build_tried_view,
    factor,
)

if TYPE_CHECKING:
    from app.views.trying import Slider
    from app.visiting import PricedVisit


@st.fragment
def show(priced: PricedVisit, owner: str) -> None:
    """Lay out the sliders and what comes out; only this card is worked out again."""
    label = "**Try other numbers**  \nthe quote stays as it is"
    with session.guard(), st.expander(label, key=f"{owner}-trying"):
        factors = {each.name: factor(_slider(each, owner)) for each in SLIDERS}
        view = build_tried_view(try_numbers(priced, factors))
        blocks.write(
            f'<div role="status"><p><strong>{escape(view.verdict)}</strong> {escape(view.chance)}'
            f"</p>{prices.pairs(view.figures)}</div>"
        )


def _slider(slider: Slider, owner: str) -> int:
    return st.slider(
        slider.label,
        LEAST_PERCENT,
        MOST_PERCENT,
        0,
        STEP_PERCENT,
        format="%+d%%",
        key=f"{owner}:try-{slider.name}",
    )
