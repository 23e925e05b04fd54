"""A fleet run that is killed goes on where it was, and gives the same files."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
import time
from pathlib import Path

import numpy as np
import pyarrow as pa
import pyarrow.parquet as pq
import pytest

from app.fleet.running import Outputs, run_fleet
from app.fleet.terms_file import setting_from_terms

ROOT = Path(__file__).resolve().parents[2]
TERMS = ROOT / "demo_data" / "fleet_terms.toml"
PART_ROWS = 2_000


def write_fleet(path: Path, rows: int) -> Path:
    rng = np.random.default_rng(rows)
    pq.write_table(
        pa.table(
            {
                "id": [f"H-{number}" for number in range(rows)],
                "site": [f"Site {number}" for number in rng.integers(0, 40, rows)],
                "fuel": rng.choice(["natural_gas", "propane", "peat"], rows, p=[0.7, 0.2, 0.1]),
                "tank_volume_gal": rng.choice([30.0, 40.0, 50.0], rows),
                "input_btu_per_h": rng.choice([30e3, 38e3, 40e3], rows),
                "age_years": rng.integers(0, 300, rows) / 10,
                "repair_price": rng.uniform(90, 900, rows),
            }
        ),
        path,
        row_group_size=3_333,
    )
    return path


def files_of(out: Path) -> dict[str, bytes]:
    outputs = Outputs.beside(out)
    assert not outputs.work.exists()
    named = outputs._asdict()
    return {name: path.read_bytes() for name, path in named.items() if name != "work"}


RUN = """
import sys
from pathlib import Path
from app.fleet.running import run_fleet
from app.fleet.terms_file import setting_from_terms
source, out, terms, rows = sys.argv[1:]
run_fleet(Path(source), Path(out), setting_from_terms(Path(terms)), part_rows=int(rows))
"""


def test_killed_run_goes_on_where_it_was(tmp_path: Path) -> None:
    source = write_fleet(tmp_path / "in.parquet", 120_000)
    setting = setting_from_terms(TERMS)
    whole = run_fleet(source, tmp_path / "whole.parquet", setting, part_rows=PART_ROWS)
    assert whole.summary.heaters > 80_000
    assert whole.summary.rejected > 8_000
    out = tmp_path / "out.parquet"
    arguments = [str(source), str(out), str(TERMS), str(PART_ROWS)]
    run = subprocess.Popen([sys.executable, "-c", RUN, *arguments], cwd=ROOT)
    work = Outputs.beside(out).work
    deadline = time.monotonic() + 60
    while len(list(work.glob("part-*.parquet"))) < 5:
        assert time.monotonic() < deadline
        assert run.poll() is None, "the run ended before it could be killed"
        time.sleep(0.005)
    run.send_signal(signal.SIGKILL)
    run.wait()
    assert not out.exists()
    done = len(list(work.glob("part-*.parquet")))
    assert 5 <= done < whole.parts
    resumed = run_fleet(source, out, setting, part_rows=PART_ROWS)
    assert resumed.parts_kept >= 5
    assert resumed.parts == whole.parts
    assert files_of(out) == files_of(tmp_path / "whole.parquet")


class Stopped(Exception):
    pass


def stop_after(parts: int):
    left = [parts]

    def progress(_: int) -> None:
        left[0] -= 1
        if left[0] == 0:
            raise Stopped

    return progress


@pytest.fixture
def broken_off(tmp_path: Path) -> Path:
    """A run with three of five parts done."""
    source = write_fleet(tmp_path / "in.parquet", 10_000)
    setting = setting_from_terms(TERMS)
    with pytest.raises(Stopped):
        run_fleet(
            source, tmp_path / "out.parquet", setting, part_rows=2_000, progress=stop_after(3)
        )
    return source


def test_half_written_files_of_a_part_are_done_again(broken_off: Path) -> None:
    out = broken_off.with_name("out.parquet")
    work = Outputs.beside(out).work
    (work / "part-000003.parquet.99-1.tmp").write_bytes(b"half")
    (work / "part-000003.summary.json").write_text("{}")
    resumed = run_fleet(broken_off, out, setting_from_terms(TERMS), part_rows=2_000)
    assert (resumed.parts_kept, resumed.parts) == (3, 5)
    whole = broken_off.with_name("whole.parquet")
    run_fleet(broken_off, whole, setting_from_terms(TERMS), part_rows=2_000)
    assert files_of(out) == files_of(whole)


def test_other_terms_begin_again(broken_off: Path, tmp_path: Path) -> None:
    other = tmp_path / "other.toml"
    other.write_text(TERMS.read_text().replace("1_950.00", "2_150.00"))
    out = broken_off.with_name("out.parquet")
    again = run_fleet(broken_off, out, setting_from_terms(other), part_rows=2_000)
    assert again.parts_kept == 0
    whole = broken_off.with_name("whole.parquet")
    run_fleet(broken_off, whole, setting_from_terms(other), part_rows=2_000)
    assert files_of(out) == files_of(whole)


def test_another_input_begins_again(broken_off: Path) -> None:
    write_fleet(broken_off, 9_000)
    out = broken_off.with_name("out.parquet")
    again = run_fleet(broken_off, out, setting_from_terms(TERMS), part_rows=2_000)
    assert (again.parts_kept, again.parts) == (0, 5)
    assert again.summary.heaters + again.summary.rejected == 9_000


def test_strange_files_in_the_folder_of_parts_stay(broken_off: Path) -> None:
    out = broken_off.with_name("out.parquet")
    mine = Outputs.beside(out).work / "mine.txt"
    mine.write_text("kept")
    (Outputs.beside(out).work / "manifest.json").write_text("not json")
    assert run_fleet(broken_off, out, setting_from_terms(TERMS), part_rows=2_000).parts_kept == 0
    assert mine.read_text() == "kept"
    assert [path.name for path in mine.parent.iterdir()] == ["mine.txt"]


MEASURE = f"""
import re, sys
from pathlib import Path
from app.fleet.running import run_fleet
from app.fleet.terms_file import setting_from_terms
run_fleet(Path(sys.argv[1]), Path(sys.argv[2]), setting_from_terms(Path({str(TERMS)!r})),
          part_rows=10_000)
status = Path("/proc/self/status").read_text()
print(int(re.search(r"VmHWM:\\s+(\\d+) kB", status).group(1)) / 1024)
"""


@pytest.mark.skipif(not Path("/proc/self/status").exists(), reason="peak memory is read from /proc")
def test_memory_does_not_grow_with_the_number_of_heaters(tmp_path: Path) -> None:
    used = []
    for rows in (20_000, 250_000):
        source = write_fleet(tmp_path / f"{rows}.parquet", rows)
        out = tmp_path / f"out{rows}.parquet"
        ran = subprocess.run(
            [sys.executable, "-c", MEASURE, str(source), str(out)],
            cwd=ROOT,
            env=os.environ | {"ARROW_DEFAULT_MEMORY_POOL": "system"},
            capture_output=True,
            text=True,
            check=True,
        )
        used.append(float(ran.stdout))
    # Held whole, the answers of the larger fleet alone would take over 40 MB more.
    assert used[1] - used[0] < 25, used
