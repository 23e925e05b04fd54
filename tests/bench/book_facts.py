"""A million invented facts, drawn column by column."""

from __future__ import annotations

from typing import Any

import numpy as np
import pyarrow as pa

from app.desk.book_table import SCHEMA, with_superseded
from estimator.findings import Finding

VALID_DAYS = {1: 30, 2: 14}
FIRST_DAY = 20_000  # days since 1970


def words(codes: np.ndarray[Any, Any], names: list[str], gone: Any = None) -> pa.Array:
    indices = pa.array(codes.astype(np.int32), mask=gone)
    return pa.DictionaryArray.from_arrays(indices, pa.array(names))


def facts(count: int, seed: int = 1) -> pa.Table:
    """Draw facts of so many quotes, a fifth of them not answered, one in fifty revised."""
    rng = np.random.default_rng(seed)
    sequence = np.arange(1, count + 1)
    revised = rng.random(count) < 0.02
    revised[0] = False
    number = np.where(revised, sequence - 1, sequence)
    repair = rng.integers(9_000, 90_000, count)
    replace = rng.integers(150_000, 900_000, count)
    choice = rng.integers(0, 5, count)  # 0 repair, 1 replace, 2 declined, 3 and 4 none
    answered = choice < 3
    sold = choice < 2
    revenue = np.where(choice == 0, repair, replace)
    people = [f"Tech {it} (invented)" for it in range(300)]
    parts = [f"INV-{it}" for it in range(2000)]
    no_part = rng.random(count) < 0.1
    columns: dict[str, Any] = {
        "sequence": sequence,
        "number": pa.array([f"2026-{it:07d}" for it in number]),
        "revision": np.where(revised, 2, 1).astype(np.int32),
        "issued_on": pa.array(
            (FIRST_DAY + sequence * 1000 // count).astype(np.int32), pa.int32()
        ).cast(pa.date32()),
        "issued_by": words(rng.integers(0, 300, count), people),
        "verdict": words(rng.integers(0, 4, count), ["repair", "replace", "either", "closed"]),
        "finding": words(rng.integers(0, len(Finding), count), list(Finding)),
        "remedy": words(rng.integers(0, 20, count), [f"remedy {it}" for it in range(20)]),
        "fuel": words(rng.integers(0, 2, count), ["natural_gas", "propane"]),
        "family": words(rng.integers(0, 400, count), [f"family {it}" for it in range(400)]),
        "part_number": words(rng.integers(0, 2000, count), parts, no_part),
        "replace_slug": words(rng.integers(0, 6, count), [f"heater {it}" for it in range(6)]),
        "rate_sheet_version": rng.integers(1, 3, count).astype(np.int32),
        "heater_age_months": pa.array(
            rng.integers(0, 320, count).astype(np.int32), mask=rng.random(count) < 0.03
        ),
        "repair_price_cents": repair,
        "replace_price_cents": replace,
        "repair_cost_cents": repair * 6 // 10,
        "repair_revenue_cents": repair,
        "replace_cost_cents": replace * 7 // 10,
        "replace_revenue_cents": replace,
        "cost_cents": pa.array(revenue * 65 // 100, mask=~sold),
        "revenue_cents": pa.array(revenue, mask=~sold),
        "answered_on": pa.array(
            (FIRST_DAY + sequence * 1000 // count).astype(np.int32), pa.int32(), mask=~answered
        ).cast(pa.date32()),
        "chosen_path": words(np.minimum(choice, 2), ["repair", "heater 1", "declined"], ~answered),
    }
    days = np.array([0, *VALID_DAYS.values()])[columns["rate_sheet_version"]]
    until = columns["issued_on"].cast(pa.int32()).to_numpy() + days
    columns["valid_until"] = pa.array(until.astype(np.int32), pa.int32()).cast(pa.date32())
    table = pa.table([columns[field.name] for field in SCHEMA], schema=SCHEMA)
    return with_superseded(table)
