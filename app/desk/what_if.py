"""What the quotes of some days would have come to at a draft rate sheet."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from typing import TYPE_CHECKING, Any

from app.desk.book_table import book_table
from app.desk.books import FILTERED, BookFilter, chosen_rows, people_of
from app.desk.repricing import QuoteRepriced, Repriced, Repricer, StoredJob
from app.ledger.entries import DECLINED, REPAIR
from app.people.guard import Actor, require
from app.people.roles import Action
from estimator.errors import LedgerTrouble

if TYPE_CHECKING:
    from app.shop import Shop
    from estimator.rates import RateSheet

READ = (
    *("sequence", "number", "revision", *FILTERED),
    *("repair_price_cents", "replace_price_cents", "replace_slug"),
    *("repair_cost_cents", "repair_revenue_cents", "replace_cost_cents", "replace_revenue_cents"),
)
NOTHING = Decimal("0.00")


@dataclass(frozen=True)
class JobsCompared:
    """Jobs as they were issued and at the draft: counts and totals [USD].

    `old_total` and `new_total` are prices as the customer sees them, over the same `jobs`;
    revenue is before tax. Jobs that the draft refuses are in `refused` and in no total.
    """

    jobs: int
    refused: int
    under_floor: int
    old_total: Decimal
    new_total: Decimal
    old_revenue: Decimal
    new_revenue: Decimal
    old_cost: Decimal
    new_cost: Decimal

    @property
    def old_margin(self) -> Decimal | None:
        """Gross margin as issued [1]."""
        return (self.old_revenue - self.old_cost) / self.old_revenue if self.old_revenue else None

    @property
    def new_margin(self) -> Decimal | None:
        """Gross margin at the draft [1]."""
        return (self.new_revenue - self.new_cost) / self.new_revenue if self.new_revenue else None


@dataclass(frozen=True)
class QuoteCompared:
    """One quote: its prices as issued and at the draft [USD]."""

    number: str
    repair_old: Decimal | None
    repair_new: Decimal | None
    replace_old: Decimal | None
    replace_new: Decimal | None


@dataclass(frozen=True)
class WhatIf:
    """A span of the books at a draft; `taken` holds the jobs that customers accepted.

    `most_changed` are the quotes whose prices change most, the largest change first.
    """

    first: date | None
    last: date | None
    quotes: int
    repair: JobsCompared
    replace: JobsCompared
    taken: JobsCompared
    most_changed: tuple[QuoteCompared, ...]


def what_if(
    shop: Shop,
    actor: Actor,
    draft: RateSheet,
    wanted: BookFilter,
    day: date,
    *,
    most: int = 20,
) -> WhatIf:
    """Price the quotes of some days again at a draft, in one pass.

    Parameters
    ----------
    shop
        The shop.
    actor
        The owner.
    draft
        The checked draft; it is not kept.
    wanted
        Which quotes; their last revisions count.
    day
        Today, at the shop.
    most
        How many of the quotes that change most are named.

    Returns
    -------
    Totals and margins as issued and at the draft.

    Raises
    ------
    Trouble
        If it is not the actor's to see, or a quote can no longer be read.

    Notes
    -----
    The parts, hours and heaters are those supplied then, at their cost then; the same paths
    are compared. What customers would have answered at other prices is not guessed.
    """
    require(shop, actor, Action.SEE_BOOKS)
    table = book_table(shop, READ)
    rows = [
        row
        for row in chosen_rows(table, wanted, day, people_of(table)).to_pylist()
        if not row["superseded"]
    ]
    repriced = reprice_all(stored_jobs(shop, rows), draft)
    return compared(rows, list(repriced), wanted, most)


def stored_jobs(shop: Shop, rows: Iterable[dict[str, Any]]) -> Iterator[StoredJob]:
    """Read what the quotes of some rows of the books keep of their jobs.

    Parameters
    ----------
    shop
        The shop.
    rows
        Rows of the books, with `READ` columns, in the order of issue.

    Yields
    ------
    One for each row, in order.

    Raises
    ------
    LedgerTrouble
        If a row's quote is not in the ledger.
    """
    of_sequence = {row["sequence"]: row for row in rows}
    for job in shop.ledger.jobs.of(list(of_sequence)):
        row = of_sequence[job.sequence]
        yield StoredJob(
            number=job.number,
            revision=job.revision,
            inputs_json=job.inputs_json,
            supply_json=job.supply_json,
            repair_open=row["repair_price_cents"] is not None,
            replace_slug=row["replace_slug"],
        )
        del of_sequence[job.sequence]
    if of_sequence:
        gone = next(iter(of_sequence.values()))["number"]
        raise LedgerTrouble(
            f"The books tell of quote {gone}, which is not in the ledger",
            shop.ledger.where,
            "Run the ledger's check.",
        )


def reprice_all(jobs: Iterable[StoredJob], draft: RateSheet) -> Iterator[QuoteRepriced]:
    """Price stored jobs at a draft, one after the other.

    Parameters
    ----------
    jobs
        What the quotes keep.
    draft
        The rate sheet.

    Yields
    ------
    Each quote's jobs at the draft, in order.

    Raises
    ------
    LedgerTrouble
        If what a quote keeps can no longer be read.
    """
    repricer = Repricer(draft)
    for job in jobs:
        try:
            yield repricer.reprice(job)
        except (ValueError, KeyError, StopIteration) as refused:
            raise LedgerTrouble(
                f"Quote {job.number} holds inputs that can no longer be read", "the ledger"
            ) from refused


def compared(
    rows: list[dict[str, Any]], repriced: list[QuoteRepriced], wanted: BookFilter, most: int
) -> WhatIf:
    """Hold the quotes as issued against what they come to at a draft.

    Parameters
    ----------
    rows
        Rows of the books, with `READ` columns.
    repriced
        The same quotes at the draft, in the same order.
    wanted
        The filter that they came by.
    most
        How many of the quotes that change most are named.
    """
    repair, replace, taken = _Adding(), _Adding(), _Adding()
    changes = []
    for row, new in zip(rows, repriced, strict=True):
        repair.add(_old(row, "repair"), new.repair)
        replace.add(_old(row, "replace"), new.replace)
        path = row["chosen_path"]
        if path == REPAIR:
            taken.add(_old(row, "repair"), new.repair)
        elif path is not None and path != DECLINED and path == row["replace_slug"]:
            taken.add(_old(row, "replace"), new.replace)
        changes.append(
            QuoteCompared(
                new.number,
                _dollars(row["repair_price_cents"]),
                new.repair.price if new.repair else None,
                _dollars(row["replace_price_cents"]),
                new.replace.price if new.replace else None,
            )
        )
    changes.sort(key=_change, reverse=True)
    return WhatIf(
        first=wanted.first,
        last=wanted.last,
        quotes=len(rows),
        repair=repair.told(),
        replace=replace.told(),
        taken=taken.told(),
        most_changed=tuple(it for it in changes[:most] if _change(it)),
    )


class _Adding:
    """Adds jobs up, as issued and at the draft, each pair or neither."""

    def __init__(self) -> None:
        self._jobs = self._refused = self._under_floor = 0
        self._old = [NOTHING] * 3
        self._new = [NOTHING] * 3

    def add(self, old: tuple[Decimal, ...] | None, new: Repriced | None) -> None:
        if old is None or new is None:
            return
        if new.price is None or new.revenue is None or new.cost is None:
            self._refused += 1
            return
        self._jobs += 1
        self._under_floor += new.below_floor
        now = (new.price, new.revenue, new.cost)
        self._old = [a + b for a, b in zip(self._old, old, strict=True)]
        self._new = [a + b for a, b in zip(self._new, now, strict=True)]

    def told(self) -> JobsCompared:
        return JobsCompared(
            jobs=self._jobs,
            refused=self._refused,
            under_floor=self._under_floor,
            old_total=self._old[0],
            new_total=self._new[0],
            old_revenue=self._old[1],
            new_revenue=self._new[1],
            old_cost=self._old[2],
            new_cost=self._new[2],
        )


def _old(row: dict[str, Any], path: str) -> tuple[Decimal, ...] | None:
    cents = [row[f"{path}_{what}_cents"] for what in ("price", "revenue", "cost")]
    return None if None in cents else tuple(Decimal(it).scaleb(-2) for it in cents)


def _change(quote: QuoteCompared) -> Decimal:
    pairs = ((quote.repair_old, quote.repair_new), (quote.replace_old, quote.replace_new))
    return max(
        (abs(new - old) for old, new in pairs if old is not None and new is not None),
        default=NOTHING,
    )


def _dollars(cents: int | None) -> Decimal | None:
    return None if cents is None else Decimal(cents).scaleb(-2)
