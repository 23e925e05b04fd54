"""The books' columns: the facts of every quote as one Arrow table, kept ready beside the ledger.

Reading a million rows out of a database takes many seconds, and counting them a fraction of
one. So the table is kept as a Parquet file in the shop's folder and brought forward from the
ledger: by the journal it is known what was issued and answered since. It is a copy and
nothing rests on it; a file that is missing, damaged or of another ledger is made anew.
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
import pyarrow.parquet as pq

from app.ledger.columns import cents
from app.ledger.records import JournalHead

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping, Sequence
    from pathlib import Path

    from app.ledger.entries import QuoteFacts
    from app.ledger.ledger import Ledger
    from app.shop import Shop

FOLDER: Final = "books"
FILE: Final = "facts.parquet"
FORM: Final = "1"
"""Changes whenever the columns do; a file of another form is made anew."""
_META: Final = b"heater_books"
_CHUNK: Final = 20_000
_MOST_ANSWERS: Final = 2_000
"""More answers than this since the file was written are cheaper to read with everything."""
_MOST_LINES: Final = 100_000
_UNREADABLE: Final = (OSError, KeyError, ValueError, TypeError, pa.ArrowException)

_WORD: Final = pa.dictionary(pa.int32(), pa.string())
MONEY: Final = (
    "repair_price",
    "replace_price",
    "repair_cost",
    "repair_revenue",
    "replace_cost",
    "replace_revenue",
    "cost",
    "revenue",
)
SCHEMA: Final = pa.schema(
    [
        pa.field("sequence", pa.int64(), nullable=False),
        pa.field("number", pa.string(), nullable=False),
        pa.field("revision", pa.int32(), nullable=False),
        pa.field("issued_on", pa.date32(), nullable=False),
        *(pa.field(name, _WORD) for name in ("issued_by", "verdict", "finding", "remedy")),
        *(pa.field(name, _WORD) for name in ("fuel", "family", "part_number", "replace_slug")),
        pa.field("rate_sheet_version", pa.int32(), nullable=False),
        pa.field("heater_age_months", pa.int32()),
        *(pa.field(f"{name}_cents", pa.int64()) for name in MONEY),
        pa.field("answered_on", pa.date32()),
        pa.field("chosen_path", _WORD),
    ]
)
"""The facts as columns: money in whole cents, days as days, words as codes."""
DERIVED: Final = (
    pa.field("superseded", pa.bool_(), nullable=False),
    pa.field("valid_until", pa.date32(), nullable=False),
)


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
    A table of `SCHEMA` with `superseded` (a later revision took its place) and `valid_until`
    beside, in the order of issue.

    Notes
    -----
    The validity date is the day of issue in UTC plus the days of the rate sheet: for a quote
    issued near midnight it may be a day off the one printed on it.
    """
    path = shop.folder / FOLDER / FILE
    head = shop.ledger.journal.head()
    known = _known(path)
    if known == head:
        kept = _read(path, columns)
        if kept is not None:
            return kept
    kept = None if known is None else _read(path)
    facts = (
        None if kept is None or known is None else _brought_forward(shop.ledger, kept, known, head)
    )
    if facts is None:
        facts = table_of(shop.ledger.facts.columns())
    valid_days = {it.version: it.sheet.quote.valid_days for it in shop.ledger.rate_sheets()}
    table = with_derived(facts, valid_days)
    _write(path, table, head)
    return table if columns is None else table.select(columns)


def table_of(columns: Mapping[str, Sequence[Any]]) -> pa.Table:
    """Make a table of facts as the ledger gives them.

    Parameters
    ----------
    columns
        Column → values as stored: money in whole cents, days as ISO text.

    Returns
    -------
    A table of `SCHEMA`.
    """
    arrays = []
    for field in SCHEMA:
        values = columns[field.name]
        if pa.types.is_dictionary(field.type):
            arrays.append(pa.array(values, pa.string()).dictionary_encode())
        elif pa.types.is_date(field.type):
            arrays.append(pa.array(values, pa.string()).cast(field.type))
        else:
            arrays.append(pa.array(values, field.type))
    return pa.table(arrays, schema=SCHEMA)


def with_derived(facts: pa.Table, valid_days: Mapping[int, int]) -> pa.Table:
    """Add what follows from the facts: whether a later revision is there, and the validity.

    Parameters
    ----------
    facts
        A table of `SCHEMA`.
    valid_days
        Version of the rate sheet → days for which its quotes hold.

    Returns
    -------
    The table with the columns of `DERIVED`.
    """
    days = np.zeros(max(valid_days, default=0) + 1, np.int32)
    for version, count in valid_days.items():
        days[version] = count
    issued = facts["issued_on"].cast(pa.int32()).to_numpy()
    until = issued + days[facts["rate_sheet_version"].to_numpy()]
    table = facts.append_column(DERIVED[0], pa.array(_superseded(facts)))
    return table.append_column(DERIVED[1], pa.array(until, pa.int32()).cast(pa.date32()))


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


def _brought_forward(
    ledger: Ledger, table: pa.Table, known: JournalHead, head: JournalHead
) -> pa.Table | None:
    """Add what was issued and answered since; ``None`` where reading all is better."""
    count = head.sequence - known.sequence
    if count < 0 or count > _MOST_LINES or not _same_ledger(ledger, known):
        return None
    lines = ledger.journal.lines(count, before=head.sequence + 1)
    answered = {line.subject for line in lines if line.action in ("accept", "decline")}
    if len(answered) > _MOST_ANSWERS:
        return None
    facts = table.select(SCHEMA.names)
    last = pc.max(facts["sequence"]).as_py() or 0
    if answered:
        of_these = pc.is_in(facts["number"], value_set=pa.array(sorted(answered)))
        stale = facts.filter(of_these)["sequence"].to_pylist()
        renewed = [each for at in stale for each in ledger.facts.after(at - 1, 1)]
        facts = pa.concat_tables([facts.filter(pc.invert(of_these)), _of_facts(renewed)])
    while new := ledger.facts.after(last, _CHUNK):
        facts = pa.concat_tables([facts, _of_facts(new)])
        last = new[-1].sequence
    return facts.unify_dictionaries().sort_by("sequence").combine_chunks()


def _same_ledger(ledger: Ledger, known: JournalHead) -> bool:
    line = ledger.journal.lines(1, before=known.sequence + 1)
    return known == (JournalHead(line[0].sequence, line[0].hash) if line else JournalHead(0, ""))


def _of_facts(facts: Iterable[QuoteFacts]) -> pa.Table:
    rows = list(facts)
    columns: dict[str, list[Any]] = {}
    for field in SCHEMA:
        money = field.name.removesuffix("_cents")
        if money in MONEY:
            columns[field.name] = [cents(getattr(row, money)) for row in rows]
            continue
        values = [getattr(row, field.name) for row in rows]
        day = pa.types.is_date(field.type)
        columns[field.name] = [it and it.isoformat() for it in values] if day else values
    return table_of(columns)


def _known(path: Path) -> JournalHead | None:
    """Return up to which line of the journal the file tells; ``None`` if it is of no use."""
    try:
        schema = pq.read_schema(path)
        said = json.loads((schema.metadata or {})[_META])
        names = [*SCHEMA.names, *(field.name for field in DERIVED)]
        if said["form"] != FORM or schema.names != names:
            return None
        return JournalHead(said["sequence"], said["hash"])
    except _UNREADABLE:
        return None


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
