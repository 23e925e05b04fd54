"""The parts in a year of quotes, counted by the ledger beside a program that reads them."""

from __future__ import annotations

import sqlite3
from collections import Counter
from datetime import UTC, date, datetime
from decimal import Decimal
from pathlib import Path

import pytest

from app import quoting, visiting, wiring
from app.shop import Shop
from estimator.supply import Supply
from tests.acting import TESTER
from tests.bench.measuring import times

pytestmark = [pytest.mark.bench, pytest.mark.timeout(600)]

QUOTES = 20_000
VISITS = ("worn_element", "thermopile", "sealed_door", "hot_surface")
AFTER, LAST = date(2025, 6, 1), date(2026, 6, 1)


@pytest.fixture
def busy(shop: Shop) -> Shop:
    """A shop with the same few quotes over and over, each under a number of its own."""
    for name in VISITS:
        visit = visiting.visit_from(wiring.demo_visit(name), name)
        priced = visiting.price_visit(shop, TESTER, visit)
        quoting.issue_quote(shop, priced, TESTER, datetime(2026, 3, 2, 12, tzinfo=UTC))
    with sqlite3.connect(shop.folder / "ledger.sqlite") as ledger:
        for table in ("quotes", "quote_facts"):
            columns = [row[1] for row in ledger.execute(f"PRAGMA table_info({table})")]
            told = {"sequence": f"n * {len(VISITS)} + sequence", "number": "number || '-' || n",
                    "hash": "hash || n"}  # fmt: skip
            picked = ", ".join(told.get(column, column) for column in columns)
            ledger.execute(
                f"INSERT INTO {table} WITH RECURSIVE times(n) AS (SELECT 1 UNION ALL SELECT n + 1"
                f" FROM times WHERE n < {QUOTES // len(VISITS) - 1})"
                f" SELECT {picked} FROM times, (SELECT * FROM {table})"
            )
        ledger.execute("UPDATE quote_facts SET chosen_path = 'repair' WHERE sequence % 3 = 0")
    return shop


def test_the_parts_of_a_years_quotes(busy: Shop) -> None:
    jobs = busy.ledger.jobs
    found = jobs.parts_between(AFTER, LAST)
    sequences = jobs.repairs_between(AFTER, LAST)
    assert len(sequences) == QUOTES
    read: Counter[str] = Counter()

    def by_program() -> None:
        for job in jobs.of(sequences):
            for part in Supply.model_validate_json(job.supply_json).parts:
                read[part.number] += int(part.quantity)

    program, _ = times(by_program)
    counted, wall = min(times(lambda: jobs.parts_between(AFTER, LAST)) for _ in range(3))
    size = Path(busy.folder / "ledger.sqlite").stat().st_size / 1e6
    print(
        f"\n{QUOTES:,} quotes in a ledger of {size:.0f} MB: counted in {counted:.2f} s of the"
        f" processor, {wall:.2f} s of wall; read by the program {program:.2f} s"
    )
    assert {each.part: each.quoted for each in found} == {k: Decimal(n) for k, n in read.items()}
    assert counted <= program / 2
