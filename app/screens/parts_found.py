"""What a search for parts found, laid out as cards."""

from __future__ import annotations

from typing import TYPE_CHECKING

import streamlit as st

from app.screens import blocks, marks, part_card, parts_cards

if TYPE_CHECKING:
    from collections.abc import Callable

    from app.views.part import RejectedPart
    from app.views.parts import FitCard, PartsView

FITS_SHOWN = 6
LIKELY_SHOWN = 3


def show(view: PartsView, take: Callable[[str], None]) -> None:
    """Lay out what a search found; `take` searches for something more precise."""
    blocks.write(f'<p class="lead" role="status">{marks.plain(view.read_as)}</p>')
    if view.asks:
        with st.container(horizontal=True, wrap=True, gap="small", key="asks"):
            for ask in view.asks:
                st.button(ask.label, key=f"ask-{ask.typed}", on_click=take, args=(ask.typed,))
    blocks.write(parts_cards.chain(view.chain))
    exact = [card for card in view.numbers if card.exact]
    first = exact or list(view.numbers[:LIKELY_SHOWN])
    for place, card in enumerate(first):
        with blocks.card(f"card-number-{place}"):
            blocks.write(parts_cards.number(card))
            if not card.exact:
                st.button(f"It is {card.number}", key=f"mean-{card.number}", on_click=take,
                          args=(card.number,), width="stretch")  # fmt: skip
    rest = [card for card in view.numbers if card not in first]
    others = "".join(f'<div class="path">{parts_cards.number(card)}</div>' for card in rest)
    blocks.write(marks.more(f"Other numbers it may have been ({len(rest)})", others))
    blocks.write(parts_cards.alike(view))
    if view.goes_in:
        blocks.heading(view.goes_in, "The best first, with what the job needs besides.")
    show_fits(view.fits, view.rejected, view.closed_reason, view.more)


def show_fits(
    fits: tuple[FitCard, ...], rejected: tuple[RejectedPart, ...], closed_reason: str, further: str
) -> None:
    """Lay out what fits, the best first; the rest and the near misses one tap away."""
    if closed_reason:
        blocks.write(marks.note(closed_reason, "stop", "Nothing fits."))
    for place, card in enumerate(fits[:FITS_SHOWN]):
        with blocks.card(f"card-fit-{place}"):
            blocks.write(parts_cards.fit(card))
    more = "".join(f'<div class="path">{parts_cards.fit(card)}</div>' for card in fits[FITS_SHOWN:])
    blocks.write(marks.more(f"{len(fits) - FITS_SHOWN} more that fit", more))
    if further:
        blocks.write(marks.note(further, "plain"))
    blocks.write(part_card.near_misses(rejected))
