"""Step three: the part that fits."""

from __future__ import annotations

from typing import TYPE_CHECKING

import streamlit as st

from app import session
from app.screens import blocks, fields

if TYPE_CHECKING:
    from app.views.part import Besides, PartCard, PartView


@session.guarded
def _take(number: str) -> None:
    session.keep("work.part_number", number)


def show(view: PartView, draft_id: str) -> None:
    """Lay out the parts that fit as cards; the rejected are one tap away."""
    blocks.title("Part", view.remedy)
    if view.no_part_needed:
        st.html(blocks.note("Go on to the price.", "good", view.no_part_needed))
    if view.closed_reason:
        st.html(blocks.note(view.closed_reason, "stop", "No part that fits."))
    for card in view.cards:
        with st.container(border=True, key=f"part-{'taken' if card.chosen else 'open'}-{card.number}"):
            st.html(_card(card))
            if not card.chosen:
                st.button(
                    f"Take {card.number}",
                    key=f"take-{card.number}",
                    on_click=_take,
                    args=(card.number,),
                    width="stretch",
                )
    if view.rejected:
        rows = "".join(
            f'<div class="path"><h3>{blocks.escape(each.number)}</h3>'
            f"<p>{blocks.escape(each.description)}</p>{blocks.items(each.why, 'checks')}</div>"
            for each in view.rejected
        )
        st.html(blocks.more(f"Near misses, and why they do not fit ({len(view.rejected)})", rows))
    if view.old_part:
        given = [field for field in view.old_part if field.value is not None]
        with st.expander(
            "**The old part in the hand**  \nits number and measures narrow the choice",
            expanded=bool(given) or bool(view.closed_reason),
            key=f"{draft_id}-old-part",
        ):
            for field in view.old_part:
                fields.show(field, draft_id)


def _card(card: PartCard) -> str:
    tags = blocks.tag(card.fit_word, card.fit_tone) + blocks.tag(card.where, card.where_tone)
    taken = f'<p class="taken">✓ {"Best fit, taken" if card.best else "Taken"}</p>' if card.chosen else ""
    besides = "".join(_besides(each) for each in card.besides)
    return (
        f'{taken}<div class="part"><h2 class="heading">{blocks.escape(card.number)}</h2>'
        f'<span class="figure">{card.price}</span></div><p>{blocks.escape(card.description)}</p>'
        f'<p class="tags">{tags}</p>{blocks.items(card.check_these, "checks")}'
        + (f'<p class="under">Besides it:</p><ul class="plain-list">{besides}</ul>' if besides else "")
        + blocks.more("Why it fits", blocks.items(card.reasons))
    )


def _besides(each: Besides) -> str:
    return (
        f"<li>{blocks.escape(each.name)}, {each.price}"
        f"<small>{blocks.escape(each.because)}</small></li>"
    )
