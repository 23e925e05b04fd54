"""Stock: what is free once reservations count, what an issued quote reserves, what runs low.

Pure: the pieces counted come from the catalog, what is reserved is passed in.
"""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping
    from datetime import date

    from estimator.supply import Stock, SuppliedPart

WEEKS_COVERED = 2
"""Weeks of use that a van should hold; common practice, no source."""


@dataclass(frozen=True)
class Reservation:
    """Pieces of a part set aside at a place for a quote, until a day."""

    quote: str
    part: str
    place: str
    pieces: int
    until: date


@dataclass(frozen=True)
class LowStock:
    """A part that runs low at a place: pieces free, and what the quotes use of it."""

    part: str
    place: str
    free: int
    wanted: int
    used_per_week: float

    @property
    def short(self) -> int:
        """Pieces to bring."""
        return self.wanted - self.free


def free_stock(
    counted: Mapping[tuple[str, str], int], reserved: Iterable[Reservation], on: date
) -> dict[tuple[str, str], int]:
    """Return the pieces that are free.

    Parameters
    ----------
    counted
        (part, place) to pieces counted.
    reserved
        Reservations; one past its day no longer counts.
    on
        The day.

    Returns
    -------
    (part, place) to pieces, never below none.
    """
    taken: Counter[tuple[str, str]] = Counter()
    for each in reserved:
        if each.until >= on:
            taken[each.part, each.place] += each.pieces
    return {key: max(pieces - taken[key], 0) for key, pieces in counted.items()}


def reservations_for(
    quote: str, parts: Iterable[SuppliedPart], van: str, until: date
) -> tuple[Reservation, ...]:
    """Return what issuing a quote sets aside on its van.

    Parameters
    ----------
    quote
        The quote's number.
    parts
        The parts of its repair, with their stock.
    van
        The van; empty for none, and then nothing is set aside.
    until
        The last day on which the quote holds.

    Returns
    -------
    One for each part that is on the van, of no more pieces than are there.
    """
    if not van:
        return ()
    made = []
    for part in parts:
        pieces = min(int(part.quantity.to_integral_value()), part.stock.van)
        if pieces > 0:
            made.append(Reservation(quote, part.number, van, pieces, until))
    return tuple(made)


def low_stock(
    free: Mapping[tuple[str, str], int],
    used: Iterable[tuple[str, str, int]],
    weeks: float,
    weeks_covered: float = WEEKS_COVERED,
) -> tuple[LowStock, ...]:
    """Return what runs low, by what the quotes used.

    Parameters
    ----------
    free
        (part, place) to pieces free; a pair that is not there has none.
    used
        (part, place, pieces) of the quotes of the last `weeks`.
    weeks
        Over how long that use was [weeks].
    weeks_covered
        For how long a place should hold parts [weeks].

    Returns
    -------
    Parts with fewer pieces than that use asks for, at least one; the shortest first.
    """
    use: Counter[tuple[str, str]] = Counter()
    for part, place, pieces in used:
        use[part, place] += pieces
    found = []
    for (part, place), pieces in use.items():
        a_week = pieces / weeks
        wanted = max(1, -int(-a_week * weeks_covered // 1))
        held = free.get((part, place), 0)
        if held < wanted:
            found.append(LowStock(part, place, held, wanted, a_week))
    return tuple(sorted(found, key=lambda each: (-each.short, each.part, each.place)))


PlaceKind = Literal["van", "branch"]


def with_reserved(stock: Stock, reserved_on_van: int) -> Stock:
    """Return a part's stock with what is set aside on the van taken off.

    Parameters
    ----------
    stock
        The stock counted.
    reserved_on_van
        Pieces set aside for other quotes.

    Returns
    -------
    The stock that is free.
    """
    return stock.model_copy(update={"van": max(stock.van - reserved_on_van, 0)})
