"""What was seen later of a quoted heater, recorded at a later visit."""

from __future__ import annotations

from typing import TYPE_CHECKING

import streamlit as st

from app import outcomes, session
from app.screens import blocks, marks, refusals

if TYPE_CHECKING:
    from app.ledger.records import IssuedQuote

HELD = {"yes": True, "no": False}


@refusals.said_at("outcome-{0}", "seen_on", "note")
def _record(number: str) -> None:
    state = st.session_state
    failed = state.get(f"failed-{number}")
    outcomes.record_outcome(
        session.shop(),
        session.signed_in(),
        number,
        state[f"seen-{number}"],
        session.now(),
        repair_held=HELD.get(state.get(f"held-{number}") or ""),
        failed_on=failed,
        note=state.get(f"outcome-note-{number}") or "",
    )


def show(quote: IssuedQuote) -> None:
    """Lay out what was seen so far, and the form for what is seen today."""
    number = quote.number
    seen = outcomes.outcomes(session.shop(), session.signed_in(), number)
    told = f"{len(seen)} recorded" if seen else "did the repair hold? when did it fail?"
    with st.expander(f"**What became of the heater**  \n{told}", key=f"outcome-{number}"):
        for each in seen:
            words = [f"Seen {each.seen_on}"]
            if each.repair_held is not None:
                words.append("the repair held" if each.repair_held else "the repair did not hold")
            words += [f"failed on {each.failed_on}"] if each.failed_on else []
            words += [each.note] if each.note else []
            blocks.write(marks.items([", ".join(words)]))
        here = f"outcome-{number}"
        refusals.show(here)
        with refusals.field(here, "seen_on"):
            st.date_input("Seen on", "today", key=f"seen-{number}", format="YYYY-MM-DD")
        st.segmented_control(
            "Did the repair hold?",
            list(HELD),
            format_func=str.capitalize,
            key=f"held-{number}",
            width="stretch",
        )
        st.date_input("Failed on, if it failed for good", None, key=f"failed-{number}",
                      format="YYYY-MM-DD")  # fmt: skip
        with refusals.field(here, "note"):
            st.text_input("Note", key=f"outcome-note-{number}")
        st.button("Record this", key=f"record-{number}", on_click=_record, args=(number,),
                  width="stretch")  # fmt: skip
