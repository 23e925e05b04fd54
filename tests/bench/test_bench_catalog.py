"""Speed, recall and memory on a dense catalog of a million parts, as ratios within one run."""

from __future__ import annotations

import json
import random
import sqlite3
import subprocess
import sys
from collections import defaultdict
from collections.abc import Callable
from datetime import date
from pathlib import Path
from typing import Any

import pytest
from rapidfuzz import process
from rapidfuzz.distance import OSA

from catalog.finding_numbers import NumberAnswer, find_number
from catalog.fit import fit_parts
from catalog.needs import Need
from catalog.numbers import fold, read_number
from catalog.parts import parts_of_family
from catalog.snapshots import Catalog
from estimator.supply import PartFamily
from tests.bench.dense_catalog import HEATERS
from tests.bench.measuring import every_number, percentile, timed, times
from tests.catalog.small_catalog import PLATE

pytestmark = pytest.mark.bench

ON = date(2026, 2, 2)
PROJECT = Path(__file__).parents[2]
LETTERS = "ABCDEFGHJKMNPQRSTUVWXYZ"


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


def best_possible(kind: str, typed: str, real: set[str]) -> float:
    """Recall@5 of the best order: so many numbers give this text by this kind of slip."""
    read = read_number(typed)
    signs, places = f"0123456789{LETTERS}", range(len(read) + 1)
    if kind == "wrong":
        could = {read[:at] + sign + read[at + 1 :] for at in places[:-1] for sign in signs} - {read}
    elif kind == "lost":
        could = {read[:at] + sign + read[at:] for at in places for sign in signs}
    elif kind == "doubled":
        could = {read[:at] + read[at + 1 :] for at in places[:-1]}
    elif kind == "swapped":
        could = {read[:at] + read[at : at + 2][::-1] + read[at + 2 :] for at in places[:-2]}
    elif kind == "last character missing":
        could = {read + sign for sign in signs}
    else:
        return 1.0
    return min(1.0, 5 / max(1, len(could & real)))


Asked = tuple[str, str | None]
"""A number and the heater that it came out of, where that is told."""


def listed_numbers(catalog: Catalog) -> list[Asked]:
    """Every number of the heaters' parts lists, with its heater."""
    return catalog.cursor().execute(
        "SELECT part, heater_family FROM listed ORDER BY part, heater_family"
    ).fetchall()  # fmt: skip


class Recall:
    """How often the number meant is among the first five and twenty, by kind of slip."""

    def __init__(self, catalog: Catalog, asked: list[Asked], seed: int) -> None:
        self.taken, self.walls = list[float](), list[float]()
        self.rows: dict[str, list[list[float]]] = defaultdict(list)
        chance, real = random.Random(seed), {fold(number) for number in every_number(catalog)}
        found: list[NumberAnswer] = []
        for number, heater in chance.sample(asked, 400):
            for kind, typed in slips_of(number, chance).items():
                processor, wall = times(
                    lambda typed=typed, heater=heater: found.append(
                        find_number(catalog, typed, heater)
                    )
                )
                self.taken.append(processor)
                self.walls.append(wall)
                numbers = [each.part.number for each in found[-1].found]
                most = best_possible(kind, typed, real)
                self.rows[kind].append([number in numbers[:5], number in numbers[:20], most])

    def tell(self) -> None:
        for kind, rows in self.rows.items():
            print(
                f"  {kind:<26} recall@5 {share(rows, 0):.3f} @20 {share(rows, 1):.4f} (@5 of the "
                f"best order that knows the kind of slip and no heater: {share(rows, 2):.3f})"
            )
        print(
            f"  {'every kind, equal weights':<26} recall@5 {share(self.every, 0):.3f} "
            f"@20 {share(self.every, 1):.4f}; p50 {percentile(self.taken, 0.5):.1f} ms, p95 "
            f"{percentile(self.taken, 0.95):.1f} ms of the processor, "
            f"{percentile(self.walls, 0.95):.1f} by the clock"
        )

    @property
    def slips(self) -> list[list[float]]:
        return [row for kind, rows in self.rows.items() if "missing" not in kind for row in rows]

    @property
    def every(self) -> list[list[float]]:
        return [row for rows in self.rows.values() for row in rows]


def test_search_by_number_with_slips(catalog: Catalog) -> None:
    alone = Recall(catalog, [(number, None) for number in every_number(catalog)], 20_260_101)
    print("\nthe number alone:")
    alone.tell()
    # Ten numbers begin alike where the last character is missing: no order has them in five.
    assert share(alone.slips, 0) >= 0.95
    assert share(alone.every, 0) >= 0.97 * share(alone.every, 2)
    assert share(alone.every, 1) >= 0.999
    # Of the processor, for the machine is shared; the target is 10 ms.
    assert percentile(alone.taken, 0.95) <= 15


def test_search_by_number_where_the_heater_is_known(catalog: Catalog) -> None:
    known = Recall(catalog, listed_numbers(catalog), 20_260_102)
    print("\nthe number and the heater that it came out of:")
    known.tell()
    for rows in known.rows.values():
        assert share(rows, 0) >= 0.95
        assert share(rows, 1) >= 0.999
    assert percentile(known.taken, 0.95) <= 15


def share(rows: list[list[float]], place: int) -> float:
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
        by_measure.append(times(lambda need=need: fit_parts(catalog, need, "van-1", ON)))
        heater = f"heater-{(n * 31) % HEATERS}"
        by_heater.append(times(lambda heater=heater: parts_of_family(catalog, heater)))
        listed = Need(PartFamily.SENSING_ELEMENT, None, heater)
        fit_by_heater.append(times(lambda listed=listed: fit_parts(catalog, listed, "van-1", ON)))
    print()
    for name, taken in (("fit by measure", by_measure), ("parts of a heater", by_heater),
                        ("fit by heater", fit_by_heater)):  # fmt: skip
        processor, wall = zip(*taken, strict=True)
        print(
            f"{name:<24} p50 {percentile(processor, 0.5):.1f} ms, p95 "
            f"{percentile(processor, 0.95):.1f} of the processor, {percentile(wall, 0.95):.1f} by "
            "the clock"
        )
    # Of the processor, for the machine is shared; the targets are 30 ms and 10 ms.
    assert percentile([each[0] for each in by_measure], 0.95) <= 45
    assert percentile([each[0] for each in by_heater], 0.95) <= 15


MEMORY_PROGRAM = """
import json, sys, time
from datetime import date
from pathlib import Path
from catalog.snapshots import Catalog, current_version
from catalog.finding_numbers import NumberAnswer, find_number
from catalog.fit import fit_parts
from catalog.needs import Need
from estimator.supply import PartFamily
start = time.process_time()
catalog = Catalog.open_current(Path(sys.argv[1]))
opened = time.process_time() - start
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
