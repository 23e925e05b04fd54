"""Times and percentiles of what is measured."""

from __future__ import annotations

import time
from collections.abc import Callable, Sequence
from typing import Any

from catalog.snapshots import Catalog


def every_number(catalog: Catalog) -> list[str]:
    rows = catalog.cursor().execute("SELECT number FROM part ORDER BY number").fetchall()
    return [row[0] for row in rows]


def percentile(taken: Sequence[float], share: float) -> float:
    """A percentile of times [ms]."""
    return sorted(taken)[int(share * (len(taken) - 1))] * 1e3


def times(what: Callable[[], Any]) -> tuple[float, float]:
    """Processor time, which other work on the machine changes little, and wall time [s]."""
    wall, processor = time.perf_counter(), time.process_time()
    what()
    return time.process_time() - processor, time.perf_counter() - wall


def timed(what: Callable[[], Any]) -> float:
    start = time.perf_counter()
    what()
    return time.perf_counter() - start
