"""The customer's side by side: made from the customer's view alone."""

from __future__ import annotations

from typing import TYPE_CHECKING

import streamlit as st

from app.screens import blocks, chart, grounds, sides
from app.views.customer_words import LABELS

if TYPE_CHECKING:
    from app.views.customer import CustomerView


def show(view: CustomerView) -> None:
    """Lay out what the customer reads, both paths next to each other."""
    st.html(sides.head(view))
    for stop in view.stops:
        st.html(blocks.note(stop.what_to_do, "stop", stop.why))
    with st.container(border=True, key="card-sides"):
        blocks.heading(view.verdict.headline, view.verdict.compared)
        st.html(sides.table(view) + grounds.prices_of(view))
    if view.chart:
        with st.container(border=True, key="card-chart"):
            blocks.heading(view.chart.title)
            chart.show(view.chart)
            blocks.small(view.chart.description)
    with st.container(border=True, key="card-why"):
        blocks.heading(LABELS["reasons"])
        st.html(
            blocks.items(view.verdict.reasons)
            + blocks.more(LABELS["turns"], blocks.items(view.verdict.turns))
            + blocks.more("Rules of thumb", blocks.items(view.verdict.rules_of_thumb))
            + blocks.more("Other new heaters we looked at", grounds.others(view))
        )
    with st.container(border=True, key="card-rests"):
        blocks.heading("What this rests on")
        st.html(grounds.facts(view) + blocks.more("What we do not know", blocks.items(view.unknowns)))
    with st.container(border=True, key="card-safe"):
        blocks.heading("To stay safe")
        st.html(grounds.notes(view.cautions) + grounds.notes(view.notes))
    blocks.small(f"{view.heading.valid_text} {view.terms}")
