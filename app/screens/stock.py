"""The stock screen: what runs low on a van, what quotes hold of it, and what is on it."""

from __future__ import annotations

from typing import TYPE_CHECKING

import streamlit as st

from app import reserving, session
from app.people.roles import Action
from app.screens import blocks, finding_parts, marks, set_aside, stock_cards, working
from app.views.stock import build_held_cards, build_low_cards, build_on_van

if TYPE_CHECKING:
    from app.people.guard import Actor

WEEKS, VAN = (4, 8, 13, 26), "van"


def show_page() -> None:
    """Show one van, the technician's own first; without one, all of them."""
    actor = session.allow(Action.WORK_VISIT)
    shop, day = session.shop(), session.today()
    blocks.title("Stock", "What the quotes use, against what is free on the van.")
    with blocks.card("card-van"):
        vans = working.vans()
        st.session_state.setdefault("stock-van", _first(actor, vans))
        van = st.selectbox("Van", list(vans), None, key="stock-van", placeholder="Every van")
        label = "Weeks of quotes to go by"
        weeks = st.segmented_control(label, WEEKS, default=8, key="stock-weeks", required=True)
    st.query_params.from_dict({VAN: van} if van else {})
    low = build_low_cards(reserving.running_low(shop, actor, day, weeks, van), weeks)
    with blocks.card("card-low"):
        blocks.heading("Runs low")
        blocks.write("".join(stock_cards.low(card, named=van is None) for card in low))
        if not low:
            blocks.write(marks.note("By what was quoted.", "good", "Nothing runs low."))
    with blocks.card("card-held"):
        blocks.heading("Set aside for quotes")
        held = build_held_cards(reserving.held(shop, actor, day, van))
        for card in held:
            blocks.write(stock_cards.held(card))
            set_aside.let_go(f"Let go what {card.number} holds", card.number, card.van)
        if not held:
            blocks.small("No quote holds a part.")
    if van is not None:
        with st.expander(f"**All on {van}**", key="all-on-van"):
            lines = build_on_van(reserving.stock_on(shop, actor, van, day))
            blocks.write("".join(stock_cards.on_van(line) for line in lines))


def _first(actor: Actor, vans: tuple[str, ...]) -> str | None:
    """Return the van of the address, else the one that the technician last came with."""
    asked = st.query_params.get(VAN) or finding_parts.van_of(actor)
    return asked if asked in vans else None
