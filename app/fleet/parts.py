"""One part of a run, from its rows to its files; parts know nothing of each other."""

from __future__ import annotations

import json
import os
import threading
from typing import TYPE_CHECKING

import numpy as np
import pyarrow.parquet as pq

from app.fleet.answers import plan_of, schema_of, table_of
from app.fleet.checking import check_part
from app.fleet.costing import cost_part
from app.fleet.reading import parts_of
from app.fleet.repeats import ids_of
from app.fleet.summary import rejected_csv, summary_of

if TYPE_CHECKING:
    from collections.abc import Callable
    from pathlib import Path

    from app.fleet.reading import RawPart
    from app.fleet.repeats import Ids
    from app.fleet.setting import FleetSetting

ANSWERS, REJECTED, SUMMARY, IDS = ".parquet", ".rejected.csv", ".summary.json", ".ids.npy"


def part_file(work: Path, number: int, ending: str) -> Path:
    """Return the file of a part."""
    return work / f"part-{number:06d}{ending}"


def is_done(work: Path, number: int) -> bool:
    """Say whether a part is done: its answers are written last."""
    return part_file(work, number, ANSWERS).exists()


def work_part(raw: RawPart, setting: FleetSetting, work: Path) -> int:
    """Check, cost and write one part.

    Parameters
    ----------
    raw
        Its rows.
    setting
        Terms, prices and offers.
    work
        The folder of the run's parts.

    Returns
    -------
    Rows read.

    Notes
    -----
    Each file is written beside its place and then moved there, so that it is whole or not
    there at all; doing a part twice gives the same files.
    """
    checked, rejected = check_part(raw, setting.on)
    costed, refused = cost_part(checked, setting) if len(checked.rows) else (None, [])
    rejected = sorted([*rejected, *refused], key=lambda each: each.row)
    if costed is None:
        table = schema_of(setting).empty_table()
    else:
        table = table_of(costed, plan_of(costed, setting), setting)
    summary = summary_of(table, len(rejected), setting)
    _put(
        part_file(work, raw.number, REJECTED),
        lambda to: to.write_bytes(rejected_csv(rejected, header=False)),
    )
    _put(
        part_file(work, raw.number, SUMMARY),
        lambda to: to.write_text(json.dumps(summary.to_json()), encoding="utf-8"),
    )
    _put(part_file(work, raw.number, IDS), lambda to: _save(to, ids_of(table)))
    _put(part_file(work, raw.number, ANSWERS), lambda to: pq.write_table(table, to))
    return len(raw.rows) + len(raw.unreadable)


def work_part_of_file(
    source: Path, number: int, part_rows: int, setting: FleetSetting, work: Path
) -> int:
    """Read one part of a file and work it, as on another machine that sees the same files.

    Parameters
    ----------
    source
        The fleet file.
    number
        Which part.
    part_rows
        Rows of a part.
    setting, work
        As `work_part`.

    Returns
    -------
    Rows read.
    """
    return work_part(next(parts_of(source, part_rows, number)), setting, work)


def _save(path: Path, ids: Ids) -> None:
    with path.open("wb") as file:  # given a path, numpy would add an ending of its own
        np.save(file, ids)


def _put(path: Path, write: Callable[[Path], object]) -> None:
    beside = path.with_name(f"{path.name}.{os.getpid()}-{threading.get_ident()}.tmp")
    write(beside)
    beside.replace(path)
