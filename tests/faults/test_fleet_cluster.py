"""A fleet on a cluster whose worker is killed gives what it gives here."""

from __future__ import annotations

import os
import re
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
from estimator.errors import InputTrouble

pytest.importorskip("distributed", reason="the optional extra fleet is not installed")

ROOT = Path(__file__).resolve().parents[2]
TERMS = ROOT / "demo_data" / "fleet_terms.toml"
PART_ROWS = 2_500
ENV = os.environ | {
    "PYTHONPATH": str(ROOT),
    "DASK_DISTRIBUTED__DASHBOARD__LINK": "",
    "OMP_NUM_THREADS": "1",
}


def started(arguments: list[str], folder: Path) -> subprocess.Popen[str]:
    log = (folder / f"{arguments[0]}-{time.monotonic_ns()}.log").open("w")
    command = [sys.executable, "-m", "distributed.cli.dask_" + arguments[0], *arguments[1:]]
    return subprocess.Popen(command, cwd=folder, env=ENV, stdout=log, stderr=log, text=True)


@pytest.fixture
def cluster(tmp_path: Path):
    """A scheduler and two worker processes on loopback."""
    here = ["--host", "tcp://127.0.0.1"]
    running = [started(["scheduler", *here, "--port", "0", "--no-dashboard"], tmp_path)]
    try:
        address, deadline = "", time.monotonic() + 300
        while not address:
            assert time.monotonic() < deadline, "no scheduler"
            time.sleep(0.1)
            log = "".join(path.read_text() for path in tmp_path.glob("scheduler-*.log"))
            found = re.search(r"Scheduler at:\s+(tcp://127\.0\.0\.1:\d+)", log)
            address = found.group(1) if found else ""
        for _ in range(2):
            options = ["--nthreads", "1", "--no-dashboard", "--no-nanny", *here]
            running.append(started(["worker", address, *options], tmp_path))
        yield address, running[1:]
    finally:
        for process in running:
            process.kill()
            process.wait()


def write_fleet(path: Path, rows: int) -> Path:
    rng = np.random.default_rng(rows)
    table = pa.table(
        {
            "id": [f"H-{number}" for number in range(rows)],
            "site": [f"Site {number}" for number in rng.integers(0, 40, rows)],
            "fuel": rng.choice(["natural_gas", "propane", "peat"], rows, p=[0.7, 0.2, 0.1]),
            "tank_volume_gal": rng.choice([30.0, 40.0, 50.0], rows),
            "input_btu_per_h": rng.choice([30e3, 38e3, 40e3], rows),
            "age_years": rng.integers(0, 300, rows) / 10,
            "repair_price": rng.uniform(90, 900, rows).round(2),
        }
    )
    if path.suffix == ".csv":
        table.to_pandas().to_csv(path, index=False)
    else:
        pq.write_table(table, path, row_group_size=7_000)
    return path


@pytest.mark.parametrize("ending", [".parquet", ".csv"])
def test_a_killed_worker_changes_nothing(
    ending: str, cluster: tuple[str, list[subprocess.Popen[str]]], tmp_path: Path
) -> None:
    address, workers = cluster
    source = write_fleet(tmp_path / f"in{ending}", 75_000)
    setting = setting_from_terms(TERMS)
    whole = run_fleet(source, tmp_path / "whole.parquet", setting, part_rows=PART_ROWS)
    told = []

    def kill_one_midway(rows: int) -> None:
        told.append(rows)
        if len(told) == 10:
            workers[0].send_signal(signal.SIGKILL)
            workers[0].wait()

    out = tmp_path / "out.parquet"
    finished = run_fleet(
        source, out, setting, part_rows=PART_ROWS, progress=kill_one_midway, scheduler=address
    )
    assert len(told) == finished.parts == whole.parts == 30
    assert workers[0].returncode == -signal.SIGKILL
    assert workers[1].poll() is None
    one, other = Outputs.beside(out), Outputs.beside(tmp_path / "whole.parquet")
    for name in ("answers", "rejected", "summary", "plot"):
        assert getattr(one, name).read_bytes() == getattr(other, name).read_bytes(), name


def test_no_scheduler_is_said_plainly(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("app.fleet.cluster.CONNECT_SECONDS", 1)
    source = write_fleet(tmp_path / "in.parquet", 10)
    with pytest.raises(InputTrouble, match=r"No scheduler answers: .*Check the address\."):
        run_fleet(
            source,
            tmp_path / "out.parquet",
            setting_from_terms(TERMS),
            scheduler="tcp://127.0.0.1:1",
        )
