"""The customer's link on the technician's screen: make it, show it, take it back."""

from __future__ import annotations

from base64 import b64encode
from html import escape
from typing import TYPE_CHECKING
from urllib.parse import urlsplit

import streamlit as st

from app import customer_links, session
from app.documents.qr import qr_svg
from app.screens import blocks, marks

if TYPE_CHECKING:
    from app.ledger.entries import Link
    from app.ledger.records import IssuedQuote


def address_of(token: str) -> str:
    """Return the address that a token opens on this server, as this browser reaches it."""
    here = urlsplit(st.context.url or "http://localhost")
    return f"{here.scheme}://{here.netloc}/?link={token}"


def made_here(number: str) -> str | None:
    """Return the address of the link that was made on this page, if one was."""
    token = st.session_state.get(f"link-{number}")
    return address_of(token) if token else None


@session.guarded
def _make(quote: IssuedQuote) -> None:
    if made_here(quote.number) is None or not _open(quote):  # a second tap makes no second one
        token = customer_links.make_link(session.shop(), session.signed_in(), quote, session.now())
        st.session_state[f"link-{quote.number}"] = token


@session.guarded
def _revoke(quote: IssuedQuote) -> None:
    customer_links.revoke_links(session.shop(), session.signed_in(), quote, session.now())
    st.session_state.pop(f"link-{quote.number}", None)


def _open(quote: IssuedQuote) -> list[Link]:
    """Return the links that open a quote today."""
    links = customer_links.links(session.shop(), session.signed_in(), quote)
    now = session.now()
    return [each for each in links if each.revoked_at is None and each.ends_at > now]


def show(quote: IssuedQuote) -> None:
    """Lay out the links to a quote: how many are open, the one just made, and the ways."""
    still = _open(quote)
    with blocks.card("card-link"):
        blocks.heading("The customer's own page", "It opens this quote on his phone, nothing else.")
        address = made_here(quote.number) if still else None
        if address:
            picture = b64encode(qr_svg(address).encode()).decode()
            blocks.write(
                f'<img class="qr" alt="QR code of the customer\'s link" '
                f'src="data:image/svg+xml;base64,{picture}">'
                f'<p class="address">{escape(address)}</p>'
            )
            blocks.small("It is shown once: a lost one is made anew.")
        elif still:
            last = max(each.ends_at for each in still).astimezone().date()
            many = "link is" if len(still) == 1 else "links are"
            word = (
                f"{len(still)} {many} open, until {last:%B} {last.day}, {last.year} at the latest"
            )
            blocks.write(marks.tag(word, "good"))
        if not address:
            st.button("Make a link", key="make-link", on_click=_make, args=(quote,),
                      width="stretch")  # fmt: skip
        if still:
            st.button("Revoke every link", key="revoke-links", on_click=_revoke, args=(quote,),
                      width="stretch")  # fmt: skip
