"""Tallies of quotes from columns: counts by state, repairs, and money to the cent."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from typing import Any, Final

import numpy as np
import pyarrow as pa
import pyarrow.compute as pc

from app.ledger.answers import ACCEPTED, DECLINED_STATE, ISSUED, LAPSED, SUPERSEDED
from app.ledger.entries import DECLINED, REPAIR

STATES: Final = (ISSUED, ACCEPTED, DECLINED_STATE, LAPSED, SUPERSEDED)
AGE_EDGES: Final = (5, 10, 15, 20)
"""Heater ages at which a new band begins [yr]."""
AGE_BANDS: Final = ("0 to 4", "5 to 9", "10 to 14", "15 to 19", "20 or more")
MOST_PARTS: Final = 200
Ints = np.ndarray[Any, np.dtype[np.int64]]
Flags = np.ndarray[Any, np.dtype[np.bool_]]


@dataclass(frozen=True)
class Tally:
    """Quotes that have something in common; `key` is ``None`` where it is not known.

    `open` wait for an answer. `revenue` and `cost` [USD] are of the `earning` accepted
    quotes whose figures are known.
    """

    key: str | None
    quotes: int
    open: int
    accepted: int
    declined: int
    lapsed: int
    repaired: int
    earning: int
    revenue: Decimal
    cost: Decimal

    @property
    def replaced(self) -> int:
        """How many took a replacement."""
        return self.accepted - self.repaired

    @property
    def share_accepted(self) -> Decimal | None:
        """Accepted over all that were answered or lapsed [1]; ``None`` where none was."""
        settled = self.accepted + self.declined + self.lapsed
        return Decimal(self.accepted) / settled if settled else None

    @property
    def share_repaired(self) -> Decimal | None:
        """Repairs over all accepted [1]."""
        return Decimal(self.repaired) / self.accepted if self.accepted else None

    @property
    def average_job(self) -> Decimal | None:
        """Mean price of an accepted job before tax [USD]."""
        return self.revenue / self.earning if self.earning else None

    @property
    def gross_margin(self) -> Decimal | None:
        """Gross margin of the accepted jobs together [1]."""
        return (self.revenue - self.cost) / self.revenue if self.revenue else None


@dataclass(frozen=True)
class PartUse:
    """A part: in how many quotes it was quoted, and in how many accepted repairs it went in."""

    number: str
    quoted: int
    used: int


@dataclass(frozen=True)
class Counted:
    """The last revisions in the filter, as arrays side by side."""

    table: pa.Table
    state: Ints
    repaired: Flags
    revenue: Ints
    cost: Ints
    earning: Flags


def state_codes(table: pa.Table, day: date) -> Ints:
    """Return each row's state on a day, as its place in `STATES`; 1-D array."""
    codes, words = _coded(table["chosen_path"])
    answered = codes < len(words) - 1
    declined = _is_word(codes, words, DECLINED)
    lapsed = pc.less(table["valid_until"], pa.scalar(day, pa.date32())).to_numpy()
    states = np.where(answered, np.where(declined, 2, 1), np.where(lapsed, 3, 0))
    return np.where(table["superseded"].to_numpy(), 4, states).astype(np.int64)


def _is_word(codes: Ints, words: list[str | None], word: str) -> Flags:
    return np.equal(codes, words.index(word) if word in words else -1)


def counted_rows(table: pa.Table, day: date) -> Counted:
    """Lay rows out for counting; none of them superseded."""
    state = state_codes(table, day)
    accepted = state == STATES.index(ACCEPTED)
    repaired = _is_word(*_coded(table["chosen_path"]), REPAIR)
    known = pc.and_(pc.is_valid(table["revenue_cents"]), pc.is_valid(table["cost_cents"]))
    return Counted(
        table=table,
        state=state,
        repaired=repaired & accepted,
        revenue=pc.fill_null(table["revenue_cents"], 0).to_numpy(),
        cost=pc.fill_null(table["cost_cents"], 0).to_numpy(),
        earning=known.to_numpy() & accepted,
    )


def total_of(counted: Counted) -> Tally:
    """Tally all rows together."""
    (all_in_one,) = _tallies(counted, np.zeros(len(counted.state), np.int64), [None])
    return all_in_one


def _tallies(counted: Counted, codes: Ints, keys: list[str | None]) -> list[Tally]:
    """Tally rows by code; `keys` names each code."""
    size = len(keys)
    by_state = np.bincount(codes * 4 + counted.state, minlength=4 * size).reshape(size, 4)
    repaired = np.bincount(codes[counted.repaired], minlength=size)
    at = codes[counted.earning]
    earning = np.bincount(at, minlength=size)
    revenue = _sums(at, counted.revenue[counted.earning], size)
    cost = _sums(at, counted.cost[counted.earning], size)
    return [
        Tally(
            key=key,
            quotes=int(by_state[i].sum()),
            open=int(by_state[i, 0]),
            accepted=int(by_state[i, 1]),
            declined=int(by_state[i, 2]),
            lapsed=int(by_state[i, 3]),
            repaired=int(repaired[i]),
            earning=int(earning[i]),
            revenue=Decimal(revenue[i]).scaleb(-2),
            cost=Decimal(cost[i]).scaleb(-2),
        )
        for i, key in enumerate(keys)
    ]


def _sums(codes: Ints, cents: Ints, size: int) -> list[int]:
    """Add whole cents by code, exactly: floats hold each part, and Python adds the two."""
    # A float64 adds whole numbers exactly up to 2**53. Parts of 24 bits get there after five
    # hundred million rows, at the largest amount that the ledger takes.
    low, high = cents & 0xFFFFFF, cents >> 24
    lows = np.bincount(codes, weights=low.astype(np.float64), minlength=size)
    highs = np.bincount(codes, weights=high.astype(np.float64), minlength=size)
    return [(int(h) << 24) + int(w) for h, w in zip(highs, lows, strict=True)]


def _coded(column: pa.ChunkedArray) -> tuple[Ints, list[str | None]]:
    """Return a word column as codes and the word of each; unknown words have the last code."""
    whole = column.unify_dictionaries().combine_chunks()
    if isinstance(whole, pa.ChunkedArray):
        whole = whole.chunk(0) if whole.num_chunks else pa.array([], column.type)
    words: list[str | None] = whole.dictionary.to_pylist()
    codes = pc.fill_null(whole.indices, len(words)).to_numpy(zero_copy_only=False)
    return codes.astype(np.int64), [*words, None]


def _by_word(column: str) -> Callable[[Counted], tuple[Tally, ...]]:
    def tallied(counted: Counted) -> tuple[Tally, ...]:
        codes, words = _coded(counted.table[column])
        found = [it for it in _tallies(counted, codes, words) if it.quotes]
        return tuple(sorted(found, key=lambda it: (-it.quotes, it.key is None, it.key or "")))

    return tallied


def age_codes(table: pa.Table) -> Ints:
    """Return each row's band of age, as its place in `AGE_BANDS`, past the last if not known."""
    months = pc.fill_null(table["heater_age_months"], -1).to_numpy()
    codes = np.digitize(months, [12 * edge for edge in AGE_EDGES])
    return np.where(months < 0, len(AGE_BANDS), codes).astype(np.int64)


def _by_age(counted: Counted) -> tuple[Tally, ...]:
    codes = age_codes(counted.table)
    return tuple(it for it in _tallies(counted, codes, [*AGE_BANDS, None]) if it.quotes)


def _by_month(counted: Counted) -> tuple[Tally, ...]:
    days = counted.table["issued_on"].cast(pa.int32()).to_numpy().astype("datetime64[D]")
    months = days.astype("datetime64[M]").astype(np.int64)
    if not len(months):
        return ()
    first = int(months.min())
    names = np.arange(first, int(months.max()) + 1).astype("datetime64[M]")
    return tuple(_tallies(counted, months - first, [str(name) for name in names]))


WAYS: Final[dict[str, Callable[[Counted], tuple[Tally, ...]]]] = {
    "person": _by_word("issued_by"),
    "finding": _by_word("finding"),
    "age": _by_age,
    "verdict": _by_word("verdict"),
    "month": _by_month,
}


def parts_of(counted: Counted) -> tuple[PartUse, ...]:
    """Count the parts quoted and used, the most used first."""
    codes, words = _coded(counted.table["part_number"])
    quoted = np.bincount(codes, minlength=len(words))
    used = np.bincount(codes[counted.repaired], minlength=len(words))
    found = [
        PartUse(word, int(quoted[i]), int(used[i]))
        for i, word in enumerate(words)
        if word is not None and quoted[i]
    ]
    return tuple(sorted(found, key=lambda it: (-it.used, -it.quoted, it.number))[:MOST_PARTS])
