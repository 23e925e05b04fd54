"""Source files as text: encodings, separators, headers; every bad row named, none mended."""

from __future__ import annotations

import csv
import io
import re
from difflib import get_close_matches
from typing import TYPE_CHECKING, NamedTuple

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence
    from pathlib import Path

LONGEST_FIELD = 2_000
FIELD_READ_LIMIT = 50_000_000
OLD_WORKBOOK = b"\xd0\xcf\x11\xe0"
UNREAD = "the row cannot be read"
SEPARATORS = (",", ";", "\t")
NO_TEXT = {
    b"\x1f\x8b": "compressed (gzip); unpack it first",
    b"PK\x03\x04": "a workbook or archive; save the sheet as CSV UTF-8",
    OLD_WORKBOOK: "an old workbook (.xls); save the sheet as CSV UTF-8",
}
"""How files begin that are no text, and what they are."""

NULL_MANY = 8
"""Null characters at the head of a file from which on it is no text of ours."""


class Rejected(NamedTuple):
    """A row that cannot be taken: file, row as a spreadsheet counts it, and why.

    Row 1 is the header; row 0 stands for the file as a whole.
    """

    file: str
    row: int
    reason: str

    def __str__(self) -> str:
        place = f"{self.file} row {self.row}" if self.row else self.file
        return f"{place}: {self.reason}"


class SourceRow(NamedTuple):
    """A row as text: its number as a spreadsheet counts it, and its cells by column."""

    row: int
    cells: dict[str, str]


class SourceText(NamedTuple):
    """What could be read of a file: rows, rejections, and notes on what was seen.

    `refused_cells` are the cells of refused rows; `whole` is false where a row could not be
    read at all, so that it is not known what the file holds.
    """

    rows: tuple[SourceRow, ...]
    rejected: tuple[Rejected, ...]
    notes: tuple[str, ...]
    refused_cells: frozenset[str] = frozenset()
    whole: bool = True


def read_source(path: Path, columns: Sequence[str], needed: Sequence[str]) -> SourceText:
    """Read a source file as text.

    Parameters
    ----------
    path
        The file.
    columns
        Columns that may be there.
    needed
        Columns that must be there.

    Returns
    -------
    Rows, rejections and notes. A file that cannot be read gives one rejection.

    Notes
    -----
    UTF-8, with or without a byte order mark; commas, semicolons or tabs. Numbers are
    written with a point. Nothing is guessed and nothing is mended.
    """
    name = path.name
    try:
        data = path.read_bytes()
    except FileNotFoundError:
        return _refused(name, 0, "the file is missing; add it, with its header row at least")
    except OSError as refused:
        return _refused(name, 0, f"the file cannot be read ({refused.strerror})")
    text = _decoded(name, data)
    if isinstance(text, Rejected):
        return SourceText((), (text,), (), whole=False)
    return _parsed(name, text, columns, needed)


def _refused(name: str, row: int, reason: str) -> SourceText:
    return SourceText((), (Rejected(name, row, reason),), (), whole=False)


def _decoded(name: str, data: bytes) -> str | Rejected:
    for head, what in NO_TEXT.items():
        if data.startswith(head):
            return Rejected(name, 0, f"the file is {what}")
    if is_utf_16(data):
        return Rejected(name, 0, "the file is UTF-16; save it as CSV UTF-8")
    try:
        text = data.decode("utf-8-sig")
    except UnicodeDecodeError as refused:
        row = data.count(b"\n", 0, refused.start) + 1
        byte = data[refused.start]
        return Rejected(
            name, row, f"the file is not UTF-8 (byte 0x{byte:02x}); save it as CSV UTF-8"
        )
    if not text.strip():
        return Rejected(name, 0, "the file is empty; it needs at least its header row")
    return text


def is_utf_16(data: bytes) -> bool:
    """Return whether a file is UTF-16, by its mark, or by the nulls between its letters.

    Parameters
    ----------
    data
        The file, or its head.
    """
    marked = data.startswith((b"\xff\xfe", b"\xfe\xff"))
    return marked or data.count(b"\x00", 0, 100) >= NULL_MANY


def _parsed(name: str, text: str, columns: Sequence[str], needed: Sequence[str]) -> SourceText:
    first = text.splitlines()[0]
    separator = max(SEPARATORS, key=first.count)
    notes = []
    if separator != ",":
        shown = "semicolons" if separator == ";" else "tabs"
        notes.append(f"{name} is parted by {shown}")
    csv.field_size_limit(FIELD_READ_LIMIT)
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=separator, strict=True)
    rejected: list[Rejected] = []
    records = _records(name, reader, rejected)
    number, header = next(records, (1, []))
    header = [cell.strip() for cell in header]
    problems = _header_problems(header, columns, needed)
    if problems:
        faults = tuple(Rejected(name, number, problem) for problem in problems)
        return SourceText((), faults, tuple(notes), whole=False)
    rows = []
    refused_cells: set[str] = set()
    for row, cells in records:
        if not any(cell.strip() for cell in cells):
            continue
        reason = _cells_problem(header, cells)
        if reason:
            rejected.append(Rejected(name, row, reason))
            refused_cells.update(_words_of(cells))
        else:
            rows.append(SourceRow(row, dict(zip(header, cells, strict=True))))
    unread = any(UNREAD in each.reason for each in rejected)
    return SourceText(
        tuple(rows), tuple(rejected), tuple(notes), frozenset(refused_cells), whole=not unread
    )


def _records(
    name: str, reader: Iterator[list[str]], rejected: list[Rejected]
) -> Iterator[tuple[int, list[str]]]:
    row = 0
    while True:
        row += 1
        try:
            yield row, next(reader)
        except StopIteration:
            return
        except csv.Error as refused:
            reason = f"{UNREAD} ({refused}); look for a stray quotation mark"
            rejected.append(Rejected(name, row, reason))


def _header_problems(
    header: Sequence[str], columns: Sequence[str], needed: Sequence[str]
) -> list[str]:
    problems = []
    slips: set[str] = set()
    if "" in header:
        problems.append(
            f"column {header.index('') + 1} has no name; part merged cells and name each column"
        )
    problems += [
        f'the column "{column}" is there twice; keep one'
        for column in sorted({cell for cell in header if cell and header.count(cell) > 1})
    ]
    for column in dict.fromkeys(header):
        if column and column not in columns:
            missing = [c for c in columns if c not in header]
            near = get_close_matches(column, missing or columns, n=1, cutoff=0.6)
            hint = f'; did you mean "{near[0]}"?' if near else f" (known: {', '.join(columns)})"
            problems.append(f'the column "{_short(column)}" is not known{hint}')
            slips.update(near)
    # A column that is there under a misspelt name is one fault, not two.
    problems += [
        f'the column "{column}" is missing'
        for column in needed
        if column not in header and column not in slips
    ]
    return problems


def _words_of(cells: Sequence[str]) -> Iterator[str]:
    """Give each cell of a refused row; one that holds a whole row, parted otherwise, in parts."""
    for cell in cells:
        if len(cell) <= LONGEST_FIELD:
            yield cell.strip()
            yield from (part.strip() for part in re.split(r"[,;\t]", cell))


def _cells_problem(header: Sequence[str], cells: Sequence[str]) -> str | None:
    if len(cells) != len(header):
        return f"the row has {len(cells)} fields, the header {len(header)}; part or join them"
    for column, cell in zip(header, cells, strict=True):
        if len(cell) > LONGEST_FIELD:
            return (
                f"{column} holds {len(cell):,} characters, at most {LONGEST_FIELD:,} are taken; "
                "shorten it"
            )
        if _is_formula(cell.strip()):
            return f'{column} holds a formula ("{_short(cell)}"); put its value there'
        if "\x00" in cell:
            return f"{column} holds a null character; save the file again as CSV UTF-8"
    return None


def _is_formula(cell: str) -> bool:
    if cell.startswith(("=", "@")):
        return True
    return len(cell) > 1 and cell[0] in "+-" and not (cell[1].isdigit() or cell[1] == ".")


def _short(text: str) -> str:
    return text if len(text) <= 40 else f"{text[:40]}…"
