"""A whole run: parts one after another, what is done is kept, then all joined."""

from __future__ import annotations

import json
from contextlib import closing
from typing import TYPE_CHECKING, Any, NamedTuple

import pyarrow as pa
import pyarrow.parquet as pq

from app.files import write_whole
from app.fleet.answers import schema_of
from app.fleet.parts import ANSWERS, IDS, REJECTED, SUMMARY, is_done, part_file, work_part
from app.fleet.plot import budget_svg
from app.fleet.reading import PART_ROWS, check_columns, hash_of, parts_of
from app.fleet.repeats import repeats_in, without
from app.fleet.summary import (
    REJECTED_HEADER,
    Summary,
    csv_bytes,
    joined_csv,
    rejected_csv,
    summary_csv,
    summary_of,
)
from estimator.errors import InputTrouble

if TYPE_CHECKING:
    from collections.abc import Callable
    from pathlib import Path

    from app.fleet.setting import FleetSetting

MANIFEST = "manifest.json"


class Outputs(NamedTuple):
    """Where a run writes: answers, rows left out, summary, plot, and its parts meanwhile."""

    answers: Path
    rejected: Path
    summary: Path
    plot: Path
    work: Path

    @classmethod
    def beside(cls, out: Path) -> Outputs:
        """Name the files next to the answers."""
        return cls(
            out,
            out.with_suffix(".rejected.csv"),
            out.with_suffix(".summary.csv"),
            out.with_suffix(".svg"),
            out.with_name(f"{out.name}.parts"),
        )


class Finished(NamedTuple):
    """What a run found, where it is, and how many parts an earlier run had done."""

    summary: Summary
    outputs: Outputs
    parts: int
    parts_kept: int


def run_fleet(
    source: Path,
    out: Path,
    setting: FleetSetting,
    *,
    part_rows: int = PART_ROWS,
    progress: Callable[[int], None] = lambda rows: None,  # noqa: ARG005
    scheduler: str | None = None,
) -> Finished:
    """Cost a fleet from file to file.

    Parameters
    ----------
    source
        CSV or Parquet, with the columns of a fleet file.
    out
        Parquet file to write; the rows left out, the summary and the plot go next to it.
    setting
        Terms, prices and offers.
    part_rows
        Rows of a part: memory goes by it, not by the size of the file.
    progress
        Told the rows of each part when it is done.
    scheduler
        Address of a cluster that works the parts; ``None`` to work them here.

    Returns
    -------
    The summary, and where everything is.

    Raises
    ------
    InputTrouble
        If the file, its columns or the place of the output are not usable.

    Notes
    -----
    A run that is cut short leaves its parts; the same command then goes on after the last
    of them. Where the file, the terms or the offers have changed, it begins again.
    """
    outputs = Outputs.beside(out)
    _check_places(source, outputs)
    check_columns(source)
    _begin(outputs.work, source, setting, part_rows)
    if scheduler is None:
        parts, kept = _work_here(source, setting, outputs.work, part_rows, progress)
    else:
        from app.fleet.cluster import work_on_cluster  # noqa: PLC0415  (an optional extra)

        parts, kept = work_on_cluster(scheduler, source, setting, outputs.work, part_rows, progress)
    summary = _join(outputs, parts, part_rows, setting)
    _clear(outputs.work)
    return Finished(summary, outputs, parts, kept)


def _check_places(source: Path, outputs: Outputs) -> None:
    out = outputs.answers
    if out.suffix != ".parquet":
        raise InputTrouble(
            f'The output is named "{out.name}"; it must end in .parquet', mend="Rename it."
        )
    if source.resolve() in {path.resolve() for path in outputs}:
        raise InputTrouble("The output is the file to be read", str(source), "Give another name.")
    if not out.parent.is_dir():
        raise InputTrouble("There is no folder", str(out.parent), "Make it, or give another.")


def _begin(work: Path, source: Path, setting: FleetSetting, part_rows: int) -> None:
    """Make the folder of parts ready; parts of the same run are kept, others removed."""
    manifest = {
        "input_sha256": hash_of(source),
        "setting_sha256": setting.fingerprint(),
        "part_rows": part_rows,
    }
    try:
        work.mkdir(exist_ok=True)
        path = work / MANIFEST
        if path.exists() and _read_json(path) == manifest:
            return
        _clear(work)
        work.mkdir(exist_ok=True)
    except OSError as refused:
        reason = refused.strerror or type(refused).__name__
        raise InputTrouble(
            f"The folder cannot be used: {reason}", str(work), "Remove it, or give another output."
        ) from None
    write_whole(path, json.dumps(manifest, indent=2).encode())


def _read_json(path: Path) -> Any:
    try:
        return json.loads(path.read_bytes())
    except ValueError:
        return None


def _clear(work: Path) -> None:
    """Remove what a run has put into its folder, and the folder where nothing else is in it."""
    for path in (*work.glob("part-*"), *work.glob(f"{MANIFEST}*")):
        path.unlink(missing_ok=True)
    if not any(work.iterdir()):
        work.rmdir()


def _work_here(
    source: Path,
    setting: FleetSetting,
    work: Path,
    part_rows: int,
    progress: Callable[[int], None],
) -> tuple[int, int]:
    first = 0
    while is_done(work, first):
        progress(part_rows)
        first += 1
    parts = first
    with closing(parts_of(source, part_rows, first)) as rest:
        for raw in rest:
            progress(work_part(raw, setting, work))
            parts += 1
    return parts, first


def _join(outputs: Outputs, parts: int, part_rows: int, setting: FleetSetting) -> Summary:
    """Join the parts in their order; the answers are moved to their place last."""
    summary = Summary()
    beside = outputs.answers.with_name(f"{outputs.answers.name}.tmp")
    rejected = outputs.rejected.with_name(f"{outputs.rejected.name}.tmp")
    try:
        files = [part_file(outputs.work, number, IDS) for number in range(parts)]
        repeats = repeats_in(files, part_rows)
        with (
            rejected.open("wb") as left_out,
            pq.ParquetWriter(beside, schema_of(setting)) as writer,
        ):
            left_out.write(csv_bytes([], REJECTED_HEADER))
            for number in range(parts):
                part = _finished_part(outputs.work, number, repeats.get(number, {}), setting)
                summary.add(part.summary)
                left_out.write(part.left_out)
                writer.write_table(part.table)
    except (pa.ArrowException, OSError, ValueError) as refused:
        raise InputTrouble(
            f"The parts cannot be joined: {str(refused).splitlines()[0]}",
            str(outputs.work),
            "Remove that folder and run it again.",
        ) from None
    write_whole(outputs.summary, summary_csv(summary))
    write_whole(outputs.plot, budget_svg(summary).encode())
    rejected.replace(outputs.rejected)
    beside.replace(outputs.answers)
    return summary


class _FinishedPart(NamedTuple):
    """Answers, sums and rows left out of a part, heaters that are there twice taken out."""

    table: pa.Table
    summary: Summary
    left_out: bytes


def _finished_part(
    work: Path, number: int, repeats: dict[int, int], setting: FleetSetting
) -> _FinishedPart:
    """Read what a part gave. Its own files stay as they are, so that this can be done again."""
    table = pq.read_table(part_file(work, number, ANSWERS))
    summary = Summary(**json.loads(part_file(work, number, SUMMARY).read_bytes()))
    left_out = part_file(work, number, REJECTED).read_bytes()
    if repeats:
        table, repeated = without(table, repeats)
        summary = summary_of(table, summary.rejected + len(repeated), setting)
        summary.repeated = len(repeated)
        left_out = joined_csv(left_out, rejected_csv(repeated, header=False))
    return _FinishedPart(table, summary, left_out)
