"""Beside the rate sheet's form: every version and the way back to it, and the sheet as a file."""

from __future__ import annotations

from html import escape
from typing import TYPE_CHECKING

import streamlit as st

from app import publishing, session
from app.desk import rate_trials
from app.screens import blocks, marks, refusals
from app.views import rate_form
from app.views.desk_rates import build_version_rows
from estimator.errors import Trouble

if TYPE_CHECKING:
    from app.views.desk_rates import VersionRow

DONE = "published"


@refusals.said_at("versions")
def _bring_back(form: str, version: int) -> None:
    shop, actor, now = session.shop(), session.signed_in(), session.now()
    first = st.session_state["back-from"]
    made = rate_trials.bring_back(shop, actor, version, first, now)
    st.session_state.pop(form, None)
    st.session_state[DONE] = (
        f"Version {made.version} holds the figures of version {version} from {first}."
    )


@refusals.said_at("versions")
def _open(form: str, version: int) -> None:
    every = publishing.rate_sheets(session.shop(), session.signed_in())
    sheet = next(each.sheet for each in every if each.version == version)
    st.session_state[form] = rate_form.form_of(sheet)


def show_versions(form: str) -> None:
    """Lay out every version; bringing one back publishes it again, as a new one."""
    shop, actor, today = session.shop(), session.signed_in(), session.today()
    every = publishing.rate_sheets(shop, actor)
    in_force = publishing.rate_sheet_on(shop, actor, today)
    rows = build_version_rows(rate_trials.rate_versions(shop, actor, today), every, in_force)
    with st.expander(f"**Versions**  \n{len(rows)} published; none ever changes", key="versions"):
        refusals.show("versions")
        if len(rows) > 1:
            st.date_input("Brought back from", "today", key="back-from", format="YYYY-MM-DD")
        for row in rows:
            blocks.write(f"<p>{escape(row.words)}</p>")
            if not row.in_force:
                _version(row, form)


def _version(row: VersionRow, form: str) -> None:
    same = '<p class="under">The same figures as in force.</p>'
    blocks.write(marks.more("Against the sheet in force", marks.items(row.changes)) or same)
    st.button(f"Bring version {row.version} back", key=f"back-{row.version}", type="primary",
                on_click=_bring_back, args=(form, row.version), width="stretch")  # fmt: skip
    st.button(f"Open version {row.version} in the form", key=f"open-{row.version}",
                on_click=_open, args=(form, row.version), width="stretch")  # fmt: skip


@refusals.said_at("rates-file")
def _read(form: str) -> None:
    given = st.session_state["rates-file"]
    if given is not None:
        st.session_state[form] = rate_form.form_of_file(given.getvalue(), given.name)


def show_file(form: str) -> None:
    """Lay out the way from a file into the form, and from the form into a file."""
    with st.expander("**As a file**  \nTOML, checked by the same rules", key="rates-as-file"):
        with refusals.field("rates-file"):
            st.file_uploader("A rate sheet as TOML", "toml", key="rates-file",
                             on_change=_read, args=(form,))  # fmt: skip
        try:
            content = rate_form.file_of(st.session_state[form])
        except Trouble:
            blocks.small("The form has a fault; mend it before it goes into a file.")
            return
        st.download_button("Save the form as TOML", content, "rates.toml", "application/toml",
                           key="rates-toml", on_click="ignore", width="stretch")  # fmt: skip
