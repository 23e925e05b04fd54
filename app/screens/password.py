"""One's own password, changed by whoever is signed in."""

from __future__ import annotations

import streamlit as st

from app import session
from app.people import accounts
from app.people.roles import Action
from app.screens import blocks, refusals, sign_in
from estimator.errors import InputTrouble

OLD, NEW, AGAIN = "own-old", "own-new", "own-again"
HERE = "own-password"


@refusals.said_at(HERE, "old", "password", "again")
def _change() -> None:
    state = st.session_state
    if state[NEW] != state[AGAIN]:
        differ = "The two new passwords are not the same"
        raise InputTrouble(differ, "", "Type both again.", field="again")
    shop, actor, now = session.shop(), session.signed_in(), session.now()
    accounts.change_own_password(shop, actor, state[OLD], state[NEW], now)
    st.session_state.clear()
    state[sign_in.SAY] = "Your password is changed. Sign in with the new one."


def show_page() -> None:
    """Show the form."""
    with session.guard():
        actor = session.allow(Action.CHANGE_OWN_PASSWORD)
        blocks.title("Password", f"Your own, {actor.name}. You sign in again after it, everywhere.")
        with blocks.card("card-password"), st.form(HERE, border=False):
            refusals.show(HERE)
            _field("old", "Your password as it is", OLD, "current-password")
            _field("password", "The new one", NEW, "new-password")
            _field("again", "The new one again", AGAIN, "new-password")
            st.form_submit_button("Change it", type="primary", on_click=_change, width="stretch")


def _field(name: str, label: str, key: str, fill: str) -> None:
    with refusals.field(HERE, name):
        st.text_input(label, key=key, type="password", autocomplete=fill)
