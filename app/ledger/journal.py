"""The journal: who did what and when, append-only and chained by hashes.

A line is written in the transaction of the action that it tells of. It holds no word that a
person typed freely and nothing that names a customer: such content stays in its own table,
and the line holds a salted seal of that row (see `seals`). So the row can be emptied on a
customer's request, and the chain still holds.
"""

from __future__ import annotations

import json
from collections.abc import Iterator, Mapping
from datetime import datetime
from typing import TYPE_CHECKING, Any

from sqlalchemy import func, insert, select

from app.ledger import counters
from app.ledger.canonical import canonical_json, digest, refuse_unstorable
from app.ledger.columns import Row, moment_text
from app.ledger.records import JournalHead, JournalLine
from app.ledger.tables import journal

if TYPE_CHECKING:
    from sqlalchemy import Connection

    from app.ledger.database import Database

_HASHED = (
    "sequence",
    "done_at",
    "person",
    "action",
    "subject",
    "detail_json",
    "previous_hash",
)


class Journal:
    """The journal of an open ledger.

    Parameters
    ----------
    database
        The open database.
    """

    def __init__(self, database: Database) -> None:
        self._database = database

    def note(
        self,
        at: datetime,
        person: str,
        action: str,
        subject: str = "",
        detail: Mapping[str, Any] | None = None,
    ) -> JournalLine:
        """Write one line that belongs to no other change of the ledger.

        Parameters
        ----------
        at
            The time, with its zone.
        person
            Who did it.
        action
            What was done, such as ``refused``.
        subject
            To what: a quote's number, a person's name, an id.
        detail
            Plain values; nothing that names a customer.

        Returns
        -------
        The line as it was kept.
        """
        with self._database.writing() as connection:
            return append(connection, at, person, action, subject, detail)

    def lines(
        self,
        limit: int = 100,
        *,
        before: int | None = None,
        action: str | None = None,
        subject: str | None = None,
    ) -> tuple[JournalLine, ...]:
        """Return lines, the last written first.

        Parameters
        ----------
        limit
            How many at most.
        before
            Only lines before this sequence; the last one of a page gives the next page.
        action, subject
            Only lines of this action, of this subject.
        """
        query = select(journal).order_by(journal.c.sequence.desc()).limit(max(limit, 0))
        if before is not None:
            query = query.where(journal.c.sequence < before)
        if action is not None:
            query = query.where(journal.c.action == action)
        if subject is not None:
            query = query.where(journal.c.subject == subject)
        with self._database.reading() as connection:
            return tuple(line_of(row) for row in connection.execute(query).mappings())

    def head(self) -> JournalHead:
        """Return the place and the hash of the last line, to be kept outside of the ledger."""
        with self._database.reading() as connection:
            return head(connection)


def append(
    connection: Connection,
    at: datetime,
    person: str,
    action: str,
    subject: str = "",
    detail: Mapping[str, Any] | None = None,
    seals: Mapping[str, str | None] | None = None,
) -> JournalLine:
    """Write one line inside the caller's transaction; the last thing that it does.

    `seals` gives, for each row that this action wrote or took away, its key and its seal, or
    ``None`` for a row that is no more.
    """
    for text in (person, action, subject):
        refuse_unstorable(text, "what the journal was to hold")
    content = dict(detail or {})
    if seals:
        content["seals"] = dict(seals)
    sequence = counters.next_value(connection, counters.JOURNAL)
    before = select(journal.c.hash).where(journal.c.sequence == sequence - 1)
    row = {
        "sequence": sequence,
        "done_at": moment_text(at),
        "person": person,
        "action": action,
        "subject": subject,
        "detail_json": canonical_json(content),
        "previous_hash": connection.scalar(before) or "",
    }
    row["hash"] = line_hash(row)
    connection.execute(insert(journal).values(**row))
    return line_of(row)


def head(connection: Connection) -> JournalHead:
    """Return the last line's place and hash; zero and nothing where there is none."""
    query = select(journal.c.sequence, journal.c.hash).order_by(journal.c.sequence.desc())
    row = connection.execute(query.limit(1)).one_or_none()
    return JournalHead(0, "") if row is None else JournalHead(row.sequence, row.hash)


def last_at(connection: Connection) -> datetime | None:
    """Return the latest moment of any line, or ``None`` where there is none."""
    found = connection.scalar(select(func.max(journal.c.done_at)))
    return None if found is None else datetime.fromisoformat(found)


def rows_after(connection: Connection, after: int, limit: int) -> list[Row]:
    """Return the next rows after a sequence, the first one first."""
    query = select(journal).where(journal.c.sequence > after).order_by(journal.c.sequence)
    return list(connection.execute(query.limit(limit)).mappings())


def every_row(connection: Connection, after: int, chunk: int = 1000) -> Iterator[Row]:
    """Yield every row after a sequence, a chunk at a time."""
    while rows := rows_after(connection, after, chunk):
        yield from rows
        after = rows[-1]["sequence"]


def line_hash(row: Row) -> str:
    """Return the hash over a row's content and, through it, over all lines before."""
    return digest(canonical_json({column: row[column] for column in _HASHED}))


def line_of(row: Row) -> JournalLine:
    """Read a row back."""
    detail = json.loads(row["detail_json"])
    seals = detail.pop("seals", {})
    return JournalLine(
        sequence=row["sequence"],
        done_at=datetime.fromisoformat(row["done_at"]),
        person=row["person"],
        action=row["action"],
        subject=row["subject"],
        detail=detail,
        seals=seals,
        hash=row["hash"],
    )
