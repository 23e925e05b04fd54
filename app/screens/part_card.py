"""A part as markup."""

from __future__ import annotations

from html import escape
from typing import TYPE_CHECKING

from app.screens import marks

if TYPE_CHECKING:
    from app.views.part import PartCard, RejectedPart
    from app.views.supplied import Besides


def card(card: PartCard) -> str:
    """Return a part that fits: number, price, where it is, what to check, why it fits."""
    tags = marks.tag(card.fit_word, card.fit_tone) + marks.tag(card.where, card.where_tone)
    taken = (
        f'<p class="taken">✓ {"Best fit, taken" if card.best else "Taken"}</p>'
        if card.chosen
        else ""
    )
    besides = "".join(beside(each) for each in card.besides)
    return (
        f'{taken}<div class="part"><h2 class="heading">{escape(card.number)}</h2>'
        f'<span class="figure">{card.price}</span></div><p>{escape(card.description)}</p>'
        f'<p class="tags">{tags}</p>{checks(card.check_these, open_=card.chosen)}'
        + (
            f'<p class="under">Besides it:</p><ul class="plain-list">{besides}</ul>'
            if besides
            else ""
        )
        + marks.more("Why it fits", marks.items(card.reasons))
    )


def checks(told: tuple[str, ...], *, open_: bool = False) -> str:
    """Return what to look at: open on the part taken, one tap away where there is much."""
    rows = marks.items(told, "checks")
    return rows if open_ or len(told) < 2 else marks.more(f"Check {len(told)} things first", rows)


def beside(each: Besides) -> str:
    """Return what the job needs besides the part, with why."""
    return f"<li>{escape(each.name)}, {each.price}<small>{escape(each.because)}</small></li>"


def near_misses(parts: tuple[RejectedPart, ...]) -> str:
    """Return the parts that do not fit, one tap away, each with why not."""
    rows = "".join(
        f'<div class="path"><h3>{escape(each.number)}</h3>'
        f"<p>{escape(each.description)}</p>{marks.items(each.why, 'checks')}</div>"
        for each in parts
    )
    return marks.more(f"Near misses, and why they do not fit ({len(parts)})", rows)
