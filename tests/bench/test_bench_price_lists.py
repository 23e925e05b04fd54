"""A price list of a million rows: looked at, published, killed on the way; time and memory."""

from __future__ import annotations

import json
import subprocess
import sys
from collections import defaultdict
from collections.abc import Callable
from datetime import date
from itertools import islice
from pathlib import Path
from typing import Any

import duckdb
import pandas as pd
import pytest

from catalog.finding_numbers import find_number
from catalog.price_lists import preview_price_list
from catalog.snapshots import Catalog
from catalog.versions import current_version
from estimator.price_lines import part_price
from estimator.rates import PartPricing
from tests.bench.dense_catalog import MILLION
from tests.bench.measuring import every_number, times
from tests.bench.workbook import write_workbook
from tests.catalog.killed import publish_and_die

pytestmark = [pytest.mark.bench, pytest.mark.timeout(900)]

ON = date(2026, 2, 2)
PROJECT = Path(__file__).parents[2]
BANDS = PartPricing.model_validate({"markup_bands": [
    {"up_to_cost": "15", "markup": "2"}, {"up_to_cost": "50", "markup": "1.5"},
    {"up_to_cost": "150", "markup": "1"}, {"markup": "0.65"},
]})  # fmt: skip
"""How the demo shop prices its parts."""


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

    def ours(supplier: str = "Counter 3 (invented)", **told: Any) -> Any:
        return preview_price_list(dense, prices, supplier, ON, **told)

    used = every_number(catalog)[::400]

    def row_by_row() -> None:
        rows = catalog.cursor().execute(
            "SELECT cost, list_price, cost + 0.10 FROM offer WHERE hash(part) % 3 > 0"
            " AND supplier = 'Counter 3 (invented)'"
        )
        while chunk := rows.fetchmany(50_000):
            for cost, list_price, now in chunk:
                part_price(cost, list_price, BANDS)
                part_price(now, list_price, BANDS)

    own = "DuckDB's read, all as text"
    ways: dict[str, tuple[int, Callable[[], Any]]] = {
        own: (6, lambda: own_read(", all_varchar = true")),
        "DuckDB's read, types found": (6, own_read),
        "DuckDB's read, into a file": (3, lambda: own_read(into=f"{prices}.duckdb")),
        "import, fully checked": (6, ours),
        "import, all of it new": (6, lambda: ours("Counter 9 (invented)")),
        "import, and its effect": (6, lambda: ours(pricing=BANDS)),
        "and that on used parts": (6, lambda: ours(pricing=BANDS, parts=used)),
        "prices alone, row by row": (1, row_by_row),
        "pandas, partly checked": (1, pandas_way),
    }
    taken: dict[str, list[tuple[float, float]]] = defaultdict(list)
    for turn in range(6):
        for name, (turns, way) in ways.items():
            if turn < turns:
                taken[name].append(times(way))
    best = {name: tuple(map(min, zip(*each, strict=True))) for name, each in taken.items()}
    preview = ours(pricing=BANDS, parts=used)
    print(f"\n{preview.counts}; {len(preview.asked_for):,} used parts in the list")
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
    assert preview.effect.rows == preview.counts["changed"] > 600_000
    # Looked at by the owner before he publishes: no part of the checks, and no second import.
    assert best["and that on used parts"][0] <= 2 * best["import, fully checked"][0]


LOOK_PROGRAM = """
import json, sys, time
from datetime import date
from pathlib import Path
wall, processor = time.perf_counter(), time.process_time()
if sys.argv[3] == "look":
    from catalog.price_lists import preview_price_list
    found = preview_price_list(Path(sys.argv[1]), Path(sys.argv[2]), "Counter 9 (invented)",
                               date(2026, 2, 2))
    counts, rejected = found.counts, found.rejected
else:
    from openpyxl import load_workbook
    rows = load_workbook(sys.argv[2], read_only=True).worksheets[0].iter_rows(values_only=True)
    counts, rejected = sum(1 for row in rows), ()
status = Path("/proc/self/status").read_text()
print(json.dumps({"wall_s": time.perf_counter() - wall, "counts": counts, "rejected": rejected,
                  "processor_s": time.process_time() - processor,
                  "peak_mb": int(status.split("VmHWM:")[1].split()[0]) / 1024}))
"""


@pytest.mark.parametrize("rows", [100_000, MILLION])
def test_an_excel_list_beside_the_same_as_csv(
    dense: Path, prices: Path, tmp_path: Path, rows: int
) -> None:
    csv, excel = tmp_path / "prices.csv", tmp_path / "prices.xlsx"
    with prices.open(encoding="utf-8") as whole, csv.open("w", encoding="utf-8") as part:
        part.writelines(islice(whole, rows + 1))
    with csv.open(encoding="utf-8") as lines:
        write_workbook(excel, (line.rstrip("\n").split(",") for line in lines))

    def ran(path: Path, what: str) -> Any:
        done = subprocess.run(
            [sys.executable, "-c", LOOK_PROGRAM, str(dense), str(path), what],
            cwd=PROJECT, check=True, capture_output=True, text=True,
        )  # fmt: skip
        return json.loads(done.stdout.splitlines()[-1])

    took = {
        "as CSV": ran(csv, "look"),
        "as Excel": ran(excel, "look"),
        "its cells, read and nothing else": ran(excel, "read"),
    }
    print(f"\n{rows:,} rows, {excel.stat().st_size / 1e6:.1f} MB as Excel")
    for name, each in took.items():
        print(
            f"{name:<33} processor {each['processor_s']:>6.2f} s, wall {each['wall_s']:>6.2f} s,"
            f" peak memory {each['peak_mb']:>4.0f} MB"
        )
    as_csv, as_excel, read = took.values()
    assert as_excel["counts"] == as_csv["counts"]
    assert as_excel["rejected"] == as_csv["rejected"]
    assert as_excel["processor_s"] <= 1.5 * (read["processor_s"] + as_csv["processor_s"])
    assert as_excel["peak_mb"] <= 3 * as_csv["peak_mb"]


PUBLISH_PROGRAM = """
import json, sys, time
from datetime import date
from pathlib import Path
from catalog.price_lists import preview_price_list, publish_price_list
from estimator.rates import PartPricing
def peak():
    status = Path("/proc/self/status").read_text()
    return int(status.split("VmHWM:")[1].split()[0]) / 1024
given = (Path(sys.argv[1]), Path(sys.argv[2]), "Counter 3 (invented)", date(2026, 2, 2))
preview_price_list(*given, pricing=PartPricing(target_margin="0.5"))
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
