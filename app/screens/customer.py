"""The customer's side by side: made from the customer's view alone."""

from __future__ import annotations

from typing import TYPE_CHECKING

import streamlit as st

from app.screens import blocks, chart, grounds, head, sides
from app.views.customer_words import LABELS

if TYPE_CHECKING:
    from app.views.customer import CustomerView


def show(view: CustomerView) -> None:
    """Lay out what the customer reads, both paths next to each other."""
    st.html(head.quote(view))
    for stop in view.stops:
        st.html(blocks.note(stop.what_to_do, "stop", stop.why))
    with blocks.card("card-sides"):
        blocks.heading(view.verdict.headline, view.verdict.compared)
        st.html(sides.table(view) + grounds.prices_of(view))
    if view.chart:
        with blocks.card("card-chart"):
            blocks.heading(view.chart.title)
            chart.show(view.chart)
            blocks.small(view.chart.description)
    with blocks.card("card-why"):
        blocks.heading(LABELS["reasons"])
        st.html(
            blocks.items(view.verdict.reasons)
            + blocks.more(LABELS["turns"], blocks.items(view.verdict.turns))
            + blocks.more(LABELS["rules"], blocks.items(view.verdict.rules_of_thumb))
            + blocks.more(LABELS["others"], grounds.others(view))
        )
    with blocks.card("card-rests"):
        blocks.heading(LABELS["rests_on"])
        st.html(
            grounds.facts(view)
            + blocks.more(LABELS["unknown"], blocks.items(view.unknowns))
            + blocks.more(LABELS["notes"], grounds.notes(view.notes))
        )
    with blocks.card("card-safe"):
        blocks.heading(LABELS["cautions"])
        st.html(grounds.notes(view.cautions))
    blocks.small(f"{view.heading.valid_text} {view.terms}")
    if view.shop.invented:
        blocks.small(LABELS["invented"])
