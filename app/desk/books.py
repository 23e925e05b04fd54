"""The books: what was quoted, taken and earned, by state, person, finding, age, verdict, month.

Only the last revision of a quote is counted. Money is before tax; costs and margins are of
the path that the customer took. It is for the owner's eyes only.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from typing import TYPE_CHECKING, Any, Final

import numpy as np
import pyarrow as pa
import pyarrow.compute as pc

from app.desk.book_table import book_table
from app.desk.tallies import (
    AGE_BANDS,
    STATES,
    WAYS,
    PartUse,
    Tally,
    age_codes,
    counted_rows,
    parts_of,
    state_codes,
    total_of,
)
from app.people.guard import Actor, require
from app.people.roles import Action
from estimator.errors import InputTrouble
from estimator.findings import Finding
from estimator.verdict import VerdictKind

if TYPE_CHECKING:
    from app.shop import Shop


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


FILTERED: Final = (
    *("issued_on", "issued_by", "finding", "verdict", "heater_age_months"),
    *("chosen_path", "superseded", "valid_until"),
)
"""The columns that a filter looks at."""


@dataclass(frozen=True)
class BookFilter:
    """Which quotes are counted; an empty tuple or ``None`` lets all through.

    `first` and `last` are days of issue, both included; `people` are those who issued; `ages`
    are of `AGE_BANDS`.
    """

    first: date | None = None
    last: date | None = None
    people: tuple[str, ...] = ()
    findings: tuple[str, ...] = ()
    states: tuple[str, ...] = ()
    ages: tuple[str, ...] = ()
    verdicts: tuple[str, ...] = ()


@dataclass(frozen=True)
class Books:
    """The books over a filter on a day.

    `by` holds tallies by person, finding, age, verdict and month. `superseded` revisions are
    counted nowhere else. `target` is the gross margin to hold the jobs against [1], and
    `target_is_floor` whether it is the margin floor because there is no target. `people`
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
        Gross margin to hold the jobs against [1]; unless given, the target of the rate sheet
        in force, or its margin floor where it has none.

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
    terms = shop.ledger.rate_sheets.on(day).sheet.quote
    aimed = terms.target_margin if target is None else target
    goal = terms.margin_floor if aimed is None else aimed
    table = book_table(shop, COUNTED)
    return count_books(table, wanted, day, goal, target_is_floor=aimed is None)


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
    counted = counted_rows(current, day)
    return Books(
        filter=wanted,
        day=day,
        total=total_of(counted),
        superseded=chosen.num_rows - current.num_rows,
        by={name: tallied(counted) for name, tallied in WAYS.items()},
        parts=parts_of(counted),
        target=target,
        target_is_floor=target_is_floor,
        people=everyone,
    )


def book_people(shop: Shop, actor: Actor) -> tuple[str, ...]:
    """Return everyone who issued a quote, for the owner's filter."""
    require(shop, actor, Action.SEE_BOOKS)
    return people_of(book_table(shop, ("issued_by",)))


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
    if wanted.verdicts:
        also(_one_of(table["verdict"], wanted.verdicts))
    if wanted.ages:
        bands = np.array([AGE_BANDS.index(band) for band in wanted.ages])
        also(pa.array(np.isin(age_codes(table), bands)))
    if wanted.states:
        codes = np.array([STATES.index(state) for state in wanted.states])
        also(pa.array(np.isin(state_codes(table, day), codes)))
    return table if keep is None else table.filter(keep)


def _one_of(column: pa.ChunkedArray, words: tuple[str, ...]) -> pa.ChunkedArray:
    return pc.is_in(column, value_set=pa.array(words, pa.string()))


def _refuse_unknown(wanted: BookFilter, people: tuple[str, ...]) -> None:
    known = (
        ("person", wanted.people, people),
        ("finding", wanted.findings, tuple(Finding)),
        ("state", wanted.states, STATES),
        ("age", wanted.ages, AGE_BANDS),
        ("verdict", wanted.verdicts, tuple(VerdictKind)),
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
