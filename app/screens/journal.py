"""The journal, for the owner: who did what, the last lines first."""

from __future__ import annotations

from html import escape
from typing import TYPE_CHECKING

import streamlit as st

from app import journaling, session
from app.people.roles import Action
from app.screens import blocks

if TYPE_CHECKING:
    from app.ledger.records import JournalLine

LINES = 50


def show_page() -> None:
    """Show a page of the journal."""
    with session.guard():
        actor = session.allow(Action.READ_JOURNAL)
        before = st.session_state.get("journal-before")
        lines = journaling.journal(session.shop(), actor, LINES, before=before)
        blocks.title("Journal", "Each line is chained to the one before; none can be changed.")
        with blocks.card("card-journal"):
            blocks.write("".join(_line(line) for line in lines) or "<p>Nothing yet.</p>")
        newest, older = st.columns(2, wrap=False)
        newest.button("Newest", key="journal-newest", on_click=_turn, args=(None,),
                      disabled=before is None, width="stretch")  # fmt: skip
        last = lines[-1].sequence if lines else 0
        older.button("Older", key="journal-older", on_click=_turn, args=(last,),
                     disabled=last <= 1, width="stretch")  # fmt: skip


@session.guarded
def _turn(before: int | None) -> None:
    st.session_state["journal-before"] = before


def _line(line: JournalLine) -> str:
    at = line.done_at.astimezone()
    said = " ".join(text for text in (line.action, line.subject) if text)
    known = {key: text for key, text in line.detail.items() if isinstance(text, str | int)}
    more = " · ".join(
        f"{key.replace('_', ' ')}: {_short(key, text)}" for key, text in known.items()
    )
    return (
        f'<div class="path line"><h2 class="heading">{escape(said)}</h2>'
        f'<p class="under">{line.sequence} · {at:%Y-%m-%d %H:%M:%S} · {escape(line.person)}</p>'
        f'<p class="under">{escape(more[:200])}</p></div>'
    )


def _short(key: str, text: str | int) -> str:
    """Cut a hash to what an eye can hold against another; `heater ledger journal` has it whole."""
    return f"{text}"[:12] if key.endswith("hash") else f"{text}"
