"""The journal's own check, and the check of every row that the journal seals."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Iterator
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from sqlalchemy import select

from app.ledger import counters, journal, seals
from app.ledger.columns import Row
from app.ledger.records import JournalHead, Problem
from app.ledger.tables import photos

if TYPE_CHECKING:
    from sqlalchemy import Connection

    from app.ledger.database import Database


@dataclass
class JournalWalk:
    """Where the walk through the journal stands, and the last seal of each row."""

    anchor: JournalHead | None = None
    sequence: int = 0
    hash: str = ""
    count: int = 0
    seals: dict[str, str | None] = field(default_factory=dict)
    quotes: dict[tuple[str, int], str] = field(default_factory=dict)

    def walk(self, database: Database) -> list[Problem]:
        """Walk every line and hold every sealed row against its seal, at one state."""
        with database.reading() as connection:
            problems = list(self._lines(connection))
            problems += self._rows(connection)
        return problems

    def catch_up(self, database: Database) -> None:
        """Take in what was written since, for rows that changed during the check."""
        with database.reading() as connection:
            for _ in self._lines(connection):
                pass

    def _lines(self, connection: Connection) -> Iterator[Problem]:
        for row in journal.every_row(connection, self.sequence):
            yield from self._one(row)
        written = counters.last_value(connection, counters.JOURNAL)
        if written != self.sequence:
            yield Problem(
                f"{written} lines were written into the journal and the last one there is"
                f" number {self.sequence} of them"
            )
        if self.anchor is not None and self.anchor.sequence > self.sequence:
            yield Problem(
                f"The journal ends at line {self.sequence}; the anchor is of line"
                f" {self.anchor.sequence}"
            )

    def _one(self, row: Row) -> Iterator[Problem]:
        sequence = row["sequence"]
        gap = sequence - self.sequence - 1
        if gap:
            lines = "line was" if gap == 1 else "lines were"
            yield Problem(f"{gap} {lines} taken out of the journal before line {sequence}")
        elif row["previous_hash"] != self.hash:
            yield Problem(
                f"Line {sequence} of the journal does not follow the one before it; one of the"
                " two was changed"
            )
        if journal.line_hash(row) != row["hash"]:
            yield Problem(f"Line {sequence} of the journal was changed after it was written")
        anchored = self.anchor is not None and self.anchor.sequence == sequence
        if anchored and self.anchor is not None and self.anchor.hash != row["hash"]:
            yield Problem(
                f"Line {sequence} of the journal is not the one that the anchor was taken of;"
                " the journal was written anew"
            )
        self.sequence, self.hash, self.count = sequence, row["hash"], self.count + 1
        yield from self._take_in(row)

    def _take_in(self, row: Row) -> Iterator[Problem]:
        try:
            detail = json.loads(row["detail_json"])
            self.seals.update(detail.get("seals", {}))
            if row["action"] == "issue":
                self.quotes[row["subject"], int(detail["revision"])] = str(detail["hash"])
        except (ValueError, KeyError, TypeError, AttributeError):
            yield Problem(f"Line {row['sequence']} of the journal cannot be read")

    def _rows(self, connection: Connection) -> Iterator[Problem]:
        expected = {key for key, seal in self.seals.items() if seal is not None}
        for table in seals.SEALED.values():
            columns = [table.c[name] for name in seals.sealed_columns(table)]
            for row in connection.execute(select(*columns)).mappings():
                key = seals.key_of(table, row)
                expected.discard(key)
                kept = self.seals.get(key)
                if kept is None:
                    yield Problem(f"The entry {key} is there and the journal knows nothing of it")
                elif kept != seals.seal_of(table, row):
                    yield Problem(f"The entry {key} was changed past the journal")
        yield from _photo_bytes(connection)
        for key in sorted(expected):
            if not key.startswith("erased "):
                yield Problem(f"The entry {key} was taken away past the journal")


def _photo_bytes(connection: Connection) -> Iterator[Problem]:
    columns = (photos.c.photo_id, photos.c.content_hash, photos.c.jpeg)
    query = select(*columns).execution_options(yield_per=20)
    for row in connection.execute(query).mappings():
        # SQLite takes text where bytes belong, from whoever writes past the program.
        kept = row["jpeg"].encode() if isinstance(row["jpeg"], str) else row["jpeg"]
        if hashlib.sha256(kept).hexdigest() != row["content_hash"]:
            yield Problem(f"The picture of photo {row['photo_id']} was changed after it was taken")
