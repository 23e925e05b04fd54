"""Parts worked on an existing dask.distributed cluster (the optional extra `fleet`).

Every worker must see the input, the output's folder and, for a shop, the shop's folder
under the same paths. A part whose worker dies is done again by another.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from app.fleet.parts import is_done, work_part, work_part_of_file
from app.fleet.reading import parts_of, row_count
from estimator.errors import InputTrouble

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator
    from pathlib import Path

    from app.fleet.setting import FleetSetting

CONNECT_SECONDS = 20
PARTS_UNDER_WAY_PER_WORKER = 2


def work_on_cluster(
    address: str,
    source: Path,
    setting: FleetSetting,
    work: Path,
    part_rows: int,
    progress: Callable[[int], None],
) -> tuple[int, int]:
    """Work the parts that are not done yet on a cluster.

    Parameters
    ----------
    address
        Of the scheduler, such as ``tcp://10.0.0.5:8786``.
    source, setting, work, part_rows, progress
        As `running.run_fleet`.

    Returns
    -------
    Parts in all, and parts that were done before.

    Raises
    ------
    InputTrouble
        If the extra is not installed, no scheduler answers, or a part fails for good.

    Notes
    -----
    Of a Parquet file only the number of a part is sent; a CSV file is read here and its
    rows are sent. Only a few parts are under way at a time.
    """
    try:
        import distributed  # noqa: PLC0415
    except ImportError:
        raise InputTrouble(
            "Working on a cluster needs dask.distributed", mend="Install the extra: fleet."
        ) from None
    connect: Any = distributed.Client
    try:
        client = connect(address, timeout=CONNECT_SECONDS, set_as_default=False)
    except (OSError, TimeoutError, ValueError) as refused:
        raise InputTrouble(
            f"No scheduler answers: {refused}", address, "Check the address."
        ) from None
    with client:
        tasks = _tasks(source.resolve(), setting, work.resolve(), part_rows)
        parts, kept = 0, 0
        completed: Any = distributed.as_completed
        under_way = completed(loop=client.loop)
        room = max(1, len(client.nthreads())) * PARTS_UNDER_WAY_PER_WORKER
        waiting = 0
        for number, function, arguments in tasks:
            parts += 1
            if is_done(work, number):
                kept += 1
                progress(part_rows)
                continue
            under_way.add(client.submit(function, *arguments, pure=False, retries=3))
            waiting += 1
            if waiting >= room:
                progress(_result(next(under_way)))
                waiting -= 1
        for _ in range(waiting):
            progress(_result(next(under_way)))
    return parts, kept


def _tasks(
    source: Path, setting: FleetSetting, work: Path, part_rows: int
) -> Iterator[tuple[int, Callable[..., int], tuple[Any, ...]]]:
    rows = row_count(source)
    if rows is None:
        for raw in parts_of(source, part_rows):
            yield raw.number, work_part, (raw, setting, work)
    else:
        for number in range(-(-rows // part_rows)):
            yield number, work_part_of_file, (source, number, part_rows, setting, work)


def _result(future: Any) -> int:
    from distributed.scheduler import KilledWorker  # noqa: PLC0415

    try:
        return int(future.result())
    except KilledWorker as lost:
        raise InputTrouble(
            f"A part was lost with every worker that tried it: {lost}",
            "the cluster",
            "Look at the workers, then run the same command again: it goes on.",
        ) from None
