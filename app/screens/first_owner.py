"""The first step of a shop: make its owner. There is no default password."""

from __future__ import annotations

import streamlit as st

from app import session
from app.people import accounts, signing_in
from app.screens import blocks, refusals
from estimator.errors import InputTrouble

HERE = "first-owner"


@refusals.said_at(HERE, "name", "password", "again")
def _make() -> None:
    state = st.session_state
    name, password = state["owner-name"], state["owner-password"]
    if password != state["owner-again"]:
        differ = "The two passwords are not the same"
        raise InputTrouble(differ, "", "Type both again.", field="again")
    shop, now = session.shop(), session.now()
    made = accounts.create_first_owner(shop, name, password, now)
    state[session.TOKEN] = signing_in.sign_in(shop, made.name, password, now).token


def _password(name: str, label: str, key: str) -> None:
    with refusals.field(HERE, name):
        st.text_input(label, key=key, type="password", autocomplete="new-password")


def show() -> None:
    """Lay out the form that makes the owner."""
    blocks.title("Welcome", "Nobody can sign in yet. The first step is to make the owner.")
    with blocks.card("card-first-owner"), st.form(HERE, border=False):
        refusals.show(HERE)
        with refusals.field(HERE, "name"):
            st.text_input("Your name", key="owner-name", autocomplete="name")
        _password("password", "Password", "owner-password")
        _password("again", "The same password again", "owner-again")
        st.form_submit_button("Make the owner", type="primary", on_click=_make, width="stretch")
    blocks.small("The owner adds the technicians. A few words that nobody would put together are"
                 " a good password.")  # fmt: skip
