"""A heater that is in a fleet file twice counts once, and the second row says why."""

from __future__ import annotations

import csv
import json
from pathlib import Path
from typing import Any

import numpy as np
import pyarrow as pa
import pyarrow.parquet as pq
import pytest
from typer.testing import CliRunner

from app.cli import app
from app.fleet import repeats
from app.fleet.running import Outputs, run_fleet
from app.fleet.setting import FleetSetting

PART_ROWS = 16


def reasons(out: Path) -> dict[int, str]:
    with Outputs.beside(out).rejected.open(newline="", encoding="utf-8") as file:
        return {int(line["row"]): line["reason"] for line in csv.DictReader(file)}


def said(first: int) -> str:
    return (
        f"row {first} has the same id at the same site; keep one of them, or give each heater "
        "an id of its own"
    )


@pytest.fixture
def once(rows: Any) -> list[dict[str, Any]]:
    given: list[dict[str, Any]] = rows(60)
    return given


@pytest.fixture
def twice(once: list[dict[str, Any]]) -> list[dict[str, Any]]:
    """Rows 61 to 65 give the heaters of rows 3, 20, 21, 3 and 60 again, row 66 a new one."""
    again = [once[at - 1] | {"repair_price": 1.0} for at in (3, 20, 21, 3, 60)]
    return [*once, *again, once[4] | {"id": "H-66"}]


def test_the_later_rows_are_left_out_whatever_the_parts(
    twice: list[dict[str, Any]], as_csv: Any, setting: FleetSetting, tmp_path: Path
) -> None:
    source = as_csv(tmp_path / "in.csv", twice)
    whole = run_fleet(source, tmp_path / "whole.parquet", setting)
    parted = run_fleet(source, tmp_path / "parted.parquet", setting, part_rows=PART_ROWS)
    assert whole.parts == 1
    assert parted.parts == 5
    left_out = {61: said(3), 62: said(20), 63: said(21), 64: said(3), 65: said(60)}
    for finished in (whole, parted):
        out = finished.outputs.answers
        assert reasons(out) == left_out
        kept = pq.read_table(out).column("row").to_pylist()
        assert kept == [*range(1, 61), 66]
        assert (finished.summary.rejected, finished.summary.repeated) == (5, 5)


def test_sums_are_those_of_a_file_without_the_repeats(
    twice: list[dict[str, Any]], as_csv: Any, setting: FleetSetting, tmp_path: Path
) -> None:
    run_fleet(as_csv(tmp_path / "twice.csv", twice), tmp_path / "twice.parquet", setting)
    once = [*twice[:60], twice[65]]
    run_fleet(as_csv(tmp_path / "once.csv", once), tmp_path / "once.parquet", setting)
    ours, theirs = (Outputs.beside(tmp_path / f"{name}.parquet") for name in ("twice", "once"))
    assert ours.summary.read_bytes() == theirs.summary.read_bytes()
    assert ours.plot.read_bytes() == theirs.plot.read_bytes()


def test_the_same_id_at_another_site_is_another_heater(
    once: list[dict[str, Any]], as_csv: Any, setting: FleetSetting, tmp_path: Path
) -> None:
    source = as_csv(tmp_path / "in.csv", [*once, once[0] | {"site": "Another yard"}])
    finished = run_fleet(source, tmp_path / "out.parquet", setting)
    assert (finished.summary.heaters, finished.summary.repeated) == (61, 0)


def test_a_row_stays_where_the_earlier_one_cannot_be_used(
    once: list[dict[str, Any]], as_csv: Any, setting: FleetSetting, tmp_path: Path
) -> None:
    wrong = once[0] | {"fuel": "peat"}
    source = as_csv(tmp_path / "in.csv", [wrong, *once])
    finished = run_fleet(source, tmp_path / "out.parquet", setting)
    assert (finished.summary.heaters, finished.summary.repeated) == (60, 0)
    assert list(reasons(tmp_path / "out.parquet")) == [1]


def test_looked_through_in_ranges_gives_the_same(
    twice: list[dict[str, Any]],
    as_csv: Any,
    setting: FleetSetting,
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setattr(repeats, "TOGETHER", 5)
    seen: list[int] = []
    repeated = repeats._repeated

    def counted(ids: Any) -> Any:
        seen.append(ids.shape[1])
        return repeated(ids)

    monkeypatch.setattr(repeats, "_repeated", counted)
    source = as_csv(tmp_path / "in.csv", twice)
    finished = run_fleet(source, tmp_path / "out.parquet", setting, part_rows=PART_ROWS)
    assert sum(seen) == 66
    assert len(seen) == 14
    assert max(seen) < 20
    assert sorted(reasons(tmp_path / "out.parquet")) == [61, 62, 63, 64, 65]
    assert finished.summary.repeated == 5


def test_a_second_fingerprint_tells_heaters_apart_that_share_the_first() -> None:
    ids = np.array([[7, 7, 7, 8], [1, 2, 1, 1], [10, 11, 12, 13]], dtype=np.uint64)
    assert repeats._repeated(ids) == [(12, 10)]


def test_a_run_broken_off_finds_repeats_of_parts_done_before(
    twice: list[dict[str, Any]], as_csv: Any, setting: FleetSetting, tmp_path: Path
) -> None:
    source, out = as_csv(tmp_path / "in.csv", twice), tmp_path / "out.parquet"

    class Stopped(Exception):
        pass

    done: list[int] = []

    def stop_after_four(rows: int) -> None:
        done.append(rows)
        if len(done) == 4:
            raise Stopped

    with pytest.raises(Stopped):
        run_fleet(source, out, setting, part_rows=PART_ROWS, progress=stop_after_four)
    resumed = run_fleet(source, out, setting, part_rows=PART_ROWS)
    assert resumed.parts_kept == 4
    assert sorted(reasons(out)) == [61, 62, 63, 64, 65]


def test_the_command_says_how_many(
    twice: list[dict[str, Any]], as_csv: Any, terms_file: Path, tmp_path: Path
) -> None:
    source = as_csv(tmp_path / "in.csv", twice)
    arguments = ["fleet", str(source), str(tmp_path / "out.parquet"), "--terms", str(terms_file)]
    told = CliRunner().invoke(app, arguments)
    assert told.exit_code == 0
    assert "Of them there twice" in told.output
    assert "5, the same id at the same site" in told.output
    numbers = json.loads(CliRunner().invoke(app, [*arguments, "--json"]).stdout)
    assert (numbers["rejected"], numbers["rejected_as_repeated"]) == (5, 5)


@pytest.mark.parametrize("together", [1_000_000, 37])
def test_against_a_plain_dictionary(
    together: int, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Three hundred rows in parts of seventy, ids and sites drawn from a few."""
    monkeypatch.setattr(repeats, "TOGETHER", together)
    random = np.random.default_rng(8)
    named = [(f"H-{at}", f"Site {of}") for at, of in random.integers(0, 14, (300, 2)).tolist()]
    files = []
    for start in range(0, 300, 70):
        part = named[start : start + 70]
        table = pa.table(
            {
                "row": list(range(start + 1, start + 1 + len(part))),
                "id": [name for name, _ in part],
                "site": [site for _, site in part],
            }
        )
        files.append(tmp_path / f"{start}.npy")
        np.save(files[-1], repeats.ids_of(table))
    seen: dict[tuple[str, str], int] = {}
    plain: dict[int, dict[int, int]] = {}
    for row, name in enumerate(named, start=1):
        if name in seen:
            plain.setdefault((row - 1) // 70, {})[row] = seen[name]
        seen.setdefault(name, row)
    assert sum(map(len, plain.values())) > 100
    assert repeats.repeats_in(files, 70) == plain
