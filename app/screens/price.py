"""Step four: the price, both paths, the verdict."""

from __future__ import annotations

from typing import TYPE_CHECKING

import streamlit as st

from app.screens import blocks, grounds, prices

if TYPE_CHECKING:
    from app.views.price import PriceView


def show(view: PriceView) -> None:
    """Lay out the price of the job and what speaks for each path."""
    blocks.title("Price")
    if view.finding_doubt:
        st.html(blocks.note(view.finding_doubt, "check", "The readings contradict the finding."))
    with blocks.card("card-verdict"):
        blocks.heading(view.headline, view.study)
        more = blocks.more("What would change this", blocks.items(view.turns))
        thumb = blocks.more("Rules of thumb, beside it", blocks.items(view.rules_of_thumb))
        st.html(blocks.items(view.reasons) + more + thumb)
    if view.repair_prices:
        with blocks.card("card-repair-price"):
            blocks.heading("The repair, line by line", view.repair_prices.name)
            st.html(prices.table(view.repair_prices))
    with blocks.card("card-paths"):
        blocks.heading("Both paths", f"{view.study}, in today's dollars, tax in")
        st.html("".join(prices.path(row) for row in view.rows[:2]))
        others = "".join(prices.path(row) for row in view.rows[2:])
        st.html(blocks.more(f"{len(view.rows[2:])} other new heaters", others))
    if view.marks:
        with blocks.card("card-marks"):
            blocks.heading("Where it turns")
            st.html(prices.pairs(view.marks))
    with blocks.card("card-cautions"):
        blocks.heading("Cautions")
        st.html(
            grounds.notes(view.cautions)
            + blocks.more("What was assumed", grounds.notes(view.assumed))
        )
