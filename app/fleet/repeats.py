"""Heaters that are in a fleet file twice: the same id at the same site.

Each part keeps two fingerprints of the id and site of its heaters. When all parts are done
they are looked through by ranges of the first one, a range at a time, so that memory goes by
the size of a range and not by the number of heaters.
"""

from __future__ import annotations

from collections import defaultdict
from typing import TYPE_CHECKING, Any

import numpy as np
import pandas as pd
import pyarrow as pa
import pyarrow.compute as pc
from numpy.typing import NDArray

from app.fleet.checking import Rejected

if TYPE_CHECKING:
    from collections.abc import Sequence
    from pathlib import Path

Ids = NDArray[np.uint64]
"""Rows of fingerprint, second fingerprint and row number, by fingerprint; shape (3, n)."""

TOGETHER = 1_000_000
"""Heaters looked through at a time, about."""

_KEYS = ("heater-id-first-", "heater-id-again-")  # 16 characters, as the hash wants them


def ids_of(table: pa.Table) -> Ids:
    """Return the fingerprints of the heaters of a part, from its answers.

    Notes
    -----
    Two fingerprints of 64 bits: among ten million heaters the chance that any two share
    both without sharing id and site is below 1e-24.
    """
    joined: Any = pc.binary_join_element_wise(table.column("id"), table.column("site"), "\x1f")
    named = joined.to_numpy()
    marks = [pd.util.hash_array(named, hash_key=key, categorize=False) for key in _KEYS]
    rows = table.column("row").to_numpy().astype(np.uint64)
    ids = np.stack([*marks, rows])
    return ids[:, np.argsort(ids[0], kind="stable")]


def repeats_in(files: Sequence[Path], part_rows: int) -> dict[int, dict[int, int]]:
    """Find the heaters that were there before.

    Parameters
    ----------
    files
        The fingerprints of each part, in the order of the parts.
    part_rows
        Rows of a part.

    Returns
    -------
    Part → row of each repeated heater → row where it is first; parts without any are left
    out.
    """
    sizes = [_mapped(file).shape[1] for file in files]
    ranges = max(1, -(-sum(sizes) // TOGETHER))
    edges = np.linspace(0.0, 2.0**64, ranges + 1)[1:-1].astype(np.uint64)
    cuts = [
        [0, *np.searchsorted(_mapped(file)[0], edges).tolist(), size]
        for file, size in zip(files, sizes, strict=True)
    ]
    found: dict[int, dict[int, int]] = defaultdict(dict)
    for at in range(ranges if files else 0):
        # Copied, so that no file stays open: there may be thousands.
        here = [
            np.array(_mapped(file)[:, cut[at] : cut[at + 1]])
            for file, cut in zip(files, cuts, strict=True)
        ]
        for row, first in _repeated(np.concatenate(here, axis=1)):
            found[(row - 1) // part_rows][row] = first
    return dict(found)


def _mapped(file: Path) -> Ids:
    ids: Ids = np.load(file, mmap_mode="r")
    return ids


def _repeated(ids: Ids) -> list[tuple[int, int]]:
    """Return each repeated row with the row where its heater is first."""
    ids = ids[:, _shared(ids[0])]
    ids = ids[:, np.lexsort((ids[2], ids[1], ids[0]))]
    new = np.ones(ids.shape[1], dtype=bool)
    new[1:] = (ids[:2, 1:] != ids[:2, :-1]).any(axis=0)
    first = ids[2][new][np.cumsum(new) - 1]
    return [(int(row), int(of)) for row, of in zip(ids[2][~new], first[~new], strict=True)]


def _shared(marks: NDArray[np.uint64]) -> NDArray[np.intp]:
    """Return the places of the fingerprints that are there more than once: mostly few."""
    order = np.argsort(marks, kind="stable")  # quick on the sorted runs that parts are
    same = marks[order][1:] == marks[order][:-1]
    shared = np.zeros(len(marks), dtype=bool)
    shared[1:] |= same
    shared[:-1] |= same
    return order[shared]


def without(table: pa.Table, repeats: dict[int, int]) -> tuple[pa.Table, list[Rejected]]:
    """Part the repeated heaters from a part's answers.

    Parameters
    ----------
    table
        The answers.
    repeats
        Row of each repeated heater → row where it is first.

    Returns
    -------
    The other answers; and the repeated heaters as rows left out, with the reason.
    """
    rows = table.column("row").to_pylist()
    kept: Any = pa.array([row not in repeats for row in rows])
    names = table.column("id").to_pylist()
    return table.filter(kept), [
        Rejected(
            row,
            name,
            f"row {repeats[row]} has the same id at the same site; keep one of them, or give "
            "each heater an id of its own",
        )
        for row, name in zip(rows, names, strict=True)
        if row in repeats
    ]
