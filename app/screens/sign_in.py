"""Signing in and out: by name and password, by the shop's provider, in the demo with a tap."""

from __future__ import annotations

from html import escape
from typing import TYPE_CHECKING

import streamlit as st

from app import session
from app.people import accounts, signing_in
from app.people.provider import vouched_email
from app.screens import blocks, cookie, first_owner, marks, refusals
from app.session_cookie import KNOWN_ENDING
from estimator.errors import Trouble

if TYPE_CHECKING:
    from app.people.signing_in import SignedIn


REFUSED, SAY = "provider-refused", "sign-in-say"
HERE = "sign-in"


def show_page() -> None:
    """Show the sign-in, or the first step of a shop that has nobody yet."""
    with session.guard():
        shop = session.shop()
        if accounts.needs_first_owner(shop):
            first_owner.show()
            return
        blocks.title("Sign in", "For those who work in this shop.")
        if said := st.session_state.pop(SAY, None):
            blocks.write(marks.note(said, "good"))
        _demo()
        with blocks.card("card-sign-in"), st.form(HERE, border=False):
            refusals.show(HERE)
            st.text_input("Name", key="sign-in-name", autocomplete="username")
            st.text_input(
                "Password",
                key="sign-in-password",
                type="password",
                autocomplete="current-password",
            )
            st.form_submit_button("Sign in", type="primary", on_click=_sign_in, width="stretch")
        _provider()
        cookie.forget()


def show_way_out() -> None:
    """Lay out the button that ends the session."""
    st.button("Sign out", key="sign-out", on_click=_sign_out, width="stretch")


def start(signed_in: SignedIn) -> None:
    """Take up a session on this page."""
    st.session_state[session.TOKEN] = signed_in.token


@refusals.said_at(HERE)
def _sign_in() -> None:
    state = st.session_state
    password = state.pop("sign-in-password", "")
    device = session.cookie(KNOWN_ENDING)
    shop, now = session.shop(), session.now()
    start(signing_in.sign_in(shop, state["sign-in-name"], password, now, device=device))


@session.guarded
def _sign_in_to_demo(name: str) -> None:
    start(signing_in.sign_in(session.shop(), name, accounts.DEMO_PASSWORD, session.now()))


@session.guarded
def _sign_out() -> None:
    token = session.token()
    if token:
        signing_in.sign_out(session.shop(), token, session.now())
    st.session_state.clear()
    if _by_provider():
        st.logout()


def _demo() -> None:
    """Say that the shop is a demo with a published password, and let in with a tap."""
    people = accounts.demo_people(session.shop())
    if not people:
        return
    with blocks.card("card-demo"):
        blocks.write(
            marks.note(
                "Everything in it is invented, and its passwords are published. Keep no real "
                "customer here.",
                "check",
                "This is the demo shop.",
            )
        )
        for person in sorted(people, key=lambda each: each.role != "technician"):
            st.button(
                f"Go in as the demo {person.role}",
                key=f"demo-{person.role}",
                type="primary" if person.role == "technician" else "secondary",
                on_click=_sign_in_to_demo,
                args=(person.name,),
                width="stretch",
            )
        names = " or ".join(f"“{escape(person.name)}”" for person in people)
        word = escape(accounts.DEMO_PASSWORD)
        blocks.write(f'<p class="under">Or below: {names}, password “{word}”.</p>')


def _provider() -> None:
    """Offer the shop's own provider (OIDC) where it is configured, and take up who came back."""
    if not _by_provider():
        return
    if not st.user.is_logged_in:
        st.button("Sign in with the shop's account", on_click=st.login, width="stretch")
        return
    if _taken_up():
        st.rerun()
    st.button("Sign in with another account", on_click=st.logout, width="stretch")
    st.error(st.session_state[REFUSED], icon=":material/error:")


def _taken_up() -> bool:
    """Whether the provider's word opened a session; a refusal is asked for, and kept, once."""
    if REFUSED in st.session_state:
        return False
    shop, now = session.shop(), session.now()
    try:
        start(signing_in.sign_in_by_provider(shop, vouched_email(st.user.to_dict(), now), now))
    except Trouble as trouble:
        st.session_state[REFUSED] = str(trouble)
        return False
    return True


def _by_provider() -> bool:
    try:
        return "auth" in st.secrets
    except FileNotFoundError:  # no secrets: no provider
        return False
