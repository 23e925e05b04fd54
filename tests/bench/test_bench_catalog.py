"""Speed, recall and memory on a dense catalog of a million parts, as ratios within one run."""

from __future__ import annotations

import json
import random
import sqlite3
import subprocess
import sys
from collections import defaultdict
from collections.abc import Callable, Iterator
from dataclasses import dataclass
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
from catalog.parts import counted_stock, parts_by_number, parts_of_family
from catalog.snapshots import Catalog
from catalog.told import Told
from estimator.supply import PartFamily
from tests.bench.dense_catalog import HEATERS, MILLION, build_dense
from tests.bench.measuring import every_number, percentile, timed, times
from tests.bench.slips import SLIPS, most_possible, slips
from tests.catalog.small_catalog import PLATE

pytestmark = pytest.mark.bench

ON = date(2026, 2, 2)
PROJECT = Path(__file__).parents[2]
SAMPLE = 400
PRINTED = ("output_class_mv", "voltage_v")
"""What is the same for a whole row of numbers: no measure tells them apart by it."""


@dataclass(frozen=True)
class Asked:
    """A number, and what is known beside it."""

    number: str
    heater: str | None = None
    told: Told | None = None


def listed_numbers(catalog: Catalog, chance: random.Random) -> list[Asked]:
    """Numbers of the heaters' parts lists, each with its heater."""
    rows = catalog.cursor().execute(
        "SELECT part, heater_family FROM listed ORDER BY part, heater_family"
    ).fetchall()  # fmt: skip
    return [Asked(number, heater) for number, heater in chance.sample(rows, SAMPLE)]


def measured_numbers(catalog: Catalog, chance: random.Random) -> list[Asked]:
    """Numbers of parts of which something can be measured, each with one measure."""
    asked = []
    for part in parts_by_number(catalog, chance.sample(every_number(catalog), SAMPLE)).values():
        measures = {
            name: value
            for name, value in part.features.items()
            if isinstance(value, float) and name not in PRINTED
        }
        if measures:
            name = next(iter(measures))
            asked.append(Asked(part.number, None, {part.family: {name: measures[name]}}))
    return asked


def one_of_each(asked: Asked, chance: random.Random) -> Iterator[tuple[str, str]]:
    """A text by each kind of slip that the number can have."""
    for kind in SLIPS:
        texts = slips(kind, asked.number)
        if texts:
            yield kind, chance.choices(list(texts), list(texts.values()))[0]


class Recall:
    """How often the number meant is among the first five and twenty, by kind of slip."""

    def __init__(self, catalog: Catalog, asked: list[Asked], chance: random.Random) -> None:
        self.taken, self.walls = list[float](), list[float]()
        self.rows: dict[str, list[list[float]]] = defaultdict(list)
        typed = [(each, kind, text) for each in asked for kind, text in one_of_each(each, chance)]
        found: list[NumberAnswer] = []
        for each, _, text in typed:
            processor, wall = times(
                lambda text=text, each=each: found.append(
                    find_number(catalog, text, each.heater, told=each.told)
                )
            )
            self.taken.append(processor)
            self.walls.append(wall)
        # What is possible is worked out last: a million numbers in memory slow a search down.
        real = defaultdict(list)
        for number in every_number(catalog):
            real[fold(number)].append(number)
        for (each, kind, text), answer in zip(typed, found, strict=True):
            numbers = [met.part.number for met in answer.found]
            most = most_possible(kind, text, real, 5)
            held = [each.number in numbers[:5], each.number in numbers[:20], most]
            self.rows[kind].append(held)

    def tell(self) -> None:
        for kind, rows in self.rows.items():
            print(
                f"  {kind:<26} recall@5 {share(rows, 0):.3f} @20 {share(rows, 1):.4f} (@5 of the "
                f"best order that knows the text and the kind of slip: {share(rows, 2):.3f})"
            )
        print(
            f"  {'every kind, equal weights':<26} recall@5 {share(self.every, 0):.3f} "
            f"@20 {share(self.every, 1):.4f} ({share(self.every, 2):.3f}); p50 "
            f"{percentile(self.taken, 0.5):.1f} ms, p95 {percentile(self.taken, 0.95):.1f} ms of "
            f"the processor, {percentile(self.walls, 0.95):.1f} by the clock"
        )

    @property
    def whole(self) -> list[list[float]]:
        return [row for kind, rows in self.rows.items() if "missing" not in kind for row in rows]

    @property
    def every(self) -> list[list[float]]:
        return [row for rows in self.rows.values() for row in rows]


def by_the_number_alone(catalog: Catalog, seed: int, sample: int) -> Recall:
    chance = random.Random(seed)
    asked = [Asked(number) for number in chance.sample(every_number(catalog), sample)]
    recall = Recall(catalog, asked, chance)
    recall.tell()
    return recall


def test_search_by_number_with_slips(catalog: Catalog) -> None:
    print("\nthe number alone:")
    alone = by_the_number_alone(catalog, 20_260_101, SAMPLE)
    # Ten numbers begin alike where the last character is missing: no order has them in five.
    assert share(alone.whole, 0) >= 0.95
    for rows in alone.rows.values():
        assert share(rows, 0) >= 0.94 * share(rows, 2)
        assert share(rows, 1) >= 0.999
    assert share(alone.every, 0) >= 0.97 * share(alone.every, 2)
    # Of the processor, for the machine is shared; the target is 10 ms.
    assert percentile(alone.taken, 0.95) <= 15


def test_search_by_number_where_the_heater_is_known(catalog: Catalog) -> None:
    print("\nthe number and the heater that it came out of:")
    chance = random.Random(20_260_102)
    hold_every_kind(Recall(catalog, listed_numbers(catalog, chance), chance))


def test_search_by_number_where_one_measure_is_told(catalog: Catalog) -> None:
    print("\nthe number and one measure of the old part:")
    chance = random.Random(20_260_103)
    hold_every_kind(Recall(catalog, measured_numbers(catalog, chance), chance))


def hold_every_kind(recall: Recall) -> None:
    recall.tell()
    for rows in recall.rows.values():
        assert share(rows, 0) >= 0.95
        assert share(rows, 1) >= 0.999
    assert percentile(recall.taken, 0.95) <= 15


def share(rows: list[list[float]], place: int) -> float:
    return sum(row[place] for row in rows) / len(rows)


def test_search_against_other_ways(catalog: Catalog, tmp_path: Path) -> None:
    chance = random.Random(7)
    held = every_number(catalog)
    folded = [fold(number) for number in held]
    wrong = [list(slips("wrong", number)) for number in chance.sample(held, 20)]
    typed = [chance.choice(texts) for texts in wrong]
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
    by_measure, by_heater, fit_by_heater, by_free = [], [], [], []
    counted = sorted(key for key, pieces in counted_stock(catalog).items() if pieces)
    less = catalog.less(dict.fromkeys(random.Random(4).sample(counted, 3_000), 1))
    for n in range(60):
        features = {
            "length_in": 12 + chance.randrange(40),
            "connection": chance.choice(["push_in", "spade", "threaded_right_11_32_32"]),
            "tip_style": chance.choice(["plain", "flanged"]),
            "cut_off_built_in": chance.random() < 0.5,
        }
        need = Need(PartFamily.SENSING_ELEMENT, PLATE, features=features)
        by_measure.append(times(lambda need=need: fit_parts(catalog, need, "van-1", ON)))
        by_free.append(times(lambda need=need: fit_parts(less, need, "van-1", ON)))
        heater = f"heater-{(n * 31) % HEATERS}"
        by_heater.append(times(lambda heater=heater: parts_of_family(catalog, heater)))
        listed = Need(PartFamily.SENSING_ELEMENT, None, heater)
        fit_by_heater.append(times(lambda listed=listed: fit_parts(catalog, listed, "van-1", ON)))
    print()
    for name, taken in (("fit by measure", by_measure), ("with 3,000 set aside", by_free),
                        ("parts of a heater", by_heater),
                        ("fit by heater", fit_by_heater)):  # fmt: skip
        processor, wall = zip(*taken, strict=True)
        print(
            f"{name:<24} p50 {percentile(processor, 0.5):.1f} ms, p95 "
            f"{percentile(processor, 0.95):.1f} of the processor, {percentile(wall, 0.95):.1f} by "
            "the clock"
        )
    # Of the processor, for the machine is shared; the targets are 30 ms and 10 ms.
    assert percentile([each[0] for each in by_measure], 0.95) <= 45
    assert percentile([each[0] for each in by_free], 0.95) <= 45
    assert percentile([each[0] for each in by_heater], 0.95) <= 15


MEMORY_PROGRAM = """
import json, sys, time
from datetime import date
from pathlib import Path
from catalog.snapshots import Catalog
from catalog.versions import current_version
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


@pytest.mark.parametrize("block", [5, 10, 20])
def test_search_by_number_where_fewer_stand_in_a_row(tmp_path: Path, block: int) -> None:
    build_dense(tmp_path, MILLION, block)
    print(f"\nthe number alone, {block} in a row:")
    with Catalog.open_current(tmp_path) as sparser:
        recall = by_the_number_alone(sparser, 20_260_104, SAMPLE // 2)
    assert share(recall.every, 0) >= 0.97 * share(recall.every, 2)
