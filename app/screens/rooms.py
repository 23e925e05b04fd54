"""The rooms of the page: which there are, for whom, and the way between them."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import streamlit as st

from app import session
from app.people.guard import allowed
from app.people.roles import Action
from app.screens import (
    blocks,
    books,
    cookie,
    customers,
    desk,
    journal,
    life,
    parts,
    password,
    people,
    price_lists,
    quotes,
    rates,
    sign_in,
    stock,
    visit,
)

if TYPE_CHECKING:
    from collections.abc import Callable

    from app.people.guard import Actor


@dataclass(frozen=True)
class Room:
    """One page at its own address, and the action that a person must be allowed to enter."""

    title: str
    address: str
    show: Callable[[], None]
    action: Action


ROOMS = (
    Room("Visits", "visits", visit.show_page, Action.WORK_VISIT),
    Room("Parts", "parts", parts.show_page, Action.WORK_VISIT),
    Room("Stock", "stock", stock.show_page, Action.WORK_VISIT),
    Room("Quotes", "quotes", quotes.show_page, Action.LIST_QUOTES),
    Room("Desk", "desk", desk.show_page, Action.DECIDE_ALLOWANCE),
    Room("Rates", "rates", rates.show_page, Action.SEE_RATES),
    Room("Price lists", "price-lists", price_lists.show_page, Action.BUILD_CATALOG),
    Room("Books", "books", books.show_page, Action.SEE_BOOKS),
    Room("Lives", "lives", life.show_page, Action.SEE_BOOKS),
    Room("People", "people", people.show_page, Action.MANAGE_PEOPLE),
    Room("Customers", "customers", customers.show_page, Action.EXPORT_CUSTOMER),
    Room("Journal", "journal", journal.show_page, Action.READ_JOURNAL),
    Room("Password", "password", password.show_page, Action.CHANGE_OWN_PASSWORD),
)
OWN = ROOMS[-1]
"""What is a person's own matter stands behind his name, not among the rooms."""


def show(actor: Actor | None) -> None:
    """Lay out the ways that a person has, and the room that the address asks for.

    Parameters
    ----------
    actor
        Who is signed in; without anybody every address leads to the sign-in, and back to
        where it pointed once that is done.
    """
    pages = [
        st.Page(
            sign_in.show_page if actor is None else _entered(room),
            title=room.title,
            # Streamlit opens the default page at the bare address alone
            url_path="" if room is ROOMS[0] else room.address,
            default=room is ROOMS[0],
        )
        for room in ROOMS
    ]
    first = ROOMS[0]
    by_name = st.Page(
        sign_in.show_page if actor is None else _entered(first),
        title=first.title,
        url_path=first.address,
    )
    here = st.navigation([*pages, by_name], position="hidden")
    if actor is not None:
        with st.container(horizontal=True, wrap=True, gap="xsmall", key="rooms"):
            ways = dict(zip(ROOMS, pages, strict=True))
            for room, page in ways.items():
                if room is not OWN and allowed(actor, room.action):
                    st.page_link(page, label=page.title)
            with st.popover("You", key="you"):
                blocks.small(actor.name)
                st.page_link(ways[OWN], label=OWN.title)
                sign_in.show_way_out()
            cookie.keep()
    here.run()


def _entered(room: Room) -> Callable[[], None]:
    """Return what shows a room; a hidden link is no check, so the room asks again."""

    def entered() -> None:
        with session.guard():
            session.allow(room.action)
            room.show()

    return entered
