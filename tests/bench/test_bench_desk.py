"""Speed of the owner's desk: as ratios to named alternatives in the same run, and as times."""

from __future__ import annotations

import json
import time
from collections.abc import Callable, Iterator
from dataclasses import replace
from datetime import date
from decimal import Decimal
from pathlib import Path

import pyarrow as pa
import pytest

from app.desk import book_table as table_of_books
from app.desk.book_table import book_table
from app.desk.books import BookFilter, books, count_books
from app.desk.repricing import StoredJob
from app.desk.what_if import READ, reprice_all, stored_jobs
from app.shop import Shop
from app.visiting import visit_from
from estimator.estimating import estimate_case
from estimator.supply import Supply
from tests.app.desk.support import OWNER, issue
from tests.app.desk.test_repricing import VISITS
from tests.bench.book_facts import facts

pytestmark = pytest.mark.bench

QUOTES = 10_000
MILLION = 1_000_000
DAY = date(2026, 11, 25)


def timed(work: Callable[[], object], rounds: int = 3) -> tuple[float, float]:
    """Return the best processor time and the best wall time of a few rounds [s]."""
    found = []
    for _ in range(rounds):
        cpu, wall = time.process_time(), time.perf_counter()
        work()
        found.append((time.process_time() - cpu, time.perf_counter() - wall))
    return min(cpu for cpu, _ in found), min(wall for _, wall in found)


@pytest.fixture(scope="module")
def million() -> pa.Table:
    return facts(MILLION)


def varied(jobs: list[StoredJob], kinds: int) -> Iterator[StoredJob]:
    """Give so many quotes in all, with so many different costs of parts and heaters."""
    supplies = []
    for at in range(kinds):
        supply = json.loads(jobs[at % len(jobs)].supply_json)
        for each in (*supply["parts"], *supply["replacements"]):
            each["unit_cost"] = f"{Decimal(each['unit_cost']) + Decimal(at) / 100:f}"
        supplies.append(json.dumps(supply))
    for at in range(QUOTES):
        kind = at % kinds
        yield replace(jobs[kind % len(jobs)], number=str(at), supply_json=supplies[kind])


def test_ten_thousand_quotes_at_a_draft(shop: Shop) -> None:
    """Prices alone, each kind of job once, against the whole estimate of each quote."""
    for name in VISITS:
        issue(shop, name)
    rows = book_table(shop, READ).to_pylist()
    jobs = list(stored_jobs(shop, rows))
    sheet = shop.ledger.rate_sheet(1).sheet

    def estimates() -> None:
        for job in jobs:
            visit = visit_from(json.loads(job.inputs_json), job.number)
            supply = Supply.model_validate_json(job.supply_json)
            estimate_case(visit.case(), supply, sheet, visit.visit.date)

    whole = timed(estimates)[0] / len(jobs) * QUOTES
    usual = list(varied(jobs, 600))
    each_other = list(varied(jobs, QUOTES))
    alike, alike_wall = timed(lambda: list(reprice_all(usual, sheet)))
    distinct, _ = timed(lambda: list(reprice_all(each_other, sheet)), 1)
    reading, _ = timed(lambda: list(stored_jobs(shop, rows * 20)))
    reading = reading / (20 * len(rows)) * QUOTES
    print(
        f"\n{QUOTES:,} quotes at a draft: {alike:.2f} s of processor ({alike_wall:.2f} s wall) "
        f"with 600 kinds of job, {distinct:.2f} s with every job another; whole estimates take "
        f"{whole:.0f} s: {whole / alike:.0f} and {whole / distinct:.0f} times as long. "
        f"Reading them one by one out of the ledger takes {reading:.2f} s more."
    )
    assert alike < 2
    assert whole / alike > 50
    assert whole / distinct > 20


def test_a_million_quotes_counted(million: pa.Table) -> None:
    """Every tally of the books from columns in memory, against one loop over plain rows."""
    count = timed(
        lambda: count_books(million, BookFilter(), DAY, Decimal("0.4"), target_is_floor=False)
    )
    narrow = BookFilter(
        first=date(2025, 1, 1), people=("Tech 3 (invented)",), states=("accepted", "lapsed")
    )
    some = timed(lambda: count_books(million, narrow, DAY, Decimal("0.4"), target_is_floor=False))

    def loop() -> None:
        tallies: dict[object, list[int]] = {}
        for row in million.slice(0, MILLION // 20).to_pylist():
            tally = tallies.setdefault(row["issued_by"], [0, 0])
            tally[0] += 1
            tally[1] += row["revenue_cents"] or 0

    plain = timed(loop, 1)[0] * 20
    print(
        f"\nA million quotes: all tallies {count[1]:.2f} s, filtered {some[1]:.2f} s; one tally in "
        f"a plain loop {plain:.1f} s, {plain / count[0]:.0f} times as long."
    )
    assert count[1] < 1
    assert plain / count[0] > 5


def test_a_million_quotes_answered_from_the_shops_folder(
    shop: Shop, million: pa.Table, tmp_path: Path
) -> None:
    """As a screen asks: who may, the file's columns, every tally."""
    path = shop.folder / table_of_books.FOLDER / table_of_books.FILE
    # Over a million rows, as they are after the ledger was read once.
    table_of_books._write(path, million, shop.ledger.journal.head())
    answered = timed(lambda: books(shop, OWNER, BookFilter(), DAY))
    size = path.stat().st_size / 1e6
    print(f"\nA million quotes from the folder ({size:.0f} MB): {answered[1]:.2f} s wall.")
    assert books(shop, OWNER, BookFilter(), DAY).total.quotes > 900_000
    assert answered[1] < 1
