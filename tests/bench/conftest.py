"""A dense catalog of a million parts, built once for all measurements that read it."""

from __future__ import annotations

import os
import time
from collections.abc import Iterator
from pathlib import Path

import pytest

from catalog.snapshots import Catalog
from tests.bench.dense_catalog import MILLION, build_dense


@pytest.fixture(scope="session")
def dense(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The folder of a dense catalog; DENSE_CATALOG keeps one between runs."""
    kept = os.environ.get("DENSE_CATALOG")
    folder = Path(kept) if kept else tmp_path_factory.mktemp("dense")
    start = time.perf_counter()
    build_dense(folder, MILLION)
    print(f"\nbuild {time.perf_counter() - start:.1f} s")
    return folder


@pytest.fixture(scope="session")
def catalog(dense: Path) -> Iterator[Catalog]:
    with Catalog.open_current(dense) as opened:
        yield opened
