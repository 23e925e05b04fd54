"""Photos of a visit: small JPEG files beside the draft that they were taken for."""

from __future__ import annotations

import hashlib
import secrets
from datetime import datetime
from typing import TYPE_CHECKING, Any

from sqlalchemy import delete, func, insert, select

from app.ledger import counters, journal, seals
from app.ledger.canonical import refuse_unstorable
from app.ledger.columns import Row, moment_text
from app.ledger.entries import Photo
from app.ledger.tables import photos, quotes
from estimator.errors import LedgerTrouble

if TYPE_CHECKING:
    from sqlalchemy import Connection

    from app.ledger.database import Database

MOST_OF_A_VISIT = 8
LARGEST_BYTES = 400_000

_SHOWN = [column for column in photos.columns if column.name not in {"jpeg", "salt"}]


class Photos:
    """The photos of an open ledger.

    Parameters
    ----------
    database
        The open database.
    """

    def __init__(self, database: Database) -> None:
        self._database = database

    def attach(
        self,
        draft_id: str,
        kind: str,
        jpeg: bytes,
        size_px: tuple[int, int],
        by: str,
        at: datetime,
    ) -> Photo:
        """Keep a photo of a visit; the same bytes twice are kept once.

        Parameters
        ----------
        draft_id
            The draft of the visit.
        kind
            What it shows.
        jpeg
            The file, made small and without metadata by the caller.
        size_px
            Width and height [pixels].
        by, at
            Who took it, and when, with the zone.

        Raises
        ------
        LedgerTrouble
            If the file is too large, or the visit has as many as it may.
        """
        refuse_unstorable(kind, "the photo")
        if len(jpeg) > LARGEST_BYTES:
            raise LedgerTrouble(
                f"The photo is {len(jpeg):,} bytes; at most {LARGEST_BYTES:,} are kept", ""
            )
        content_hash = hashlib.sha256(jpeg).hexdigest()
        with self._database.writing() as connection:
            counters.hold(connection, counters.JOURNAL)
            there = _of_draft(connection, draft_id)
            same = next((row for row in there if row["content_hash"] == content_hash), None)
            if same is not None:
                return photo_of(same)
            if len(there) >= MOST_OF_A_VISIT:
                raise LedgerTrouble(
                    f"This visit has {len(there)} photos; more are not kept",
                    "",
                    "Take one away first.",
                )
            row = {
                "photo_id": secrets.token_urlsafe(18),
                "draft_id": draft_id,
                "kind": kind,
                "taken_by": by,
                "taken_at": moment_text(at),
                "width_px": size_px[0],
                "height_px": size_px[1],
                "content_hash": content_hash,
                "jpeg": jpeg,
                "salt": seals.new_salt(),
            }
            connection.execute(insert(photos).values(**row))
            sealed = seals.sealed(photos, row)
            journal.append(connection, at, by, "attach photo", "", {}, sealed)
            return photo_of(row)

    def of_visit(self, draft_id: str) -> tuple[Photo, ...]:
        """Return the photos of a visit, also once its quote is issued, the first one first."""
        with self._database.reading() as connection:
            return tuple(photo_of(row) for row in _of_draft(connection, draft_id))

    def jpeg(self, photo_id: str) -> bytes:
        """Return the bytes of a photo.

        Raises
        ------
        LedgerTrouble
            If there is no such photo.
        """
        with self._database.reading() as connection:
            found = connection.scalar(select(photos.c.jpeg).where(photos.c.photo_id == photo_id))
        if found is None:
            raise LedgerTrouble("There is no such photo (any more)", "")
        return bytes(found)

    def remove(self, photo_id: str, by: str, at: datetime) -> None:
        """Take a photo of a visit under way away.

        Raises
        ------
        LedgerTrouble
            If the visit's quote was issued: what it rests on stays.
        """
        with self._database.writing() as connection:
            counters.hold(connection, counters.JOURNAL)
            query = select(photos.c.draft_id).where(photos.c.photo_id == photo_id)
            draft_id = connection.scalar(query)
            if draft_id is not None and _was_issued(connection, draft_id):
                raise LedgerTrouble(
                    "The quote of this visit is issued and its photos stay with it",
                    "",
                )
            remove(connection, photos.c.photo_id == photo_id, by, at)


def remove(connection: Connection, condition: Any, by: str, at: datetime) -> int:
    """Take photos away inside the caller's transaction; return how many there were."""
    rows = list(connection.execute(select(photos.c.photo_id).where(condition)).mappings())
    if rows:
        gone: dict[str, str | None] = {seals.key_of(photos, row): None for row in rows}
        connection.execute(delete(photos).where(condition))
        journal.append(connection, at, by, "remove photos", "", {"photos": len(rows)}, gone)
    return len(rows)


def remove_with_draft(connection: Connection, draft_id: str, by: str, at: datetime) -> None:
    """Take the photos of a discarded draft away, unless its quote was issued."""
    if not _was_issued(connection, draft_id):
        remove(connection, photos.c.draft_id == draft_id, by, at)


def photo_of(row: Row) -> Photo:
    """Read a row back, without its bytes."""
    values = {name: row[name] for name in Photo.__dataclass_fields__}
    return Photo(**values | {"taken_at": datetime.fromisoformat(row["taken_at"])})


def _of_draft(connection: Connection, draft_id: str) -> list[Row]:
    query = select(*_SHOWN).where(photos.c.draft_id == draft_id).order_by(photos.c.taken_at)
    return list(connection.execute(query).mappings())


def _was_issued(connection: Connection, draft_id: str) -> bool:
    query = select(func.count()).select_from(quotes).where(quotes.c.draft_id == draft_id)
    return bool(connection.scalar(query))
