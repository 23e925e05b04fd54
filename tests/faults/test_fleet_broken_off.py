"""A fleet run that is killed goes on where it was, and gives the same files."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
from pathlib import Path

import numpy as np
import pyarrow as pa
import pyarrow.parquet as pq
import pytest

from app.fleet.running import Finished, Outputs, run_fleet
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


KILLED_RUN = """
import os, signal, sys
from pathlib import Path
import app.fleet.parts, app.fleet.running
from app.fleet.running import run_fleet
from app.fleet.terms_file import setting_from_terms

source, out, terms, rows, moment = sys.argv[1:]
left = 5

def die(*_):
    os.kill(os.getpid(), signal.SIGKILL)

def progress(_):
    global left
    left -= 1
    if left == 0 and moment == "between two parts":
        die()

def write_half(table, to):
    if left == 0:
        Path(to).write_bytes(b"PAR1 half")
        die()
    write_table(table, to)

write_table = app.fleet.parts.pq.write_table
if moment == "while a part is written":
    app.fleet.parts.pq.write_table = write_half
if moment == "while the parts are joined":
    app.fleet.running.budget_svg = die
run_fleet(
    Path(source), Path(out), setting_from_terms(Path(terms)), part_rows=int(rows), progress=progress
)
"""


@pytest.fixture(scope="module")
def whole_run(tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, Finished]:
    """A fleet, and its run that nothing broke off."""
    folder = tmp_path_factory.mktemp("whole")
    source = write_fleet(folder / "in.parquet", 24_000)
    done = run_fleet(
        source, folder / "whole.parquet", setting_from_terms(TERMS), part_rows=PART_ROWS
    )
    assert done.parts == 12
    assert done.summary.heaters > 16_000
    assert done.summary.rejected > 1_600
    return source, done


# The run kills itself at the moment: no other program has to be quick enough to catch it.
@pytest.mark.parametrize(
    ("moment", "parts_done"),
    [
        ("between two parts", 5),
        ("while a part is written", 5),
        ("while the parts are joined", 12),
    ],
)
def test_killed_run_goes_on_where_it_was(
    whole_run: tuple[Path, Finished], tmp_path: Path, moment: str, parts_done: int
) -> None:
    source, whole = whole_run
    out = tmp_path / "out.parquet"
    arguments = [str(source), str(out), str(TERMS), str(PART_ROWS), moment]
    killed = subprocess.run([sys.executable, "-c", KILLED_RUN, *arguments], cwd=ROOT, check=False)
    assert killed.returncode == -signal.SIGKILL
    assert not out.exists()
    assert len(list(Outputs.beside(out).work.glob("part-*.parquet"))) == parts_done
    resumed = run_fleet(source, out, setting_from_terms(TERMS), part_rows=PART_ROWS)
    assert (resumed.parts_kept, resumed.parts) == (parts_done, whole.parts)
    assert files_of(out) == files_of(whole.outputs.answers)
    assert list(tmp_path.glob("*.tmp")) == []


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


# The more threads, the more memory: as many on every machine.
ONE_THREAD = {
    "ARROW_DEFAULT_MEMORY_POOL": "system",
    "MALLOC_ARENA_MAX": "1",
    "OMP_NUM_THREADS": "1",
}
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
            env=os.environ | ONE_THREAD,
            capture_output=True,
            text=True,
            check=True,
        )
        used.append(float(ran.stdout))
    # Held whole, the answers of the larger fleet alone would take over 40 MB more.
    assert used[1] - used[0] < 25, used
