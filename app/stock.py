"""Stock: what is free once reservations count, what a quote asks to set aside, what runs low.

Pure: the pieces counted come from the catalog, what is set aside is passed in.
"""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass
from decimal import ROUND_CEILING
from typing import TYPE_CHECKING

from app.ledger.entries import Wish

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping

    from estimator.supply import SuppliedPart

WEEKS_COVERED = 2
"""Weeks of use that a van should hold; common practice, no source."""


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
    counted: Mapping[tuple[str, str], int], taken: Mapping[tuple[str, str], int]
) -> dict[tuple[str, str], int]:
    """Return the pieces that are free.

    Parameters
    ----------
    counted
        (part, place) to pieces counted.
    taken
        (part, place) to pieces set aside for quotes.

    Returns
    -------
    (part, place) to pieces, never below none.
    """
    return {key: max(pieces - taken.get(key, 0), 0) for key, pieces in counted.items()}


def wishes_for(
    parts: Iterable[SuppliedPart], counted: Mapping[str, tuple[tuple[str, int], ...]]
) -> tuple[Wish, ...]:
    """Return what issuing a quote asks to have set aside.

    Parameters
    ----------
    parts
        The parts of its repair.
    counted
        Part to the places where it lies, the nearest first, and the pieces counted there,
        whoever they are set aside for.

    Returns
    -------
    One for each part that lies somewhere.
    """
    needed: Counter[str] = Counter()
    for part in parts:
        needed[part.number] += int(part.quantity.to_integral_value(ROUND_CEILING))
    return tuple(
        Wish(number, pieces, counted[number])
        for number, pieces in needed.items()
        if counted.get(number)
    )


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
