"""Speed, recall and memory on a dense catalog of a million parts, as ratios within one run."""

from __future__ import annotations

import json
import os
import random
import sqlite3
import subprocess
import sys
import time
from collections import defaultdict
from collections.abc import Callable, Iterator
from datetime import date
from pathlib import Path
from typing import Any

import duckdb
import pandas as pd
import pytest
from rapidfuzz import process
from rapidfuzz.distance import OSA

from catalog.finding_numbers import find_number
from catalog.fit import fit_parts
from catalog.needs import Need
from catalog.numbers import fold, read_number
from catalog.parts import parts_of_family
from catalog.price_lists import preview_price_list
from catalog.snapshots import Catalog
from estimator.supply import PartFamily
from tests.bench.dense_catalog import HEATERS, build_dense
from tests.catalog.small_catalog import PLATE

pytestmark = pytest.mark.bench

MILLION = 1_000_000
ON = date(2026, 2, 2)
PROJECT = Path(__file__).parents[2]
LETTERS = "ABCDEFGHJKMNPQRSTUVWXYZ"


@pytest.fixture(scope="module")
def dense(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The folder of a dense catalog; DENSE_CATALOG keeps one between runs."""
    kept = os.environ.get("DENSE_CATALOG")
    folder = Path(kept) if kept else tmp_path_factory.mktemp("dense")
    start = time.perf_counter()
    build_dense(folder, MILLION)
    print(f"\nbuild {time.perf_counter() - start:.1f} s")
    return folder


@pytest.fixture(scope="module")
def catalog(dense: Path) -> Iterator[Catalog]:
    with Catalog.open_current(dense) as opened:
        yield opened


def every_number(catalog: Catalog) -> list[str]:
    rows = catalog.cursor().execute("SELECT number FROM part ORDER BY number").fetchall()
    return [row[0] for row in rows]


def slips_of(number: str, chance: random.Random) -> dict[str, str]:
    """One slip of every kind, at a place by chance."""
    signs = [at for at, sign in enumerate(number) if sign.isalnum()]
    at = chance.choice(signs)
    other = "0123456789" if number[at].isdigit() else LETTERS
    wrong = chance.choice([sign for sign in other if sign != number[at]])
    one = chance.choice(signs[:-1])
    two = signs[signs.index(one) + 1]
    swapped = list(number)
    swapped[one], swapped[two] = swapped[two], swapped[one]
    return {
        "wrong": number[:at] + wrong + number[at + 1 :],
        "lost": number[:at] + number[at + 1 :],
        "doubled": number[:at] + number[at] + number[at:],
        "swapped": "".join(swapped),
        "case, dashes, O and I": number.lower().translate(str.maketrans("01-", "oI ")),
        "last character missing": number[:-1],
    }  # fmt: skip


def percentile(taken: list[float], share: float) -> float:
    """A percentile of wall times [ms]."""
    return sorted(taken)[int(share * (len(taken) - 1))] * 1e3


def timed(what: Callable[[], Any]) -> float:
    start = time.perf_counter()
    what()
    return time.perf_counter() - start


def test_search_by_number_with_slips(catalog: Catalog) -> None:
    chance = random.Random(20_260_101)
    held = every_number(catalog)
    real = {fold(number) for number in held}
    tally: dict[str, list[list[bool]]] = defaultdict(list)
    taken = []
    for number in chance.sample(held, 400):
        for kind, typed in slips_of(number, chance).items():
            start = time.perf_counter()
            found = find_number(catalog, typed)
            taken.append(time.perf_counter() - start)
            numbers = [each.part.number for each in found.found]
            another = read_number(typed) in real and read_number(typed) != fold(number)
            tally[kind].append([number in numbers[:5], number in numbers[:20], another])
    print()
    for kind, rows in tally.items():
        told = [row for row in rows if not row[2]]
        print(
            f"{kind:<24} recall@5 {share(rows, 0):.3f} @20 {share(rows, 1):.4f}; "
            f"without the {len(rows) - len(told)} that are another real number "
            f"@5 {share(told, 0):.3f} @20 {share(told, 1):.4f}"
        )
    slips = [row for kind, rows in tally.items() if "missing" not in kind for row in rows]
    every = [row for rows in tally.values() for row in rows]
    print(
        f"all slips but a missing end: @5 {share(slips, 0):.3f}; all: @5 {share(every, 0):.3f} "
        f"@20 {share(every, 1):.4f}; p50 {percentile(taken, 0.5):.1f} ms, "
        f"p95 {percentile(taken, 0.95):.1f} ms"
    )
    # A lost last character leaves forty numbers that begin so: no order can find it in five.
    assert share(slips, 0) >= 0.95
    assert share(every, 1) >= 0.999
    # The machine is shared: the target is 10 ms.
    assert percentile(taken, 0.95) <= 20


def share(rows: list[list[bool]], place: int) -> float:
    return sum(row[place] for row in rows) / len(rows)


def test_search_against_other_ways(catalog: Catalog, tmp_path: Path) -> None:
    chance = random.Random(7)
    held = every_number(catalog)
    folded = [fold(number) for number in held]
    typed = [slips_of(number, chance)["wrong"] for number in chance.sample(held, 20)]
    full = sqlite3.connect(tmp_path / "trigram.sqlite")
    full.execute("CREATE VIRTUAL TABLE part USING fts5(number, tokenize = 'trigram')")
    full.executemany("INSERT INTO part VALUES (?)", ((number,) for number in folded))
    full.commit()

    def trigram(text: str) -> list[Any]:
        read = read_number(text)
        grams = {read[at : at + 3] for at in range(len(read) - 2)}
        asked = " OR ".join(f'"{gram}"' for gram in sorted(grams))
        return full.execute(
            "SELECT number FROM part WHERE part MATCH ? ORDER BY rank LIMIT 20", (asked,)
        ).fetchall()

    def duckdb_scan(text: str) -> list[Any]:
        return catalog.cursor().execute(
            "SELECT number FROM part ORDER BY damerau_levenshtein(folded, $read), number LIMIT 20",
            {"read": read_number(text)},
        ).fetchall()  # fmt: skip

    def rapidfuzz_scan(text: str) -> list[Any]:
        return process.extract(read_number(text), folded, scorer=OSA.distance, limit=20)

    ways: dict[str, tuple[Callable[[str], Any], int]] = {
        "this search": (lambda text: find_number(catalog, text), 20),
        "SQLite FTS5 trigram": (trigram, 10),
        "rapidfuzz full scan": (rapidfuzz_scan, 3),
        "DuckDB scan": (duckdb_scan, 3),
    }
    cost = {name: percentile([timed(lambda t=t, w=way: w(t)) for t in typed[:times]], 0.5)
            for name, (way, times) in ways.items()}  # fmt: skip
    print()
    for name, milliseconds in cost.items():
        print(f"{name:<24}{milliseconds:>10.2f} ms{milliseconds / cost['this search']:>10.1f} x")
    assert all(cost[name] > 3 * cost["this search"] for name in cost if name != "this search")


def test_fit_by_measure_and_by_heater(catalog: Catalog) -> None:
    chance = random.Random(3)
    by_measure, by_heater, fit_by_heater = [], [], []
    for n in range(60):
        features = {
            "length_in": 12 + chance.randrange(40),
            "connection": chance.choice(["push_in", "spade", "threaded_right_11_32_32"]),
            "tip_style": chance.choice(["plain", "flanged"]),
            "cut_off_built_in": chance.random() < 0.5,
        }
        need = Need(PartFamily.SENSING_ELEMENT, PLATE, features=features)
        by_measure.append(timed(lambda need=need: fit_parts(catalog, need, "van-1", ON)))
        heater = f"heater-{(n * 31) % HEATERS}"
        by_heater.append(timed(lambda heater=heater: parts_of_family(catalog, heater)))
        listed = Need(PartFamily.SENSING_ELEMENT, None, heater)
        fit_by_heater.append(timed(lambda listed=listed: fit_parts(catalog, listed, "van-1", ON)))
    print()
    for name, taken in (("fit by measure", by_measure), ("parts of a heater", by_heater),
                        ("fit by heater", fit_by_heater)):  # fmt: skip
        print(f"{name:<24} p50 {percentile(taken, 0.5):.1f} ms, p95 {percentile(taken, 0.95):.1f}")
    # The machine is shared: the targets are 30 ms and 10 ms.
    assert percentile(by_measure, 0.95) <= 60
    assert percentile(by_heater, 0.95) <= 20


MEMORY_PROGRAM = """
import json, sys, time
from datetime import date
from pathlib import Path
from catalog.snapshots import Catalog
from catalog.finding_numbers import find_number
from catalog.fit import fit_parts
from catalog.needs import Need
from estimator.supply import PartFamily
start = time.perf_counter()
catalog = Catalog.open_current(Path(sys.argv[1]))
opened = time.perf_counter() - start
for n in range(300):
    find_number(catalog, f"SE{n * 7919 % 100000:05d}-{n % 60:02d}"[: 8 + n % 2])
    if n % 10 == 0:
        need = Need(PartFamily.SENSING_ELEMENT, None, None, None, {"length_in": 12.0 + n % 40})
        fit_parts(catalog, need, "van-1", date(2026, 2, 2))
status = Path("/proc/self/status").read_text()
peak = int(status.split("VmHWM:")[1].split()[0]) / 1024
print(json.dumps({"open_ms": opened * 1e3, "peak_mb": peak}))
"""


def test_opening_and_memory(dense: Path) -> None:
    found = []
    for _ in range(3):
        ran = subprocess.run(
            [sys.executable, "-c", MEMORY_PROGRAM, str(dense)],
            cwd=PROJECT, check=True, capture_output=True, text=True,
        )  # fmt: skip
        found.append(json.loads(ran.stdout))
    opened = min(each["open_ms"] for each in found)
    peak = max(each["peak_mb"] for each in found)
    print(f"\nopen {opened:.0f} ms, peak memory of the process {peak:.0f} MB")
    assert opened <= 50
    assert peak < 400


def test_import_of_a_million_rows(dense: Path, catalog: Catalog, tmp_path: Path) -> None:
    path = tmp_path / "prices.csv"
    rows = catalog.cursor().execute(
        "SELECT part, CASE WHEN hash(part) % 1000 = 0 THEN 'ask' ELSE"
        " (cost + (hash(part) % 3) / 10)::DECIMAL(10, 2)::VARCHAR END, list_price::VARCHAR"
        " FROM offer WHERE supplier = 'Counter 3 (invented)'"
    )
    with path.open("w", encoding="utf-8", newline="") as out:
        out.write("Item,Net,List\n")
        while chunk := rows.fetchmany(50_000):
            out.writelines(f"{','.join(row)}\n" for row in chunk)

    def own_read() -> None:
        with duckdb.connect() as own:
            own.execute(f"CREATE TABLE read AS SELECT * FROM read_csv('{path}')")

    def pandas_way() -> None:
        frame = pd.read_csv(path, dtype=str)
        cost = pd.to_numeric(frame["Net"], errors="coerce")
        sound = frame[cost.notna() & (cost > 0) & ~frame["Item"].duplicated()]
        known = pd.DataFrame({"Item": every_number(catalog)})
        sound.merge(known, on="Item", how="left", indicator=True)["_merge"].value_counts()

    def ours() -> Any:
        return preview_price_list(dense, path, "Counter 3 (invented)", ON)

    preview = ours()
    best = {
        "plain read by DuckDB": min(timed(own_read) for _ in range(3)),
        "import, fully checked": min(timed(ours) for _ in range(3)),
        "pandas, partly checked": timed(pandas_way),
    }
    print(f"\n{preview.counts}")
    for name, seconds in best.items():
        print(f"{name:<24}{seconds:>8.2f} s{seconds / best['plain read by DuckDB']:>8.2f} x")
    assert preview.counts["rejected"] > 500
    assert sum(preview.counts.values()) >= MILLION
