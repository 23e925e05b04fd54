"""Step three: the part that fits."""

from __future__ import annotations

from typing import TYPE_CHECKING

import streamlit as st

from app import session
from app.screens import blocks, fields, marks, part_card

if TYPE_CHECKING:
    from app.views.part import PartView


@session.guarded
def _take(number: str) -> None:
    session.keep("work.part_number", number)


def show(view: PartView, draft_id: str) -> None:
    """Lay out the parts that fit as cards; the rejected are one tap away."""
    blocks.title("Part", view.remedy)
    if view.no_part_needed:
        blocks.write(marks.note("Go on to the price.", "good", view.no_part_needed))
    if view.closed_reason:
        blocks.write(marks.note(view.closed_reason, "stop", "No part that fits."))
    for card in view.cards:
        with st.container(
            border=True, key=f"part-{'taken' if card.chosen else 'open'}-{card.number}"
        ):
            blocks.write(part_card.card(card))
            if not card.chosen:
                st.button(
                    f"Take {card.number}",
                    key=f"take-{card.number}",
                    on_click=_take,
                    args=(card.number,),
                    width="stretch",
                )
    blocks.write(part_card.near_misses(view.rejected))
    if view.old_part:
        given = [field for field in view.old_part if field.value is not None]
        with st.expander(
            "**The old part in the hand**  \nits number and measures narrow the choice",
            expanded=bool(given) or bool(view.closed_reason),
            key=f"{draft_id}-old-part",
        ):
            for field in view.old_part:
                fields.show(field, draft_id)
