"""The stock screen: what runs low on a van, what quotes hold, and what lies at a place."""

from __future__ import annotations

import streamlit as st

from app import reserving, restocking, session
from app.people.roles import Action
from app.screens import answers, blocks, finding_parts, marks, set_aside, stock_cards, working
from app.views.stock import build_at_place, build_held_cards, build_low_cards

WEEKS, PLACE = (4, 8, 13, 26), "van"  # in the address a branch stands where a van does


def show_page() -> None:
    """Show one van or branch, the technician's own van first; without one, all of them."""
    actor = session.allow(Action.WORK_VISIT)
    shop, day, branches = session.shop(), session.today(), working.branches()
    blocks.title("Stock", "What the quotes use, against what is free.")
    with blocks.card("card-van"):
        places = (*working.vans(), *branches)
        own = finding_parts.van_of(actor)
        place = st.selectbox(
            "Van or branch",
            places,
            answers.place(own, places),
            key=PLACE,
            placeholder="Every place",
            bind="query-params",
        )
    if place not in branches:  # what runs low is by van; the branch is where it comes from
        with blocks.card("card-low"):
            blocks.heading("Runs low")
            label = "Weeks of quotes to go by"
            weeks = st.segmented_control(label, WEEKS, default=8, key="stock-weeks", required=True)
            low = build_low_cards(restocking.running_low(shop, actor, day, weeks, place), weeks)
            blocks.write("".join(stock_cards.low(card, named=place is None) for card in low))
            if not low:
                blocks.write(marks.note("By what was quoted.", "good", "Nothing runs low."))
    with blocks.card("card-held"):
        blocks.heading("Set aside for quotes")
        held = build_held_cards(reserving.held(shop, actor, day), branches, place)
        for card in held:
            blocks.write(stock_cards.held(card))
            set_aside.let_go(f"Let go what {card.number} holds", card.number)
        if not held:
            blocks.small("No quote holds a part.")
    if place is not None:
        where = "at" if place in branches else "on"
        with st.expander(f"**All {where} {place}**", key="all-on-van"):
            lines = build_at_place(reserving.stock_on(shop, actor, place, day))
            blocks.write("".join(stock_cards.at_place(line) for line in lines))
