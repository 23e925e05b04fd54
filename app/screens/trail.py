"""The trail of five steps above a visit, and the way back and on below it."""

from __future__ import annotations

from typing import TYPE_CHECKING

import streamlit as st

from app import session
from app.views.trail import build_trail, label_of_step, neighbor

if TYPE_CHECKING:
    from app.views.payload import Payload


def show(payload: Payload) -> None:
    """Lay out the five steps; each opens on a tap."""
    with st.container(horizontal=True, wrap=False, gap="xsmall", key="trail"):
        for each in build_trail(payload, session.step()):
            st.button(
                f"{each.mark} {each.label}",
                key=f"to-{each.slug}",
                type="primary" if each.state == "here" else "secondary",
                on_click=session.go,
                args=(each.slug,),
            )


def show_ways() -> None:
    """Lay out the way to the step before and to the one after."""
    with st.container(horizontal=True, wrap=False, key="ways"):
        for by, word in ((-1, "Back"), (1, "Next")):
            to = neighbor(session.step(), by)
            if to:
                st.button(
                    f"{word}: {label_of_step(to).lower()}",
                    key=f"way-{word}",
                    type="primary" if by > 0 else "secondary",
                    on_click=session.go,
                    args=(to,),
                    width="stretch",
                )
