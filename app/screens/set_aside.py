"""What a quote sets aside: the tick as it is issued, and what became of it."""

from __future__ import annotations

from typing import TYPE_CHECKING

import streamlit as st

from app import reserving, session
from app.screens import blocks, marks
from app.views.stock import build_set_aside, set_aside_label

if TYPE_CHECKING:
    from app.ledger.records import IssuedQuote
    from app.visiting import PricedVisit


def tick(priced: PricedVisit, draft_id: str) -> None:
    """Ask whether the parts are set aside; nothing is asked where none of them is free."""
    wishes = reserving.wishes_of(session.shop(), priced)
    label = set_aside_label(wishes, priced.supply.parts, priced.visit.visit.van)
    if label:
        key = _key(draft_id)
        usual = reserving.reserves_by_default(session.shop(), priced.visit.revises)
        st.toggle(label, usual, key=key)


def wanted(draft_id: str) -> bool | None:
    """Return what was ticked; ``None`` where nothing was asked."""
    return st.session_state.get(_key(draft_id))


def told(quote: IssuedQuote) -> None:
    """Say what is set aside for a quote, and what another quote holds."""
    actor, day = session.signed_in(), session.today()
    asked = reserving.set_aside_for(session.shop(), actor, quote, day)
    lines = build_set_aside(asked)
    blocks.write("".join(marks.note(line.sentence, line.tone) for line in lines))
    if any(each.reservation.pieces and each.reservation.released_at is None for each in asked):
        let_go("Let the parts go: fitted, or not wanted", quote.number)


def let_go(label: str, number: str) -> None:
    """Lay out the button by which a quote lets go what it holds."""
    st.button(label, key=f"let-go-{number}", on_click=_release, args=(number,), width="stretch")


@session.guarded
def _release(number: str) -> None:
    reserving.release(session.shop(), session.signed_in(), number, session.now())


def _key(draft_id: str) -> str:
    return f"{draft_id}-set-aside"
