"""Step three: the part that fits."""

from __future__ import annotations

from functools import partial
from typing import TYPE_CHECKING, Any

import streamlit as st

from app import session
from app.photos import PhotoKind
from app.screens import blocks, fields, marks, part_card, parts_cards, photos
from app.views.part import kept_measure

if TYPE_CHECKING:
    from app.views.fields import Field
    from app.views.kits import KitCard
    from app.views.number_cards import NumberCard
    from app.views.part import PartCard, PartView
    from app.views.parts import PartsView

LIKELY_SHOWN = 3


@session.guarded
def _take(number: str) -> None:
    session.keep("work.part_number", number)


@session.guarded
def _take_remedy(slug: str) -> None:
    session.keep("work.remedy", slug)


def _keep_measure(field: Field, path: str, value: Any) -> None:
    session.keep(path, kept_measure(field, value))


@session.guarded
def _mean(number: str) -> None:
    session.keep("old_part.number", number)


def show(view: PartView, kits: tuple[KitCard, ...], meant: PartsView | None, draft_id: str) -> None:
    """Lay out the parts that fit as cards; the rejected are one tap away.

    Parameters
    ----------
    view
        The step.
    kits
        What each remedy of the finding takes, to be compared.
    meant
        What the number typed from the old part may mean.
    draft_id
        The draft.
    """
    blocks.title("Part", view.remedy)
    with blocks.slot():
        if view.no_part_needed:
            blocks.write(marks.note("Go on to the price.", "good", view.no_part_needed))
        if view.closed_reason:
            blocks.write(marks.note(view.closed_reason, "stop", "No part that fits."))
        for card in view.cards:
            _part(card)
        blocks.write(part_card.near_misses(view.rejected))
        if len(kits) > 1:
            _remedies(kits, view.remedy)
    if view.old_part:
        given = [field for field in view.old_part if field.value is not None]
        with st.expander(
            "**The old part in the hand**  \nits number and measures narrow the choice",
            expanded=bool(given) or bool(view.closed_reason),
            key=f"{draft_id}-old-part",
        ):
            for field in view.old_part:
                fields.show(field, draft_id, partial(_keep_measure, field))
                with blocks.slot():
                    if field.path == "old_part.number" and meant:
                        _numbers(meant, str(field.value))
    photos.show(draft_id, PhotoKind.PART)


def _part(card: PartCard) -> None:
    """Lay out a part that fits, to be taken by a tap."""
    with st.container(border=True, key=f"part-{'taken' if card.chosen else 'open'}-{card.number}"):
        blocks.write(part_card.card(card))
        if not card.chosen:
            st.button(
                f"Take {card.number}",
                key=f"take-{card.number}",
                on_click=_take,
                args=(card.number,),
                width="stretch",
            )


def _remedies(kits: tuple[KitCard, ...], taken: str) -> None:
    """Lay out the remedies next to each other; another is taken by a tap."""
    with st.expander("**Remedies compared**  \nwhole job, tax in", key="kits"):
        blocks.write(parts_cards.compared(kits, taken))
        for card in kits:
            blocks.write(parts_cards.kit(card, taken=card.name == taken))
            if card.name != taken:
                st.button(
                    f"{card.name} instead",
                    key=f"remedy-{card.remedy}",
                    on_click=_take_remedy,
                    args=(card.remedy,),
                    width="stretch",
                )


def _numbers(meant: PartsView, typed: str) -> None:
    """Lay out how the number was read, and the numbers that it may have been."""
    sure = [card for card in meant.numbers if card.exact]
    blocks.small(" ".join([meant.read_as, *(f"{card.description}." for card in sure)]))
    blocks.write(parts_cards.chain(meant.chain))
    others = [card for card in meant.numbers if card.number != typed]
    likely = [card for card in others if card.exact] if sure else others[:LIKELY_SHOWN]
    for card in likely:
        _mean_button(card)
    if rest := [card for card in others if card not in likely]:
        label = f"Other numbers it may have been ({len(rest)})"
        with st.popover(label, key="meant-others", width="stretch"):
            for card in rest:
                _mean_button(card)


def _mean_button(card: NumberCard) -> None:
    known = "".join(f", {each[:1].lower()}{each[1:]}" for each in card.known)
    st.button(
        f"It is {card.number}{known}: {card.description}",
        key=f"mean-{card.number}",
        on_click=_mean,
        args=(card.number,),
        width="stretch",
    )
