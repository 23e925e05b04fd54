"""What a price list does to costs and margins, in the owner's words: what he uses comes first.

Costs and margins stand here: it is for the owner alone.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Final

from app import formatting
from app.views.desk_words import NONE, changed, counted, percent_or_none

if TYPE_CHECKING:
    from decimal import Decimal

    from app.price_effects import GonePart, UsedEffect, UsedPart
    from app.views.fields import Tone
    from catalog.price_effects import CostMove, PriceEffect

OPEN: Final = 5
"""How many used parts stand open; the others open on a tap."""
LISTED: Final = 200


@dataclass(frozen=True)
class UsedRow:
    """A part that the shop uses: what it costs more in a tag, figures, and what to know."""

    part: str
    tag: str
    tone: Tone
    figures: tuple[tuple[str, str], ...]
    under: tuple[str, ...]


@dataclass(frozen=True)
class UsedView:
    """What a list does to the parts that the shop uses.

    `open_rows` stand open, `more_rows` under `more_head`; `gone` are parts that the list leaves
    out, under `gone_head`.
    """

    said: tuple[str, ...]
    open_rows: tuple[UsedRow, ...]
    more_head: str
    more_rows: tuple[UsedRow, ...]
    gone_head: str
    gone: tuple[str, ...]


def build_used_view(used: UsedEffect, supplier: str) -> UsedView:
    """Build what a list does to the parts that the shop uses.

    Parameters
    ----------
    used
        The effect.
    supplier
        Whose list it is.
    """
    rows = tuple(_row(each, supplier, by_quoted=used.by_quoted) for each in used.parts[:LISTED])
    left = len(used.parts) - OPEN
    shown = f", the first {LISTED - OPEN:,} of them" if len(used.parts) > LISTED else ""
    return UsedView(
        said=_said(used),
        open_rows=rows[:OPEN],
        more_head=f"{counted(left, 'more part')} that you use{shown}" if left > 0 else "",
        more_rows=rows[OPEN:],
        gone_head=(
            f"{counted(len(used.gone), 'part')} that you use and buy here"
            f" {'is' if len(used.gone) == 1 else 'are'} not in the list. If it is the whole list:"
            if used.gone
            else ""
        ),
        gone=tuple(_gone(each, by_quoted=used.by_quoted) for each in used.gone[:LISTED]),
    )


def effect_sentence(effect: PriceEffect) -> str:
    """Say in a sentence or two what all changed rows do to costs and margins."""
    if not effect.rises and not effect.falls:
        return "No cost changes."
    moved = effect.cost - effect.cost_before
    share = formatting.percent(abs(moved) / effect.cost_before)
    way = f"rise by {share}" if moved > 0 else f"fall by {share}" if moved < 0 else "stay"
    of_each = f"Over one of each of {counted(effect.rows, 'changed part')}, costs {way}."
    if effect.worst is None:
        return f"{of_each} No margin falls by a point: your prices follow your costs."
    fall = "margin falls" if effect.margins_fall == 1 else "margins fall"
    return (
        f"{of_each} {effect.margins_fall:,} {fall} by a point or more, most that of"
        f" {effect.worst.part}: {formatting.percent(effect.worst.margin_before)} to"
        f" {formatting.percent(effect.worst.margin)}."
    )


def effect_lines(effect: PriceEffect) -> tuple[tuple[str, str], ...]:
    """Return the figures of all changed rows, each with what it is; none without a change."""
    if not effect.rows:
        return ()
    stay = effect.rows - effect.rises - effect.falls
    cost = changed(formatting.money(effect.cost_before), formatting.money(effect.cost))
    price = changed(formatting.money(effect.price_before), formatting.money(effect.price))
    lines = [
        ("Costs", f"{effect.rises:,} rise, {effect.falls:,} fall, {stay:,} stay"),
        ("Change of cost", _spread(effect)),
        ("Largest rise", _move(effect.largest_rise)),
        ("Largest fall", _move(effect.largest_fall)),
        ("Cost, one of each", cost),
        ("Price as it follows", price),
        ("Gross margin", _margins(effect.margin_before, effect.margin_kept, effect.margin)),
    ]
    if effect.under_cost:
        sold = "1 part sells" if effect.under_cost == 1 else f"{effect.under_cost:,} parts sell"
        lines.append(("Below cost", f"{sold} below cost if your prices stay"))
    return tuple(lines)


def _spread(effect: PriceEffect) -> str:
    if effect.spread is None:
        return NONE
    low, middle, high = map(_signed, effect.spread)
    return f"10 of 100 at {low} or below, half at {middle}, 90 of 100 at {high}"


def _move(move: CostMove | None) -> str:
    if move is None:
        return "none"
    cost = changed(formatting.money(move.cost_before), formatting.money(move.cost))
    return f"{move.part}: {cost}, {_signed(move.share)}"


def _margins(before: Decimal | None, kept: Decimal | None, after: Decimal | None) -> str:
    return (
        f"{percent_or_none(before)} today; {percent_or_none(kept)} if your prices stay,"
        f" {percent_or_none(after)} as they follow"
    )


def _signed(share: Decimal) -> str:
    return f"+{formatting.percent(share)}" if share > 0 else formatting.percent(share)


def _said(used: UsedEffect) -> tuple[str, ...]:
    since = formatting.long_date(used.since)
    if not used.taken:
        return (f"No quote since {since} holds a part.",)
    rest = (
        f"{counted(used.unmoved, 'more part')} of your quotes"
        f" {'changes' if used.unmoved == 1 else 'change'} in the list, and nothing that you pay or"
        " ask with it."
        if used.unmoved
        else ""
    )
    quotes = f"the {counted(used.taken, 'part')} in your quotes since {since}"
    if not used.parts:
        none = f"The list moves nothing that you pay or ask for {quotes}."
        return tuple(filter(None, (none, rest)))
    first = f"The list moves what you pay or ask for {len(used.parts):,} of {quotes}. {_sum(used)}"
    margins = _margins(used.margin_before, used.margin_kept, used.margin)
    second = f"Gross margin on them: {margins}." if used.price_before else ""
    return tuple(filter(None, (first, second, rest)))


def _sum(used: UsedEffect) -> str:
    """Say what the pieces of the year come to; where no accepted repair is known, say so."""
    more = used.cost - used.cost_before
    amount = (
        f"{formatting.money(abs(more))} {'more' if more > 0 else 'less'}" if more else "the same"
    )
    pieces = f"{formatting.quantity(used.pieces)} piece{'' if used.pieces == 1 else 's'}"
    if used.by_quoted:
        return f"No accepted repair is known; the {pieces} quoted would come to {amount} at cost."
    if not used.pieces:
        return "No accepted repair took one of them."
    return f"The {pieces} of accepted repairs come to {amount} at cost."


def _count(part: UsedPart | GonePart, *, by_quoted: bool) -> str:
    quoted = formatting.quantity(part.quoted)
    return quoted if by_quoted else f"{formatting.quantity(part.used)} of {quoted} quoted"


def _row(part: UsedPart, supplier: str, *, by_quoted: bool) -> UsedRow:
    tag, tone = _tag(part.dearer)
    price = changed(formatting.money(part.price_before), formatting.money(part.price))
    margins = _margins(part.margin_before, part.margin_kept, part.margin)
    return UsedRow(
        part=part.part,
        tag=tag,
        tone=tone,
        figures=(
            ("Quoted" if by_quoted else "Used", _count(part, by_quoted=by_quoted)),
            ("You pay", changed(formatting.money(part.paid_before), formatting.money(part.paid))),
            ("Your price", price),
        ),
        under=tuple(filter(None, (f"Margin {margins}.", _bought(part, supplier)))),
    )


def _tag(dearer: Decimal) -> tuple[str, Tone]:
    if not dearer:
        return "", "plain"
    amount = formatting.money(abs(dearer))
    if dearer > 0:
        return f"costs {amount} more a year", "check"
    return f"saves {amount} a year", "good"


def _bought(part: UsedPart, supplier: str) -> str:
    """Say where the part is bought once the list holds, where that is no matter of course."""
    if part.supplier != supplier:
        asked = formatting.money(part.cost)
        return f"{part.supplier} is the cheapest then; this list asks {asked}."
    if part.cost_before is None:
        return f"New with {supplier}, and the cheapest."
    if part.cost_before != part.paid_before:
        return f"{supplier} becomes the cheapest."
    return ""


def _gone(part: GonePart, *, by_quoted: bool) -> str:
    count = f"{'quoted' if by_quoted else 'used'} {_count(part, by_quoted=by_quoted)}"
    if part.elsewhere is None:
        return f"{part.part} ({count}): nobody else offers it."
    paid = changed(formatting.money(part.paid_before), formatting.money(part.elsewhere))
    return f"{part.part} ({count}): {paid}, from {part.supplier}."
