"""The people of the shop, for the owner: add, remove, give a new password."""

from __future__ import annotations

from typing import TYPE_CHECKING

import streamlit as st

from app import session
from app.people import accounts
from app.people.roles import STAFF_ROLES, Action
from app.screens import blocks, marks, refusals
from app.views.people import build_people_view

if TYPE_CHECKING:
    from app.views.people import PersonRow

DONE, NEW = "people-done", "new-person"


@refusals.said_at(NEW, "name", "role", "password", "email")
def _add() -> None:
    state, actor = st.session_state, session.signed_in()
    made = accounts.add_person(
        session.shop(),
        actor,
        state["new-name"],
        state["new-role"] or "",
        state["new-password"],
        session.now(),
        email=state["new-email"].strip(),
    )
    state[DONE] = f"{made.name} may sign in as {made.role}."
    for key in ("new-name", "new-password", "new-email"):
        state[key] = ""


@refusals.said_at("{0}")
def _remove(person_id: str) -> None:
    gone = accounts.remove_person(session.shop(), session.signed_in(), person_id, session.now())
    st.session_state[DONE] = f"{gone.name} is removed and signed out everywhere."


@refusals.said_at("{0}", "password")
def _set_password(person_id: str) -> None:
    key = f"password-{person_id}"
    changed = accounts.set_password(
        session.shop(), session.signed_in(), person_id, st.session_state[key], session.now()
    )
    st.session_state[key] = ""
    st.session_state[DONE] = f"{changed.name} has a new password and must sign in again."


def show_page() -> None:
    """Show who works here."""
    with session.guard():
        actor = session.allow(Action.MANAGE_PEOPLE)
        rows = build_people_view(accounts.people(session.shop(), actor), actor.person_id)
        blocks.title("People", "Who may sign in, and as what.")
        if done := st.session_state.pop(DONE, None):
            blocks.write(marks.note("It is in the journal.", "good", done))
        refusals.show_gone(NEW, *(row.person_id for row in rows))
        for row in rows:
            _person(row)
        _new()


def _person(row: PersonRow) -> None:
    with blocks.card(f"card-person-{row.person_id}"):
        blocks.heading(row.name, row.since)
        blocks.write("".join(marks.tag(word, tone) for word, tone in row.tags))
        with st.expander(f"Change {row.name}", key=f"change-{row.person_id}"):
            refusals.show(row.person_id)
            with refusals.field(row.person_id, "password"):
                st.text_input(f"New password for {row.name}", key=f"password-{row.person_id}",
                              type="password", autocomplete="new-password")  # fmt: skip
            st.button(
                "Set this password",
                key=f"set-{row.person_id}",
                on_click=_set_password,
                args=(row.person_id,),
                width="stretch",
            )
            if not row.own:
                st.button(
                    f"Remove {row.name}",
                    key=f"remove-{row.person_id}",
                    on_click=_remove,
                    args=(row.person_id,),
                    width="stretch",
                )


def _new() -> None:
    with blocks.card("card-new-person"):
        blocks.heading("Add a person")
        refusals.show(NEW)
        with refusals.field(NEW, "name"):
            st.text_input("Name", key="new-name")
        with refusals.field(NEW, "role"):
            st.segmented_control("Role", [role.value for role in STAFF_ROLES],
                                 default="technician", format_func=str.capitalize,
                                 key="new-role", width="stretch")  # fmt: skip
        with refusals.field(NEW, "password"):
            st.text_input("First password", key="new-password", type="password",
                          autocomplete="new-password")  # fmt: skip
        with refusals.field(NEW, "email"):
            st.text_input("Address at your sign-in provider, if you use one", key="new-email")
        st.button("Add this person", type="primary", key="add-person", on_click=_add,
                  width="stretch")  # fmt: skip
