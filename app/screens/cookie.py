"""The page's half of the session's cookie: the ticket handed in, for which the server sets it."""

from __future__ import annotations

import json

import streamlit as st

from app import session
from app.people.devices import known_device, new_device
from app.session_cookie import ADDRESS, KNOWN_ENDING, TICKETS

HANDED_FOR, TICKET, FORGOTTEN = "cookie-token", "cookie-ticket", "cookie-forgotten"


def keep() -> None:
    """Let the browser keep the session of this page, for a reload or a restarted server.

    The ticket stays on the page until it was handed in: a run that is broken off loses nothing.
    """
    state, now = st.session_state, session.now()
    token = state.get(session.TOKEN)
    if token is None or session.cookie() == token:
        return
    if state.get(HANDED_FOR) != token:
        folder, name = session.shop().folder, session.signed_in().name
        known = known_device(folder, name, session.cookie(KNOWN_ENDING))
        word = "" if known else new_device(folder, name)
        state[HANDED_FOR], state[TICKET] = token, TICKETS.give(token, now, word)
    if TICKETS.waits(state[TICKET], now):
        _hand_in(state[TICKET])


def forget() -> None:
    """Take the cookie of a session away that ended, once."""
    if session.cookie() is not None and not st.session_state.get(FORGOTTEN):
        st.session_state[FORGOTTEN] = True
        _hand_in("")


def _hand_in(ticket: str) -> None:
    asked = {"method": "POST", "body": ticket, "credentials": "same-origin"}
    call = f"fetch({json.dumps(ADDRESS)}, {json.dumps(asked)})"
    st.html(f"<script>{call}</script>", unsafe_allow_javascript=True)
