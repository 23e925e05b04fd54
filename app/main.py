"""The page: the customer's link, the sign-in, and the rooms of who is signed in."""

from __future__ import annotations

import streamlit as st

from app import session
from app.screens import link, quotes, rooms, style


def main() -> None:
    """Show the screen that the address asks for, to whom it may be shown."""
    st.set_page_config(
        page_title="Heater door quote", layout="centered", page_icon=":material/water_heater:"
    )
    style.lay()
    if "link" in st.query_params:
        link.show_page(st.query_params["link"])
        return
    with session.guard():
        actor = session.actor()
        if actor is not None and "quote" in st.query_params:
            quotes.show_to_customer(st.query_params["quote"])
            return
        rooms.show(actor)


main()
