"""A price list of a million rows: looked at, published, killed on the way; time and memory."""

from __future__ import annotations

import json
import subprocess
import sys
from collections import defaultdict
from collections.abc import Callable
from datetime import date
from pathlib import Path
from typing import Any

import duckdb
import pandas as pd
import pytest

from catalog.finding_numbers import find_number
from catalog.price_lists import preview_price_list
from catalog.snapshots import Catalog
from catalog.versions import current_version
from tests.bench.dense_catalog import MILLION
from tests.bench.measuring import every_number, times
from tests.catalog.killed import publish_and_die

pytestmark = [pytest.mark.bench, pytest.mark.timeout(900)]

ON = date(2026, 2, 2)
PROJECT = Path(__file__).parents[2]


@pytest.fixture(scope="module")
def prices(catalog: Catalog, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A list of a million rows: a third as it was, a thousandth with no price."""
    path = tmp_path_factory.mktemp("prices") / "prices.csv"
    rows = catalog.cursor().execute(
        "SELECT part, CASE WHEN hash(part) % 1000 = 0 THEN 'ask' ELSE"
        " (cost + (hash(part) % 3) / 10)::DECIMAL(10, 2)::VARCHAR END, list_price::VARCHAR"
        " FROM offer WHERE supplier = 'Counter 3 (invented)'"
    )
    with path.open("w", encoding="utf-8", newline="") as out:
        out.write("Item,Net,List\n")
        while chunk := rows.fetchmany(50_000):
            out.writelines(f"{','.join(row)}\n" for row in chunk)
    return path


def test_import_of_a_million_rows(dense: Path, catalog: Catalog, prices: Path) -> None:
    def own_read(options: str = "", into: str = ":memory:") -> None:
        Path(into).unlink(missing_ok=True)
        with duckdb.connect(into) as own:
            own.execute(f"CREATE TABLE read AS SELECT * FROM read_csv('{prices}'{options})")

    def pandas_way() -> None:
        frame = pd.read_csv(prices, dtype=str)
        cost = pd.to_numeric(frame["Net"], errors="coerce")
        sound = frame[cost.notna() & (cost > 0) & ~frame["Item"].duplicated()]
        known = pd.DataFrame({"Item": every_number(catalog)})
        sound.merge(known, on="Item", how="left", indicator=True)["_merge"].value_counts()

    def ours(supplier: str = "Counter 3 (invented)") -> Any:
        return preview_price_list(dense, prices, supplier, ON)

    own = "DuckDB's read, all as text"
    ways: dict[str, tuple[int, Callable[[], Any]]] = {
        own: (6, lambda: own_read(", all_varchar = true")),
        "DuckDB's read, types found": (6, own_read),
        "DuckDB's read, into a file": (3, lambda: own_read(into=f"{prices}.duckdb")),
        "import, fully checked": (6, ours),
        "import, all of it new": (6, lambda: ours("Counter 9 (invented)")),
        "pandas, partly checked": (1, pandas_way),
    }
    taken: dict[str, list[tuple[float, float]]] = defaultdict(list)
    for turn in range(6):
        for name, (turns, way) in ways.items():
            if turn < turns:
                taken[name].append(times(way))
    best = {name: tuple(map(min, zip(*each, strict=True))) for name, each in taken.items()}
    preview = ours()
    print(f"\n{preview.counts}")
    for name, (processor, wall) in best.items():
        print(
            f"{name:<28} processor {processor:>6.2f} s {processor / best[own][0]:>6.2f} x,"
            f" wall {wall:>6.2f} s {wall / best[own][1]:>6.2f} x"
        )
    assert preview.counts["rejected"] > 500
    assert sum(preview.counts.values()) >= MILLION
    asked = [n for n, line in enumerate(prices.open(encoding="utf-8"), 1) if ",ask," in line]
    assert [row for row, _ in preview.rejected] == asked[: len(preview.rejected)]
    for name in ("import, fully checked", "import, all of it new"):
        assert best[name][0] <= 3 * best[own][0]


PUBLISH_PROGRAM = """
import json, sys, time
from datetime import date
from pathlib import Path
from catalog.price_lists import preview_price_list, publish_price_list
def peak():
    status = Path("/proc/self/status").read_text()
    return int(status.split("VmHWM:")[1].split()[0]) / 1024
given = (Path(sys.argv[1]), Path(sys.argv[2]), "Counter 3 (invented)", date(2026, 2, 2))
preview_price_list(*given)
looked = peak()
wall, processor = time.perf_counter(), time.process_time()
publish_price_list(*given)
print(json.dumps({"wall_s": time.perf_counter() - wall, "peak_mb": peak(), "looked_mb": looked,
                  "processor_s": time.process_time() - processor}))
"""


@pytest.fixture
def catalogs(dense: Path, tmp_path: Path) -> Path:
    """A folder of its own that holds the dense catalog."""
    for path in dense.glob("c*"):
        (tmp_path / path.name).hardlink_to(path)
    # The pointer is replaced and never written to, so that the other folder keeps its own.
    return tmp_path


def test_publishing_a_million_rows(catalogs: Path, prices: Path) -> None:
    before = current_version(catalogs)
    ran = subprocess.run(
        [sys.executable, "-c", PUBLISH_PROGRAM, str(catalogs), str(prices)],
        cwd=PROJECT, check=True, capture_output=True, text=True,
    )  # fmt: skip
    took = json.loads(ran.stdout.splitlines()[-1])
    print(
        f"\npublished in {took['wall_s']:.0f} s, {took['processor_s']:.0f} s of the processor; "
        f"peak memory of the process {took['peak_mb']:.0f} MB, {took['looked_mb']:.0f} MB of it "
        "for the look beforehand"
    )
    assert current_version(catalogs) != before
    with Catalog.open_current(catalogs) as after:
        held = after.cursor().execute(
            "SELECT count(*) FROM offer "
            "WHERE supplier = 'Counter 3 (invented)' AND valid_from = $on",
            {"on": ON},
        ).fetchone()  # fmt: skip
    assert held is not None
    assert held[0] > 0.99 * MILLION
    assert took["looked_mb"] < 500
    assert took["peak_mb"] < 1000


@pytest.mark.parametrize("stage", ["judged", "half written", "whole, under another name"])
def test_a_publication_killed_on_a_big_list(catalogs: Path, prices: Path, stage: str) -> None:
    before = current_version(catalogs)
    publish_and_die(catalogs, prices, "Counter 3 (invented)", stage)
    assert current_version(catalogs) == before
    with Catalog.open_current(catalogs) as held:
        assert find_number(held, "SE00000-00").exact
