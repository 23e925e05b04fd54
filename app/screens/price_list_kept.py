"""The last catalogs: which is in use, and an earlier one brought back in one step."""

from __future__ import annotations

from html import escape
from typing import TYPE_CHECKING

import streamlit as st

from app import cataloging, session
from app.price_lists import kept_catalogs
from app.screens import blocks, marks, price_list_seen
from app.views.price_lists import build_kept_rows

if TYPE_CHECKING:
    from app.people.guard import Actor
    from app.views.price_lists import KeptRow


def show(actor: Actor) -> None:
    """Lay out the catalogs that are kept, the last published first."""
    rows = build_kept_rows(kept_catalogs(session.shop(), actor))
    with st.expander("**The last ten catalogs**  \nan earlier one back in one step", key="kept"):
        for row in rows:
            _row(row)


def _row(row: KeptRow) -> None:
    mark = marks.tag("in use", "good") if row.in_use else ""
    blocks.write(
        f'<div class="path"><h2 class="heading">{escape(row.title)} {mark}</h2>'
        f'<p class="under record">{escape(row.under)}</p></div>'
    )
    if not row.in_use:
        st.button(
            f"Bring back {row.title}",
            key=f"back-{row.version}",
            on_click=_back,
            args=(row.version,),
            width="stretch",
        )


@session.guarded
def _back(version: str) -> None:
    by, now = session.signed_in(), session.now()
    cataloging.bring_back(session.shop().folder, by, version, now)
    st.session_state[price_list_seen.DONE] = f"Catalog {version} is in use again."
