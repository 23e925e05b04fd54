"""Speed of the owner's desk: as ratios to named alternatives in the same run, and as times."""

from __future__ import annotations

import json
import sqlite3
import time
from collections.abc import Callable
from contextlib import closing
from datetime import date
from decimal import Decimal

import pyarrow as pa
import pytest

from app.desk import book_table as table_of_books
from app.desk.book_table import book_table
from app.desk.books import BookFilter, books, count_books
from app.desk.what_if import READ, stored_jobs, what_if
from app.ledger.facts import facts_from
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


def in_bulk(shop: Shop, kinds: int) -> None:
    """Fill a shop's ledger with so many quotes, with so many different costs in their supply.

    The rows are written past the program, so their hashes are not those of a chain.
    """
    with closing(sqlite3.connect(shop.folder / "ledger.sqlite")) as past:
        past.row_factory = sqlite3.Row
        issued = [dict(row) for row in past.execute("SELECT * FROM quotes")]
        supplies = []
        for kind in range(kinds):
            supply = json.loads(issued[kind % len(issued)]["supply_json"])
            for each in (*supply["parts"], *supply["replacements"]):
                each["unit_cost"] = f"{Decimal(each['unit_cost']) + Decimal(kind) / 100:f}"
            supplies.append(json.dumps(supply, separators=(",", ":")))
        known = [facts_from(row) for row in issued]
        rows, told = [], []
        for at in range(len(issued), QUOTES):
            kind = at % kinds
            own = {"sequence": at + 1, "number": f"2026-{500_000 + at}"}
            quote = {"supply_json": supplies[kind], "draft_id": None}
            rows.append(issued[kind % len(issued)] | own | quote)
            told.append(known[kind % len(issued)] | own)
        for table, every in (("quotes", rows), ("quote_facts", told)):
            names = list(every[0])
            marks = ", ".join(f":{name}" for name in names)
            past.executemany(f"INSERT INTO {table} ({', '.join(names)}) VALUES ({marks})", every)
        past.commit()


@pytest.mark.parametrize("kinds", [600, QUOTES])
def test_ten_thousand_quotes_at_a_draft(shop: Shop, kinds: int) -> None:
    """From the ledger to the totals, against whole estimates and against reading one by one."""
    for name in VISITS:
        issue(shop, name)
    sheet = shop.ledger.rate_sheets.version(1).sheet
    jobs = list(stored_jobs(shop, book_table(shop, READ).to_pylist()))

    def estimates() -> None:
        for job in jobs:
            visit = visit_from(json.loads(job.inputs_json), job.number)
            supply = Supply.model_validate_json(job.supply_json)
            estimate_case(visit.case(), supply, sheet, visit.visit.date)

    whole = timed(estimates, 1)[0] / len(jobs) * QUOTES
    in_bulk(shop, kinds)
    (shop.folder / table_of_books.FOLDER / table_of_books.FILE).unlink()
    rows = book_table(shop, READ).to_pylist()
    assert len(rows) == QUOTES
    all_of_it, wall = timed(lambda: what_if(shop, OWNER, sheet, BookFilter(), DAY))
    bulk, _ = timed(lambda: list(stored_jobs(shop, rows)))
    some = rows[:: QUOTES // 500]
    single, _ = timed(
        lambda: [shop.ledger.quotes.get(it["number"], it["revision"]) for it in some], 1
    )
    single = single / len(some) * QUOTES
    print(
        f"\n{QUOTES:,} quotes at a draft, {kinds:,} kinds of job: {all_of_it:.2f} s of processor "
        f"({wall:.2f} s wall), of which reading {bulk:.2f} s; one by one reading takes "
        f"{single:.2f} s, {single / bulk:.1f} times as long; whole estimates {whole:.0f} s, "
        f"{whole / all_of_it:.0f} times as long."
    )
    assert single / bulk > 2
    assert whole / all_of_it > 20


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
    assert plain / count[0] > 5


def million_in_ledger(shop: Shop, million: pa.Table) -> None:
    """Put a million facts into a shop's ledger, past the program; no quotes stand behind them."""
    names = table_of_books.SCHEMA.names
    with closing(sqlite3.connect(shop.folder / "ledger.sqlite")) as past:
        for batch in million.select(names).to_batches(max_chunksize=50_000):
            columns = [
                [value and value.isoformat() for value in column.to_pylist()]
                if pa.types.is_date(column.type)
                else column.to_pylist()
                for column in batch.columns
            ]
            marks = ", ".join("?" * len(names))
            rows = zip(*columns, strict=True)
            past.executemany(f"INSERT INTO quote_facts VALUES ({marks})", rows)
        past.execute("INSERT OR REPLACE INTO counters VALUES ('quotes', ?)", (MILLION,))
        past.commit()


def test_a_million_quotes_answered_from_the_shops_folder(shop: Shop, million: pa.Table) -> None:
    """As a screen asks: read from the ledger once, from the file after, and laid over it."""
    million_in_ledger(shop, million)

    def answer() -> int:
        return books(shop, OWNER, BookFilter(), DAY).total.quotes

    cold, cold_wall = timed(answer, 1)
    plain, _ = timed(lambda: shop.ledger.facts.after(limit=MILLION // 20), 1)
    plain *= 20
    warm, warm_wall = timed(answer)
    path = shop.folder / table_of_books.FOLDER / table_of_books.FILE
    before, size = answer(), path.stat().st_size / 1e6
    quote = issue(shop, "worn_element")
    issue(shop, "worn_element", revises=quote.number)
    over, over_wall = timed(answer)
    assert answer() == before + 1
    print(
        f"\nA million quotes, read from the ledger once: {cold:.1f} s of processor "
        f"({cold_wall:.1f} s wall); row by row {plain:.0f} s, {plain / cold:.1f} times as long. "
        f"From the file ({size:.0f} MB) {warm:.2f} s ({warm_wall:.2f} s wall); with quotes issued "
        f"since laid over {over:.2f} s ({over_wall:.2f} s wall)."
    )
    assert plain / cold > 1.5
    assert cold / warm > 5
    assert cold / over > 4
