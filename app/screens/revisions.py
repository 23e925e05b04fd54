"""The way between the revisions of one quote; the address says which is read."""

from __future__ import annotations

from typing import TYPE_CHECKING, Literal

import streamlit as st

from app.screens import blocks

if TYPE_CHECKING:
    from app.views.answering import RevisionShown

LONGEST = 6
"""More digits than the number of any revision has."""


def asked() -> int | None:
    """Return the revision that the address asks for; without one, the last is shown."""
    said = st.query_params.get("revision", "")
    return int(said) if said.isascii() and said.isdigit() and len(said) < LONGEST else None


def show(others: tuple[RevisionShown, ...], title: str) -> None:
    """Lay out the way to the other revisions, where there are any."""
    if not others:
        return
    with blocks.card("card-revisions"):
        blocks.heading(title)
        for each in others:
            _button(each, f"revision-{each.revision}", "secondary")


def to_last(last: RevisionShown) -> None:
    """Lay out the way to the revision that holds."""
    _button(last, "last-revision", "primary")


def _button(to: RevisionShown, key: str, kind: Literal["primary", "secondary"]) -> None:
    st.button(to.label, type=kind, key=key, on_click=_open, args=(to.revision,), width="stretch")


def _open(revision: int) -> None:
    st.query_params["revision"] = str(revision)
