"""A customer's own data, for the owner: found, given out, erased."""

from __future__ import annotations

from functools import partial
from typing import TYPE_CHECKING

import streamlit as st

from app import customer_data, session
from app.people.roles import Action
from app.screens import blocks, marks, refusals
from app.views.customers import build_found_quotes, erased_words
from estimator.errors import InputTrouble

if TYPE_CHECKING:
    from app.views.customers import FoundQuote

FILES = (("as JSON", "json"), ("as ZIP, with the photos", "zip"))
ASKED, CHOSEN, SURE, DONE = "customer-asked", "customer-chosen", "customer-sure", "customer-done"
ERASE = "erase-customer"


@refusals.said_at(ERASE, "sure")
def _erase(numbers: tuple[str, ...]) -> None:
    if not st.session_state.get(SURE):
        raise InputTrouble("Erasing cannot be undone", "", "Tick that first.", field="sure")
    gone = customer_data.erase_customer(session.shop(), session.signed_in(), numbers, session.now())
    st.session_state[SURE] = False
    st.session_state[DONE] = erased_words(gone)


def show_page() -> None:
    """Show the search, and what can be done with what it found."""
    with session.guard():
        actor = session.allow(Action.EXPORT_CUSTOMER)
        blocks.title("Customers", "What the shop keeps about one, when he asks for it.")
        if done := st.session_state.pop(DONE, None):
            blocks.write(marks.note(done, "good", "Erased. Prices and totals stay."))
            blocks.small("Backups made before still hold the data; take them away too.")
        with blocks.card("card-customer"):
            st.text_input("Quote number, or the name as it stands on the quote", key=ASKED)
        asked = (st.session_state.get(ASKED) or "").strip()
        if not asked:
            return
        found = build_found_quotes(customer_data.quotes_found(session.shop(), actor, asked))
        if not found:
            words = "Write the name exactly as it stands on the quote, or its number."
            blocks.write(marks.note(words, "check", "No quote is to a customer of this name."))
        else:
            _found(found)


def _found(found: tuple[FoundQuote, ...]) -> None:
    with blocks.card("card-found"):
        blocks.heading("His quotes", "Two customers may have one name: untick what is not his.")
        numbers = tuple(
            each.number
            for each in found
            if st.checkbox(each.label, value=True, key=f"{CHOSEN}-{each.number}")
        )
        for name, ending in FILES:
            st.download_button(
                f"Give it out {name}",
                partial(_given_out, session.token(), numbers, ending),
                f"customer.{ending}",
                f"application/{ending}",
                key=f"customer-{ending}",
                on_click="ignore",
                disabled=not numbers,
                width="stretch",
            )
    with blocks.card("card-erase"):
        blocks.heading("Erase", "Name, address, notes, photos and signature go. Prices stay.")
        refusals.show(ERASE)
        with refusals.field(ERASE, "sure"):
            st.checkbox("I know that it cannot be undone", key=SURE)
        left = any(not each.erased for each in found if each.number in numbers)
        st.button(
            "Erase this customer's data",
            key=ERASE,
            on_click=_erase,
            args=(numbers,),
            disabled=not left,
            width="stretch",
        )


def _given_out(token: str | None, numbers: tuple[str, ...], ending: str) -> bytes:
    """Make the file; saving happens apart from the page's run."""
    actor, now = session.of_token(token), session.now()
    make = customer_data.customer_json if ending == "json" else customer_data.customer_archive
    return make(session.shop(), actor, numbers, now)
