"""The quotes behind the books: a page of them to look into, and all of them as a file."""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from datetime import date, datetime
from decimal import Decimal
from typing import TYPE_CHECKING, Any, Final

import numpy as np
import pyarrow as pa
import pyarrow.compute as pc
import pyarrow.parquet as pq

from app.desk.book_table import book_table
from app.desk.books import FILTERED, BookFilter, chosen_rows, people_of
from app.desk.tallies import STATES, state_codes
from app.files import write_whole
from app.ledger.facts import MONEY
from app.people.guard import Actor, require
from app.people.roles import Action
from estimator.errors import InputTrouble

if TYPE_CHECKING:
    from pathlib import Path

    from app.shop import Shop

EXPORTED: Final = (
    "number",
    "revision",
    "issued_on",
    "issued_by",
    "state",
    "valid_until",
    "verdict",
    "finding",
    "remedy",
    "fuel",
    "family",
    "heater_age_months",
    "part_number",
    "replace_slug",
    *(f"{name}_usd" for name in MONEY),
    "answered_on",
    "chosen_path",
    "rate_sheet_version",
)
"""The columns of an export; money in dollars, and no customer's name or address in it."""
LISTED: Final = ("number", "revision", *FILTERED, "revenue_cents", "cost_cents")
"""The columns of a list on the screen."""
FORMULA_SIGNS: Final = ("=", "+", "-", "@", "\t", "\r", "\n")
"""A cell of text that begins with one of these may be run by a spreadsheet as a formula."""
EXCEL_ROWS: Final = 1_048_576 - 1
_PAGE: Final = 50_000
_CONTROL: Final = re.compile(r"[\x00-\x08\x0b\x0c\x0e-\x1f]")
"""Characters that XML, and so Excel's file, cannot hold."""


@dataclass(frozen=True)
class QuoteRow:
    """One revision in a list of the books; `number` and `revision` open it."""

    number: str
    revision: int
    issued_on: date
    issued_by: str
    state: str
    finding: str | None
    verdict: str
    chosen_path: str | None
    revenue: Decimal | None
    cost: Decimal | None


@dataclass(frozen=True)
class QuotePage:
    """A page of quotes, the last issued first, of `count` in all."""

    rows: tuple[QuoteRow, ...]
    count: int


def book_quotes(
    shop: Shop, actor: Actor, wanted: BookFilter, day: date, limit: int = 50, skip: int = 0
) -> QuotePage:
    """Return the quotes behind the books, the last issued first.

    Parameters
    ----------
    shop
        The shop.
    actor
        The owner.
    wanted
        Which quotes; without states, superseded revisions are left out.
    day
        Today, at the shop.
    limit, skip
        How many at most, after how many.

    Raises
    ------
    Trouble
        If it is not the actor's to see, or the filter names what the books do not know.
    """
    require(shop, actor, Action.SEE_BOOKS)
    chosen = _chosen(book_table(shop, LISTED), wanted, day)
    last = chosen.num_rows - max(skip, 0)
    at = np.arange(last, max(last - max(limit, 0), 0), -1) - 1
    page = chosen.take(at)
    states = state_codes(page, day)
    rows = tuple(
        QuoteRow(
            number=row["number"],
            revision=row["revision"],
            issued_on=row["issued_on"],
            issued_by=row["issued_by"],
            state=STATES[state],
            finding=row["finding"],
            verdict=row["verdict"],
            chosen_path=row["chosen_path"],
            revenue=_dollars(row["revenue_cents"]),
            cost=_dollars(row["cost_cents"]),
        )
        for row, state in zip(page.to_pylist(), states, strict=True)
    )
    return QuotePage(rows, chosen.num_rows)


def export_books(
    shop: Shop, actor: Actor, wanted: BookFilter, day: date, path: Path, at: datetime
) -> int:
    """Write the quotes behind the books as a file: CSV, Parquet or Excel by its ending.

    Parameters
    ----------
    shop
        The shop.
    actor
        The owner.
    wanted
        Which quotes; without states, superseded revisions are left out.
    day
        Today, at the shop.
    path
        The file: ``.csv``, ``.parquet`` or ``.xlsx``.
    at
        Now, with its zone, for the journal.

    Returns
    -------
    How many rows were written.

    Raises
    ------
    Trouble
        If it is not the actor's to see, the ending is another one, there are more rows than a
        sheet of Excel holds, or the file cannot be written.

    Notes
    -----
    In CSV and Excel a text that a spreadsheet could run as a formula has an apostrophe
    before it; numbers are left as they are. Parquet holds the texts unchanged.
    """
    require(shop, actor, Action.SEE_BOOKS, at)
    write = _WRITERS.get(path.suffix.lower())
    if write is None:
        raise InputTrouble(
            f'The ending "{path.suffix}" is not one of {", ".join(_WRITERS)}',
            str(path),
            "Name the file with one of them.",
        )
    table = export_table(_chosen(book_table(shop), wanted, day), day)
    if write is _excel and table.num_rows > EXCEL_ROWS:
        raise InputTrouble(
            f"There are {table.num_rows:,} quotes; a sheet of Excel holds {EXCEL_ROWS:,}",
            str(path),
            "Write a CSV or Parquet file, or give fewer days.",
        )
    write_whole(path, write(table))
    shop.ledger.journal.note(at, actor.name, "export books", "", {"rows": table.num_rows})
    return int(table.num_rows)


def _chosen(table: pa.Table, wanted: BookFilter, day: date) -> pa.Table:
    chosen = chosen_rows(table, wanted, day, people_of(table))
    return chosen if wanted.states else chosen.filter(pc.invert(chosen["superseded"]))


def export_table(chosen: pa.Table, day: date) -> pa.Table:
    """Return rows of the books as they are exported.

    Parameters
    ----------
    chosen
        Rows as `app.desk.book_table.book_table` gives them.
    day
        Today: what lapsed by then.

    Returns
    -------
    A table of the columns `EXPORTED`, money as decimals with two places [USD].
    """
    columns: dict[str, Any] = {name: chosen[name] for name in chosen.column_names}
    state = pa.array(state_codes(chosen, day).astype(np.int8))
    columns["state"] = pa.DictionaryArray.from_arrays(state, pa.array(STATES))
    for name in MONEY:
        cents = columns[f"{name}_cents"].cast(pa.decimal128(19, 0))
        dollars = pc.multiply(cents, pa.scalar(Decimal("0.01"), pa.decimal128(3, 2)))
        columns[f"{name}_usd"] = dollars.cast(pa.decimal128(21, 2))
    return pa.table({name: columns[name] for name in EXPORTED})


def neutralized(value: Any) -> Any:
    """Return a cell that no spreadsheet takes for a formula.

    Parameters
    ----------
    value
        The cell; only text is changed.

    Returns
    -------
    The text with an apostrophe before it where it begins with one of `FORMULA_SIGNS`, also
    after spaces.
    """
    if isinstance(value, str) and value.lstrip(" ").startswith(FORMULA_SIGNS):
        return f"'{value}"
    return value


def _rows(table: pa.Table) -> Iterator[list[Any]]:
    for batch in table.to_batches(max_chunksize=_PAGE):
        columns: Iterable[list[Any]] = [column.to_pylist() for column in batch.columns]
        for row in zip(*columns, strict=True):
            yield [neutralized(value) for value in row]


def _csv(table: pa.Table) -> bytes:
    text = io.StringIO(newline="")
    writer = csv.writer(text)
    writer.writerow(table.column_names)
    writer.writerows(_rows(table))
    # The mark in front makes spreadsheets read it as UTF-8.
    return text.getvalue().encode("utf-8-sig")


def _parquet(table: pa.Table) -> bytes:
    sink = pa.BufferOutputStream()
    pq.write_table(table, sink, compression="zstd")
    return bytes(sink.getvalue().to_pybytes())


def _excel(table: pa.Table) -> bytes:
    # slow to import, and without types of its own
    from openpyxl import Workbook  # noqa: PLC0415
    from openpyxl.cell import WriteOnlyCell  # noqa: PLC0415

    book = Workbook(write_only=True)
    sheet = book.create_sheet("Quotes")
    sheet.append(table.column_names)

    def cell(value: Any) -> Any:
        if isinstance(value, str):
            found = WriteOnlyCell(sheet, _CONTROL.sub("", value))
            found.data_type = "s"
            return found
        return value

    for row in _rows(table):
        sheet.append([cell(value) for value in row])
    made = io.BytesIO()
    book.save(made)
    return made.getvalue()


def _dollars(cents: int | None) -> Decimal | None:
    return None if cents is None else Decimal(cents).scaleb(-2)


_WRITERS: Final = {".csv": _csv, ".parquet": _parquet, ".xlsx": _excel}
