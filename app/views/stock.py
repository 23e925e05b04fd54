"""Stock in words: what runs low, what lies at a place, what a quote has set aside."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import groupby
from typing import TYPE_CHECKING

from app import formatting
from app.views.supplied import where_it_is
from estimator.supply import Stock

if TYPE_CHECKING:
    from collections.abc import Collection, Sequence

    from app.ledger.entries import Reservation, Wish
    from app.reserving import SetAside, StockLine
    from app.restocking import LowLine
    from app.views.fields import Tone
    from estimator.supply import SuppliedPart


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
    """What one quote holds, a line for each place, until when."""

    number: str
    lines: tuple[str, ...]
    until: str


@dataclass(frozen=True)
class AtPlace:
    """A part on a van or at a branch: free, and set aside."""

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


def build_held_cards(
    held: Sequence[Reservation], branches: Collection[str], place: str | None = None
) -> tuple[HeldCard, ...]:
    """Build the list of what quotes hold, one card for each quote.

    Parameters
    ----------
    held
        What is set aside, everywhere.
    branches
        Which places are branches; the others are vans.
    place
        Only quotes that hold something there; their cards say what they hold elsewhere too,
        for a quote lets go all that it holds.
    """

    def nearest(each: Reservation) -> tuple[bool, str]:
        return each.place in branches, each.place

    ordered = sorted(held, key=lambda each: (each.number, *nearest(each), each.part))
    cards = []
    for number, rows in groupby(ordered, key=lambda each: each.number):
        every = list(rows)
        if place is not None and all(each.place != place for each in every):
            continue
        lines = tuple(
            f"{'At' if at_branch else 'On'} {where}: "
            + ", ".join(f"{each.pieces} of {each.part}" for each in there)
            for (at_branch, where), there in groupby(every, key=nearest)
        )
        until = formatting.long_date(max(each.held_until for each in every))
        cards.append(HeldCard(number, lines, f"until {until}"))
    return tuple(cards)


def build_at_place(lines: Sequence[StockLine]) -> tuple[AtPlace, ...]:
    """Build the list of what is on a van or at a branch."""
    return tuple(_at_place(line) for line in lines)


def set_aside_label(wishes: Sequence[Wish], parts: Sequence[SuppliedPart], van: str) -> str:
    """Name what would be set aside where, by what is free as the visit was priced.

    Parameters
    ----------
    wishes
        What would be asked for.
    parts
        The parts as priced.
    van
        The visit's van; empty for none.

    Returns
    -------
    The words; empty where nothing of it is free.
    """
    stocks = {part.number: part.stock for part in parts}
    on_van, at_branch, nowhere = [], [], []
    for wish in wishes:
        stock = stocks[wish.part]
        if stock.van:
            on_van.append(wish.part)
        if stock.branch and stock.van < wish.pieces:
            at_branch.append(wish.part)
        if not stock.van and not stock.branch:
            nowhere.append(wish.part)
    named = ((f"on {van}", on_van), ("at the branch", at_branch))
    places = "; ".join(f"{where}: {', '.join(which)}" for where, which in named if which)
    held = f". Reserved by another quote: {', '.join(nowhere)}" if nowhere else ""
    return f"Set the parts aside {places}{held}" if places else ""


def build_set_aside(asked: Sequence[SetAside]) -> tuple[SetAsideLine, ...]:
    """Say what became of what a quote asked to have set aside.

    Parameters
    ----------
    asked
        What it asked for.

    Returns
    -------
    A line for each part and place; one that another quote holds says where it is free now.
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


def _there(place: str, is_branch: bool) -> str:
    return f"at {place}" if is_branch else f"on {place}"


def _at_place(line: StockLine) -> AtPlace:
    if not line.set_aside:
        return AtPlace(line.part, line.description, f"{line.free} free", "plain")
    said = f"{line.free} free, {line.set_aside} set aside"
    return AtPlace(line.part, line.description, said, "plain" if line.free else "check")


def _set_aside(each: SetAside) -> SetAsideLine:
    held, there = each.reservation, _there(each.reservation.place, each.lies_at_branch)
    if held.released_at is not None:
        return SetAsideLine(f"{held.part} was set aside and let go again.", "plain")
    if not held.short:
        until = formatting.long_date(held.held_until)
        return SetAsideLine(
            f"{held.pieces} of {held.part} set aside {there} until {until}.", "good"
        )
    got = f"{held.pieces} of {held.wanted} set aside. " if held.pieces else ""
    now = each.free_now
    where, _ = where_it_is(now)
    if now.van or now.branch:
        where = "Free now: " + (where if now.van else f"{now.branch} at the branch")
    return SetAsideLine(
        f"{got}{held.part} {there} was reserved by another quote. {where}.", "check"
    )
