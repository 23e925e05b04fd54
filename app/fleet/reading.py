"""Fleet files read a part at a time: CSV and Parquet."""

from __future__ import annotations

import csv
import hashlib
from dataclasses import dataclass, field
from itertools import islice
from typing import TYPE_CHECKING, Any

import pyarrow as pa
import pyarrow.parquet as pq

from app.fleet.columns import checked_names
from estimator.errors import InputTrouble

if TYPE_CHECKING:
    from collections.abc import Generator, Iterator
    from pathlib import Path

PART_ROWS = 65_536
"""Rows of a part: what is held in memory, written, and done again after a break."""

DELIMITERS = (",", ";", "\t")


@dataclass(frozen=True)
class RawPart:
    """Rows as they stand in the file.

    Attributes
    ----------
    number
        Place of the part, from 0.
    rows
        Number of each row that could be read; 1 is the first below the header.
    cells
        Cells by column: text, numbers, or what Parquet holds.
    unreadable
        Number of each row that could not be read at all, and why.
    """

    number: int
    rows: list[int]
    cells: dict[str, Any]
    unreadable: list[tuple[int, str]] = field(default_factory=list)


def hash_of(path: Path) -> str:
    """Return the SHA-256 of a file, read a piece at a time."""
    try:
        with path.open("rb") as file:
            return hashlib.file_digest(file, "sha256").hexdigest()
    except OSError as refused:
        raise _cannot_be_read(path, refused) from None


def is_parquet(path: Path) -> bool:
    """Say whether a file is Parquet, by its first bytes."""
    try:
        with path.open("rb") as file:
            return file.read(4) == b"PAR1"
    except OSError as refused:
        raise _cannot_be_read(path, refused) from None


def row_count(path: Path) -> int | None:
    """Return how many rows a Parquet file holds; ``None`` for CSV, which must be read to know."""
    if not is_parquet(path):
        return None
    return int(_parquet(path).metadata.num_rows)


def parts_of(path: Path, part_rows: int = PART_ROWS, first: int = 0) -> Generator[RawPart]:
    """Read a fleet file a part at a time.

    Parameters
    ----------
    path
        CSV (comma, semicolon or tab; UTF-8, with or without a mark at its start) or Parquet.
    part_rows
        Rows of a part.
    first
        Number of the first part wanted; the rows before it are passed over.

    Yields
    ------
    The parts in order; none for a file without rows.

    Raises
    ------
    InputTrouble
        If the file cannot be read or its columns are not those of a fleet file.
    """
    read = _parquet_parts if is_parquet(path) else _csv_parts
    yield from read(path, part_rows, first)


def check_columns(path: Path) -> None:
    """Refuse a file whose columns are not those of a fleet file, before any work is done."""
    if is_parquet(path):
        checked_names(_parquet(path).schema_arrow.names, str(path))
    else:
        for _ in _csv_parts(path, 1, 0):
            break


def _parquet(path: Path) -> Any:
    try:
        return pq.ParquetFile(path)
    except (pa.ArrowException, OSError) as refused:
        reason = str(refused).splitlines()[0]
        raise InputTrouble(
            f"The Parquet file is damaged: {reason}", str(path), "Write it again."
        ) from None


def _parquet_parts(path: Path, part_rows: int, first: int) -> Iterator[RawPart]:
    file = _parquet(path)
    given = file.schema_arrow.names
    names = checked_names(given, str(path))
    wanted = {old: new for old, new in zip(given, names, strict=True) if new}
    at, held, size, skip = first, [], 0, first * part_rows
    groups, skip = _row_groups_from(file.metadata, skip)
    if not groups:
        return
    try:
        for batch in file.iter_batches(part_rows, row_groups=groups, columns=list(wanted)):
            if skip >= batch.num_rows:
                skip -= batch.num_rows
                continue
            held.append(batch.slice(skip))
            size += held[-1].num_rows
            skip = 0
            while size >= part_rows:
                table = pa.Table.from_batches(held)
                yield _from_table(table.slice(0, part_rows), wanted, at, part_rows)
                held, size, at = table.slice(part_rows).to_batches(), size - part_rows, at + 1
        if size:
            yield _from_table(pa.Table.from_batches(held), wanted, at, part_rows)
    except (pa.ArrowException, OSError) as refused:
        reason = str(refused).splitlines()[0]
        raise InputTrouble(
            f"The Parquet file is damaged: {reason}", str(path), "Write it again."
        ) from None


def _row_groups_from(metadata: Any, skip: int) -> tuple[list[int], int]:
    """Return the row groups from a row on, and how many rows to pass over in the first."""
    for group in range(metadata.num_row_groups):
        rows = metadata.row_group(group).num_rows
        if skip < rows:
            return list(range(group, metadata.num_row_groups)), skip
        skip -= rows
    return [], 0


def _from_table(table: Any, wanted: dict[str, str], number: int, part_rows: int) -> RawPart:
    cells = {}
    for old, new in wanted.items():
        column = table.column(old)
        kind = column.type
        if pa.types.is_dictionary(kind):
            column, kind = column.cast(kind.value_type), kind.value_type
        if pa.types.is_integer(kind) or pa.types.is_floating(kind) or pa.types.is_decimal(kind):
            cells[new] = column.cast(pa.float64(), safe=False).to_numpy()
            if new in ("id", "site"):
                cells[new] = column.cast(pa.string()).to_pylist()
        elif pa.types.is_timestamp(kind):
            cells[new] = column.cast(pa.date32(), safe=False).cast(pa.string()).to_pylist()
        elif pa.types.is_nested(kind) or pa.types.is_binary(kind):
            cells[new] = [None if each is None else str(each) for each in column.to_pylist()]
        else:
            cells[new] = column.cast(pa.string()).to_pylist()
    before = number * part_rows
    return RawPart(number, list(range(before + 1, before + table.num_rows + 1)), cells)


def _csv_parts(path: Path, part_rows: int, first: int) -> Iterator[RawPart]:
    try:
        with path.open(encoding="utf-8-sig", newline="") as file:
            header = file.readline()
            delimiter = max(DELIMITERS, key=header.count)
            titles = next(csv.reader([header], delimiter=delimiter), [])
            if not titles:
                raise InputTrouble("The file is empty", str(path), "Give one with a header line.")
            names = checked_names(titles, str(path))
            reader = csv.reader(file, delimiter=delimiter)
            for _ in islice(reader, first * part_rows):
                pass
            number = first
            while lines := list(islice(reader, part_rows)):
                yield _from_lines(lines, names, number, number * part_rows)
                number += 1
    except UnicodeDecodeError:
        raise InputTrouble(
            "The file is not UTF-8 text", str(path), "Save it as CSV UTF-8 and try again."
        ) from None
    except csv.Error as refused:
        raise InputTrouble(
            f"The file is not CSV: {refused}", str(path), "Save it as CSV UTF-8 and try again."
        ) from None
    except OSError as refused:
        raise _cannot_be_read(path, refused) from None


def _from_lines(
    lines: list[list[str]], names: tuple[str, ...], number: int, before: int
) -> RawPart:
    rows, whole, unreadable = [], [], []
    for row, line in enumerate(lines, start=before + 1):
        if len(line) == len(names):
            rows.append(row)
            whole.append(line)
        elif line:  # a blank line is no heater
            unreadable.append((row, f"it has {len(line)} cells; the header has {len(names)}"))
    columns = zip(*whole, strict=True) if whole else ([] for _ in names)
    cells = {name: list(column) for name, column in zip(names, columns, strict=True) if name}
    return RawPart(number, rows, cells, unreadable)


def _cannot_be_read(path: Path, refused: OSError) -> InputTrouble:
    if isinstance(refused, FileNotFoundError):
        return InputTrouble("There is no file", str(path), "Check the name.")
    reason = refused.strerror or type(refused).__name__
    return InputTrouble(f"The file cannot be read: {reason}", str(path))
