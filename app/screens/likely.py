"""The card that ranks what may be wrong and names the reading that would tell most."""

from __future__ import annotations

from html import escape
from typing import TYPE_CHECKING

import streamlit as st

from app import session
from app.screens import blocks, marks

if TYPE_CHECKING:
    from app.views.likely import Likely, LikelyFinding, TellingNext


@session.guarded
def _name(slug: str) -> None:
    session.keep("work.finding", slug)


def show(view: Likely) -> None:
    """Lay out the card; while nothing is named, a finding is named by a tap."""
    with blocks.card("card-likely"):
        blocks.heading(view.title)
        named = any(row.named for row in view.rows)
        if named:
            blocks.write(f'<ul class="ranked">{"".join(_row(row) for row in view.rows)}</ul>')
        else:
            for row in view.rows:
                st.button(
                    f"{row.name}: {row.chance}",
                    key=f"name-{row.slug}",
                    on_click=_name,
                    args=(row.slug,),
                    width="stretch",
                )
        if view.next:
            blocks.write(_next(view.next))
        grounds = "".join(f"<h3>{escape(row.name)}</h3>{marks.items(row.why)}" for row in view.rows)
        basis = f'<p class="under">{escape(view.basis)}</p>'
        blocks.write(marks.more("Why these", grounds + basis))


def _row(row: LikelyFinding) -> str:
    said = escape(row.name) + (" <small>named</small>" if row.named else "")
    bar = f'<i class="bar" style="width:{max(1, round(100 * row.share))}%"></i>'
    return f"<li><span>{said}</span><b>{row.chance}</b>{bar}</li>"


def _next(reading: TellingNext) -> str:
    return (
        f'<div class="next"><p class="under">Would tell most, for its time</p>'
        f"<p><strong>{escape(reading.name)}</strong>, {escape(reading.minutes)}</p>"
        f"{marks.items(reading.outcomes)}</div>"
    )
