"""The books: what was quoted, taken and earned, by state, person, finding, age, verdict, month.

Only the last revision of a quote is counted. Money is before tax; costs and margins are of
the path that the customer took. It is for the owner's eyes only.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from typing import TYPE_CHECKING, Any, Final

import numpy as np
import pyarrow as pa
import pyarrow.compute as pc

from app.desk.book_table import book_table
from app.ledger.answers import ACCEPTED, DECLINED_STATE, ISSUED, LAPSED, SUPERSEDED
from app.ledger.entries import DECLINED, REPAIR
from app.people.guard import Actor, require
from app.people.roles import Action
from estimator.errors import InputTrouble
from estimator.findings import Finding

if TYPE_CHECKING:
    from app.actions import Shop

STATES: Final = (ISSUED, ACCEPTED, DECLINED_STATE, LAPSED, SUPERSEDED)
AGE_EDGES: Final = (5, 10, 15, 20)
"""Heater ages at which a new band begins [yr]."""
AGE_BANDS: Final = ("0 to 4", "5 to 9", "10 to 14", "15 to 19", "20 or more")
MOST_PARTS: Final = 200
COUNTED: Final = (
    "issued_on",
    "issued_by",
    "verdict",
    "finding",
    "part_number",
    "heater_age_months",
    "cost_cents",
    "revenue_cents",
    "chosen_path",
    "superseded",
    "valid_until",
)
"""The columns that the books are counted from."""

Ints = np.ndarray[Any, np.dtype[np.int64]]
Flags = np.ndarray[Any, np.dtype[np.bool_]]


@dataclass(frozen=True)
class BookFilter:
    """Which quotes are counted; an empty tuple or ``None`` lets all through.

    `first` and `last` are days of issue, both included; `people` are those who issued.
    """

    first: date | None = None
    last: date | None = None
    people: tuple[str, ...] = ()
    findings: tuple[str, ...] = ()
    states: tuple[str, ...] = ()


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
class Books:
    """The books over a filter on a day.

    `by` holds tallies by person, finding, age, verdict and month. `superseded` revisions are
    counted nowhere else. `target` is the gross margin to hold the jobs against [1], and
    `target_is_floor` whether it is the margin floor in force because none was given. `people`
    are all who ever issued a quote.
    """

    filter: BookFilter
    day: date
    total: Tally
    superseded: int
    by: dict[str, tuple[Tally, ...]]
    parts: tuple[PartUse, ...]
    target: Decimal
    target_is_floor: bool
    people: tuple[str, ...]


@dataclass(frozen=True)
class _Counted:
    """The last revisions in the filter, as arrays side by side."""

    table: pa.Table
    state: Ints
    repaired: Flags
    revenue: Ints
    cost: Ints
    earning: Flags


def books(
    shop: Shop,
    actor: Actor,
    wanted: BookFilter,
    day: date,
    *,
    target: Decimal | None = None,
) -> Books:
    """Count the books.

    Parameters
    ----------
    shop
        The shop.
    actor
        The owner.
    wanted
        Which quotes.
    day
        Today, at the shop: what lapsed by then.
    target
        Gross margin to hold the jobs against [1]; the margin floor in force unless given.

    Returns
    -------
    The books.

    Raises
    ------
    Trouble
        If it is not the actor's to see, or the filter names a person, finding or state that
        the books do not know.
    """
    require(shop, actor, Action.SEE_BOOKS)
    floor = shop.ledger.rate_sheet_on(day).sheet.quote.margin_floor
    goal = floor if target is None else target
    table = book_table(shop, COUNTED)
    return count_books(table, wanted, day, goal, target_is_floor=target is None)


def count_books(
    table: pa.Table, wanted: BookFilter, day: date, target: Decimal, *, target_is_floor: bool
) -> Books:
    """Count a table of facts; see `books`.

    Parameters
    ----------
    table
        As `app.desk.book_table.book_table` gives it.
    wanted, day, target, target_is_floor
        See `books` and `Books`.
    """
    everyone = people_of(table)
    chosen = chosen_rows(table.select(COUNTED), wanted, day, everyone)
    current = chosen.filter(pc.invert(chosen["superseded"]))
    counted = _counted(current, day)
    return Books(
        filter=wanted,
        day=day,
        total=_total(counted),
        superseded=chosen.num_rows - current.num_rows,
        by={name: tallied(counted) for name, tallied in _WAYS.items()},
        parts=_parts(counted),
        target=target,
        target_is_floor=target_is_floor,
        people=everyone,
    )


def people_of(table: pa.Table) -> tuple[str, ...]:
    """Return everyone who issued a quote, in the order of the alphabet."""
    found = {
        word for chunk in table["issued_by"].chunks for word in chunk.dictionary.to_pylist() if word
    }
    return tuple(sorted(found))


def chosen_rows(
    table: pa.Table, wanted: BookFilter, day: date, people: tuple[str, ...]
) -> pa.Table:
    """Return the rows that a filter lets through, superseded ones among them.

    Parameters
    ----------
    table
        The facts.
    wanted
        The filter.
    day
        Today: what lapsed by then.
    people
        Everyone in the books, for the refusal of a name that is not.

    Raises
    ------
    InputTrouble
        If the filter names what the books do not know, or ends before it begins.
    """
    _refuse_unknown(wanted, people)
    keep: Any = None

    def also(mask: Any) -> None:
        nonlocal keep
        keep = mask if keep is None else pc.and_(keep, mask)

    if wanted.first is not None:
        also(pc.greater_equal(table["issued_on"], pa.scalar(wanted.first, pa.date32())))
    if wanted.last is not None:
        also(pc.less_equal(table["issued_on"], pa.scalar(wanted.last, pa.date32())))
    if wanted.people:
        also(_one_of(table["issued_by"], wanted.people))
    if wanted.findings:
        also(_one_of(table["finding"], wanted.findings))
    if wanted.states:
        codes = np.array([STATES.index(state) for state in wanted.states])
        also(pa.array(np.isin(state_codes(table, day), codes)))
    return table if keep is None else table.filter(keep)


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


def _one_of(column: pa.ChunkedArray, words: tuple[str, ...]) -> pa.ChunkedArray:
    return pc.is_in(column, value_set=pa.array(words, pa.string()))


def _refuse_unknown(wanted: BookFilter, people: tuple[str, ...]) -> None:
    known = (
        ("person", wanted.people, people),
        ("finding", wanted.findings, tuple(Finding)),
        ("state", wanted.states, STATES),
    )
    for what, asked, there in known:
        for word in asked:
            if word not in there:
                said = ", ".join(there) if there else "none yet"
                raise InputTrouble(f'The books know no {what} "{word}"', "", f"They know {said}.")
    if wanted.first is not None and wanted.last is not None and wanted.last < wanted.first:
        raise InputTrouble(
            f"The last day {wanted.last} lies before the first {wanted.first}",
            "",
            "Exchange the two.",
        )


def _counted(table: pa.Table, day: date) -> _Counted:
    state = state_codes(table, day)
    accepted = state == STATES.index(ACCEPTED)
    repaired = _is_word(*_coded(table["chosen_path"]), REPAIR)
    known = pc.and_(pc.is_valid(table["revenue_cents"]), pc.is_valid(table["cost_cents"]))
    return _Counted(
        table=table,
        state=state,
        repaired=repaired & accepted,
        revenue=pc.fill_null(table["revenue_cents"], 0).to_numpy(),
        cost=pc.fill_null(table["cost_cents"], 0).to_numpy(),
        earning=known.to_numpy() & accepted,
    )


def _total(counted: _Counted) -> Tally:
    (all_in_one,) = _tallies(counted, np.zeros(len(counted.state), np.int64), [None])
    return all_in_one


def _tallies(counted: _Counted, codes: Ints, keys: list[str | None]) -> list[Tally]:
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
    """Add whole cents by code, exactly: floats hold each half, and Python adds the two."""
    # A float64 adds whole numbers exactly up to 2**53; halves of 32 bits never get there
    # with fewer than two million rows of the largest amount that the ledger takes.
    low, high = cents & 0xFFFFFFFF, cents >> 32
    lows = np.bincount(codes, weights=low.astype(np.float64), minlength=size)
    highs = np.bincount(codes, weights=high.astype(np.float64), minlength=size)
    return [(int(h) << 32) + int(w) for h, w in zip(highs, lows, strict=True)]


def _coded(column: pa.ChunkedArray) -> tuple[Ints, list[str | None]]:
    """Return a word column as codes and the word of each; unknown words have the last code."""
    whole = column.unify_dictionaries().combine_chunks()
    if isinstance(whole, pa.ChunkedArray):
        whole = whole.chunk(0) if whole.num_chunks else pa.array([], column.type)
    words: list[str | None] = whole.dictionary.to_pylist()
    codes = pc.fill_null(whole.indices, len(words)).to_numpy(zero_copy_only=False)
    return codes.astype(np.int64), [*words, None]


def _by_word(column: str) -> Callable[[_Counted], tuple[Tally, ...]]:
    def tallied(counted: _Counted) -> tuple[Tally, ...]:
        codes, words = _coded(counted.table[column])
        found = [it for it in _tallies(counted, codes, words) if it.quotes]
        return tuple(sorted(found, key=lambda it: (-it.quotes, it.key is None, it.key or "")))

    return tallied


def _by_age(counted: _Counted) -> tuple[Tally, ...]:
    months = pc.fill_null(counted.table["heater_age_months"], -1).to_numpy()
    codes = np.digitize(months, [12 * edge for edge in AGE_EDGES])
    codes = np.where(months < 0, len(AGE_BANDS), codes).astype(np.int64)
    return tuple(it for it in _tallies(counted, codes, [*AGE_BANDS, None]) if it.quotes)


def _by_month(counted: _Counted) -> tuple[Tally, ...]:
    days = counted.table["issued_on"].cast(pa.int32()).to_numpy().astype("datetime64[D]")
    months = days.astype("datetime64[M]").astype(np.int64)
    if not len(months):
        return ()
    first = int(months.min())
    names = np.arange(first, int(months.max()) + 1).astype("datetime64[M]")
    return tuple(_tallies(counted, months - first, [str(name) for name in names]))


_WAYS: Final[dict[str, Callable[[_Counted], tuple[Tally, ...]]]] = {
    "person": _by_word("issued_by"),
    "finding": _by_word("finding"),
    "age": _by_age,
    "verdict": _by_word("verdict"),
    "month": _by_month,
}


def _parts(counted: _Counted) -> tuple[PartUse, ...]:
    codes, words = _coded(counted.table["part_number"])
    quoted = np.bincount(codes, minlength=len(words))
    used = np.bincount(codes[counted.repaired], minlength=len(words))
    found = [
        PartUse(word, int(quoted[i]), int(used[i]))
        for i, word in enumerate(words)
        if word is not None and quoted[i]
    ]
    return tuple(sorted(found, key=lambda it: (-it.used, -it.quoted, it.number))[:MOST_PARTS])
