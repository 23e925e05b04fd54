"""The books' columns: the facts of every quote as one Arrow table, kept ready beside the ledger.

Reading a million rows out of a database takes seconds, and counting them a fraction of one.
So the table is kept as a Parquet file in the shop's folder. What was issued, revised or
answered since the file was written is known by the journal and laid over it; the file is
written anew when that has become much. It is a copy and nothing rests on it: a file that is
missing, damaged or of another ledger is made anew.
"""

from __future__ import annotations

import contextlib
import json
import os
import secrets
from typing import TYPE_CHECKING, Any, Final

import numpy as np
import pyarrow as pa
import pyarrow.compute as pc
import pyarrow.csv as pa_csv
import pyarrow.parquet as pq

from app.ledger.facts import MONEY
from app.ledger.records import JournalHead
from estimator.errors import LedgerTrouble

if TYPE_CHECKING:
    from collections.abc import Sequence
    from pathlib import Path

    from app.ledger.ledger import Ledger
    from app.shop import Shop

FOLDER: Final = "books"
FILE: Final = "facts.parquet"
FORM: Final = "3"
"""Changes whenever the columns do; a file of another form is made anew."""
_META: Final = b"heater_books"
_MOST_LAID_OVER: Final = 2_000
"""With more changed quotes than this the file is written anew, so that later answers are quick."""
_MOST_CHANGED: Final = 20_000
"""More changed quotes than this are cheaper to read with all the others."""
_SMALL: Final = 50_000
"""Rows up to which writing the file takes no time that anyone notices."""
_UNREADABLE: Final = (OSError, KeyError, ValueError, TypeError, pa.ArrowException)

_WORD: Final = pa.dictionary(pa.int32(), pa.string())
SCHEMA: Final = pa.schema(
    [
        pa.field("sequence", pa.int64(), nullable=False),
        pa.field("number", pa.string(), nullable=False),
        pa.field("revision", pa.int32(), nullable=False),
        pa.field("issued_on", pa.date32(), nullable=False),
        pa.field("issued_by", _WORD),
        pa.field("rate_sheet_version", pa.int32(), nullable=False),
        *(pa.field(name, _WORD) for name in ("verdict", "finding", "remedy", "fuel", "family")),
        pa.field("heater_age_months", pa.int32()),
        *(pa.field(name, _WORD) for name in ("part_number", "replace_slug")),
        *(pa.field(f"{name}_cents", pa.int64()) for name in MONEY[:-2]),
        pa.field("answered_on", pa.date32()),
        pa.field("chosen_path", _WORD),
        *(pa.field(f"{name}_cents", pa.int64()) for name in MONEY[-2:]),
        pa.field("valid_until", pa.date32(), nullable=False),
    ]
)
"""The facts as columns, in the order of the ledger's table: money in whole cents, days as days,
words as codes."""
SUPERSEDED: Final = pa.field("superseded", pa.bool_(), nullable=False)


def book_table(shop: Shop, columns: Sequence[str] | None = None) -> pa.Table:
    """Return the facts of every revision of every quote, up to now.

    Parameters
    ----------
    shop
        The shop.
    columns
        Which columns; all unless given. Fewer are read sooner.

    Returns
    -------
    A table of `SCHEMA` with `superseded` beside (a later revision took its place), in the
    order of issue.

    Raises
    ------
    LedgerTrouble
        If the ledger cannot be read, or holds a fact that cannot be.
    """
    path = shop.folder / FOLDER / FILE
    head = shop.ledger.journal.head()
    known = _known(path)
    if known is not None:
        found = _from_file(shop.ledger, path, known, head, columns)
        if found is not None:
            return found
    table = with_superseded(_parsed(shop.ledger))
    _write(path, table, head)
    return table if columns is None else table.select(columns)


def _from_file(
    ledger: Ledger,
    path: Path,
    known: JournalHead,
    head: JournalHead,
    columns: Sequence[str] | None,
) -> pa.Table | None:
    """Return the table by the file and what changed since; ``None`` where all must be read."""
    if known == head:
        return _read(path, columns)
    if known.sequence > head.sequence or not _same_ledger(ledger, known):
        return None
    changed = ledger.facts.changed(known.sequence, head.sequence)
    if len(changed) > _MOST_CHANGED:
        return None
    if not changed:
        return _read(path, columns)
    renewing = len(changed) > _MOST_LAID_OVER or _rows_in(path) <= _SMALL
    wanted = None if columns is None or renewing else [*dict.fromkeys(("sequence", *columns))]
    kept = _read(path, wanted)
    if kept is None:
        return None
    over = with_superseded(_parsed(ledger, changed))
    table = _laid_over(kept, over.select(kept.column_names))
    if renewing:
        _write(path, table, head)
    return table if columns is None else table.select(columns)


def _laid_over(kept: pa.Table, over: pa.Table) -> pa.Table:
    """Put rows in the place of those of the same sequence, and new ones at the end."""
    at = kept["sequence"].to_numpy()
    changed = over["sequence"].to_numpy()
    both = pa.concat_tables([kept, over]).unify_dictionaries()
    if len(at) == 0 or changed[0] > at[-1]:
        return both.combine_chunks()
    place = np.searchsorted(at, changed)
    known = (place < len(at)) & (at[np.minimum(place, len(at) - 1)] == changed)
    rows = np.arange(len(at) + np.count_nonzero(~known))
    rows[len(at) :] = len(at) + np.flatnonzero(~known)
    rows[place[known]] = len(at) + np.flatnonzero(known)
    return both.take(rows).combine_chunks()


def _parsed(ledger: Ledger, sequences: Sequence[int] | None = None) -> pa.Table:
    """Read facts out of the ledger: all, or those of some quotes."""
    reading = pa_csv.ReadOptions(column_names=SCHEMA.names, block_size=1 << 24)
    lines = pa_csv.ParseOptions(quote_char="'", newlines_in_values=True)
    types = pa_csv.ConvertOptions(
        column_types={field.name: field.type for field in SCHEMA},
        null_values=["", "NULL"],
        strings_can_be_null=True,
        quoted_strings_can_be_null=False,
    )
    parts = []
    for text in ledger.facts.as_csv(sequences=sequences):
        try:
            parts.append(pa_csv.read_csv(pa.BufferReader(text), reading, lines, types))
        except pa.ArrowException as refused:
            raise LedgerTrouble(
                f"The facts of the books cannot be read ({str(refused).splitlines()[0]})",
                ledger.where,
                "Run the ledger's check; it says which quote's facts were changed.",
            ) from None
    tables = [SCHEMA.empty_table(), *(part.cast(SCHEMA) for part in parts)]
    return pa.concat_tables(tables).unify_dictionaries().combine_chunks()


def with_superseded(facts: pa.Table) -> pa.Table:
    """Return facts with what follows from them all: whether a later revision is there.

    Parameters
    ----------
    facts
        A table of `SCHEMA`, with every revision of each of its quotes.
    """
    return facts.append_column(SUPERSEDED, pa.array(_superseded(facts)))


def _superseded(facts: pa.Table) -> np.ndarray[Any, np.dtype[np.bool_]]:
    """Say of each row whether a later revision of its number is there."""
    found = np.zeros(facts.num_rows, np.bool_)
    again = facts.filter(pc.greater(facts["revision"], 1))["number"].unique()
    if not len(again):
        return found
    at = np.flatnonzero(pc.is_in(facts["number"], value_set=again).to_numpy())
    rows = facts.select(["number", "revision"]).take(at)
    last: dict[str, int] = {}
    pairs = list(zip(rows["number"].to_pylist(), rows["revision"].to_pylist(), strict=True))
    for number, revision in pairs:
        last[number] = max(revision, last.get(number, 0))
    found[at] = [revision < last[number] for number, revision in pairs]
    return found


def _same_ledger(ledger: Ledger, known: JournalHead) -> bool:
    line = ledger.journal.lines(1, before=known.sequence + 1)
    return known == (JournalHead(line[0].sequence, line[0].hash) if line else JournalHead(0, ""))


def _known(path: Path) -> JournalHead | None:
    """Return up to which line of the journal the file tells; ``None`` if it is of no use."""
    try:
        schema = pq.read_schema(path)
        said = json.loads((schema.metadata or {})[_META])
        if said["form"] != FORM or schema.names != [*SCHEMA.names, SUPERSEDED.name]:
            return None
        return JournalHead(said["sequence"], said["hash"])
    except _UNREADABLE:
        return None


def _rows_in(path: Path) -> int:
    try:
        return int(pq.read_metadata(path).num_rows)
    except _UNREADABLE:
        return 0


def _read(path: Path, columns: Sequence[str] | None = None) -> pa.Table | None:
    try:
        return pq.read_table(path, columns=None if columns is None else list(columns))
    except _UNREADABLE:
        return None


def _write(path: Path, table: pa.Table, head: JournalHead) -> None:
    """Keep the table for the next time; where it cannot be written, nothing is lost."""
    said = {"form": FORM, "sequence": head.sequence, "hash": head.hash}
    marked = table.replace_schema_metadata({_META: json.dumps(said).encode()})
    beside = path.with_name(f".{secrets.token_hex(4)}.tmp")
    with contextlib.suppress(OSError):
        path.parent.mkdir(mode=0o700, exist_ok=True)
        try:
            # Costs and margins stand in it: for this user alone, as a backup is.
            os.close(os.open(beside, os.O_CREAT | os.O_EXCL | os.O_WRONLY, 0o600))
            pq.write_table(marked, beside, compression="zstd", row_group_size=1_000_000)
            beside.replace(path)
        finally:
            beside.unlink(missing_ok=True)
