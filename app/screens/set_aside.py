"""What a quote sets aside on the van: the tick as it is issued, and what became of it."""

from __future__ import annotations

from typing import TYPE_CHECKING

import streamlit as st

from app import reserving, session
from app.screens import blocks, marks
from app.views.stock import build_set_aside

if TYPE_CHECKING:
    from app.ledger.records import IssuedQuote
    from app.visiting import PricedVisit


def tick(priced: PricedVisit, draft_id: str) -> None:
    """Ask whether the parts are set aside; nothing is asked where the van holds none of them."""
    wishes = reserving.wishes_of(session.shop(), priced)
    if wishes:
        key = _key(draft_id)
        usual = reserving.reserves_by_default(session.shop(), priced.visit.revises)
        st.session_state.setdefault(key, usual)
        named = ", ".join(wish.part for wish in wishes)
        st.toggle(f"Set the parts aside on {wishes[0].place}: {named}", key=key)


def wanted(draft_id: str) -> bool | None:
    """Return what was ticked; ``None`` where nothing was asked."""
    return st.session_state.get(_key(draft_id))


def told(quote: IssuedQuote) -> None:
    """Say what is set aside for a quote, and what another quote holds."""
    asked = reserving.set_aside_for(session.shop(), session.signed_in(), quote)
    lines = build_set_aside(asked)
    blocks.write("".join(marks.note(line.sentence, line.tone) for line in lines))
    if any(each.reservation.pieces and each.reservation.released_at is None for each in asked):
        let_go("Let the parts go: fitted, or not wanted", quote.number)


def let_go(label: str, number: str, place: str = "") -> None:
    """Lay out the button by which a quote lets go what it holds."""
    key = f"let-go-{number}-{place}"
    st.button(label, key=key, on_click=_release, args=(number,), width="stretch")


@session.guarded
def _release(number: str) -> None:
    reserving.release(session.shop(), session.signed_in(), number, session.now())


def _key(draft_id: str) -> str:
    return f"{draft_id}-set-aside"
