"""The page: the technician's visit, the quotes, the owner's rates, the customer's view."""

from __future__ import annotations

import streamlit as st

from app import session
from app.screens import quotes, rates, style, visit


def main() -> None:
    """Show the screen that the address asks for."""
    st.set_page_config(
        page_title="Heater door quote", layout="centered", page_icon=":material/water_heater:"
    )
    style.lay()
    if "quote" in st.query_params:
        with session.guard():
            quotes.show_to_customer(st.query_params["quote"])
        return
    pages = [
        st.Page(visit.show_page, title="Visits", url_path="visits", default=True),
        st.Page(quotes.show_page, title="Quotes", url_path="quotes"),
        st.Page(rates.show_page, title="Rates", url_path="rates"),
    ]
    here = st.navigation(pages, position="hidden")
    with st.container(horizontal=True, wrap=False, gap="small", key="rooms"):
        for page in pages:
            st.page_link(page, label=page.title)
    here.run()


main()
