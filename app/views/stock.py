"""Stock in words: what runs low, what is on a van, what a quote has set aside."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import groupby
from typing import TYPE_CHECKING

from app import formatting
from app.views.supplied import where_it_is
from estimator.supply import Stock

if TYPE_CHECKING:
    from collections.abc import Sequence

    from app.ledger.entries import Reservation
    from app.reserving import LowLine, SetAside, StockLine
    from app.views.fields import Tone


@dataclass(frozen=True)
class LowCard:
    """A part that runs low: what to bring, why, and where that is to be had."""

    part: str
    description: str
    van: str
    bring: str
    why: str
    where: str
    where_tone: Tone


@dataclass(frozen=True)
class HeldCard:
    """What one quote holds, until when."""

    number: str
    van: str
    parts: tuple[str, ...]
    until: str


@dataclass(frozen=True)
class OnVan:
    """A part on a van: free, and set aside."""

    part: str
    description: str
    free: str
    tone: Tone


@dataclass(frozen=True)
class SetAsideLine:
    """What became of one part that a quote asked to have set aside."""

    sentence: str
    tone: Tone


def build_low_cards(low: Sequence[LowLine], weeks: int) -> tuple[LowCard, ...]:
    """Build the list of what runs low.

    Parameters
    ----------
    low
        What runs low, the shortest first.
    weeks
        Over how many weeks of quotes.
    """
    return tuple(_low_card(line, weeks) for line in low)


def build_held_cards(held: Sequence[Reservation]) -> tuple[HeldCard, ...]:
    """Build the list of what quotes hold, one card for each quote and van."""
    ordered = sorted(held, key=lambda each: (each.place, each.number, each.part))
    cards = []
    for (van, number), rows in groupby(ordered, key=lambda each: (each.place, each.number)):
        parts = list(rows)
        until = formatting.long_date(max(each.held_until for each in parts))
        names = tuple(f"{each.pieces} of {each.part}" for each in parts)
        cards.append(HeldCard(number, van, names, f"until {until}"))
    return tuple(cards)


def build_on_van(lines: Sequence[StockLine]) -> tuple[OnVan, ...]:
    """Build the list of what is on a van."""
    return tuple(_on_van(line) for line in lines)


def build_set_aside(asked: Sequence[SetAside]) -> tuple[SetAsideLine, ...]:
    """Say what became of what a quote asked to have set aside.

    Parameters
    ----------
    asked
        What it asked for.

    Returns
    -------
    A line for each part; one that another quote holds says where else it is.
    """
    return tuple(_set_aside(each) for each in asked)


def _low_card(line: LowLine, weeks: int) -> LowCard:
    where, tone = where_it_is(Stock(branch=line.at_branch, order_days=line.order_days))
    if line.at_branch:
        where, tone = f"{line.at_branch} at the branch", "good"
    elif line.order_days is not None:
        where = f"{where}, {line.supplier}"
    quotes = "quote" if line.used == 1 else "quotes"
    return LowCard(
        part=line.part,
        description=line.description,
        van=line.van,
        bring=f"Bring {line.bring}",
        why=(
            f"{line.free} free. {line.used} in the {quotes} of the last {weeks} weeks,"
            f" {line.used_per_week:.1f} a week; {line.wanted} should be there."
        ),
        where=where,
        where_tone=tone,
    )


def _on_van(line: StockLine) -> OnVan:
    if not line.set_aside:
        return OnVan(line.part, line.description, f"{line.free} free", "plain")
    said = f"{line.free} free, {line.set_aside} set aside"
    return OnVan(line.part, line.description, said, "plain" if line.free else "check")


def _set_aside(each: SetAside) -> SetAsideLine:
    held = each.reservation
    if held.released_at is not None:
        return SetAsideLine(f"{held.part} was set aside and let go again.", "plain")
    if not held.short:
        until = formatting.long_date(held.held_until)
        return SetAsideLine(
            f"{held.pieces} of {held.part} set aside on {held.place} until {until}.", "good"
        )
    where, _ = where_it_is(Stock(branch=each.at_branch, order_days=each.order_days))
    if each.at_branch:
        where = f"{each.at_branch} at the branch"
    got = f"{held.pieces} of {held.wanted} set aside. " if held.pieces else ""
    return SetAsideLine(
        f"{got}{held.part} on {held.place} is reserved by another quote. {where}.", "check"
    )
