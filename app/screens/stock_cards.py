"""Stock as markup: what runs low, what a quote holds, what lies at a place."""

from __future__ import annotations

from html import escape
from typing import TYPE_CHECKING

from app.screens import marks

if TYPE_CHECKING:
    from app.views.stock import AtPlace, HeldCard, LowCard


def low(card: LowCard, *, named: bool) -> str:
    """Return a part that runs low; `named` says whether the van must be said."""
    van = f"{card.van} · " if named else ""
    return (
        f'<div class="path"><div class="part"><h3>{escape(card.part)}</h3>'
        f'<span class="figure minor">{escape(card.bring)}</span></div>'
        f"<p>{escape(card.description)}</p><p>{marks.tag(card.where, card.where_tone)}</p>"
        f'<p class="under">{escape(van + card.why)}</p></div>'
    )


def held(card: HeldCard) -> str:
    """Return what a quote holds."""
    lines = "".join(f"<p>{escape(line)}</p>" for line in card.lines)
    return (
        f'<div class="path"><h3>Quote {escape(card.number)}</h3>{lines}'
        f'<p class="under">{escape(card.until)}</p></div>'
    )


def at_place(line: AtPlace) -> str:
    """Return a part on a van or at a branch."""
    return (
        f'<div class="path"><div class="part"><b>{escape(line.part)}</b>'
        f"{marks.tag(line.free, line.tone)}</div><p>{escape(line.description)}</p></div>"
    )
