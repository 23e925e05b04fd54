"""Drafts: visits under way, saved from the first field on."""

from __future__ import annotations

import json
import re
import secrets
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime
from typing import TYPE_CHECKING, Any

from sqlalchemy import delete, insert, select, text

from app.ledger import journal
from app.ledger.canonical import canonical_json, refuse_unstorable
from app.ledger.columns import Row, moment_text
from app.ledger.photos import remove_with_draft
from app.ledger.records import Content, Draft
from app.ledger.tables import drafts
from estimator.errors import LedgerTrouble

if TYPE_CHECKING:
    from sqlalchemy import Connection

    from app.ledger.database import Database


@dataclass(frozen=True)
class Noted:
    """A line that the journal takes with a change of a draft; `detail` holds no free text."""

    action: str
    detail: Mapping[str, Any]


Watch = Callable[[Mapping[str, Any] | None, Mapping[str, Any]], Sequence[Noted]]
"""Given a draft as it was (``None`` for a new one) and as it will be: what is to be noted."""

# What `secrets.token_urlsafe(24)` gives; a short id in an address could be guessed.
_DRAFT_ID = re.compile(r"[A-Za-z0-9_-]{22,64}")

_SAVE = text(
    "INSERT INTO drafts (draft_id, person, step, payload_json, made_at, saved_at)"
    " VALUES (:draft_id, :person, :step, :payload_json, :at, :at)"
    " ON CONFLICT (draft_id) DO UPDATE SET person = excluded.person, step = excluded.step,"
    " payload_json = excluded.payload_json, saved_at = excluded.saved_at"
)


class Drafts:
    """The drafts of an open ledger.

    Parameters
    ----------
    database
        The open database.
    """

    def __init__(self, database: Database) -> None:
        self._database = database

    def start(
        self,
        person: str,
        payload: Content,
        at: datetime,
        *,
        step: str = "",
        watch: Watch | None = None,
    ) -> Draft:
        """Start a draft under an id that cannot be guessed.

        Parameters
        ----------
        person
            Whose draft it is.
        payload
            What is known so far, text keys to plain values.
        at
            The time, with its zone.
        step
            The step of the visit.
        watch
            Says what the journal is to hold of it, in the same transaction.

        Returns
        -------
        The draft as it was kept.
        """
        draft_id = secrets.token_urlsafe(24)
        moment = moment_text(at)
        values = _checked(person, step, payload)
        row = {"draft_id": draft_id, **values, "made_at": moment, "saved_at": moment}
        with self._database.writing() as connection:
            connection.execute(insert(drafts).values(**row))
            if watch is not None:
                _note(
                    connection, at, person, draft_id, watch(None, json.loads(row["payload_json"]))
                )
            return _draft_of(row)

    def save(
        self,
        draft_id: str,
        person: str,
        step: str,
        payload: Content,
        at: datetime,
        *,
        watch: Watch | None = None,
        by: str = "",
    ) -> Draft:
        """Keep a draft as it now stands, in place of what was kept before.

        Parameters
        ----------
        draft_id
            The id that `start` gave. A draft that was discarded meanwhile is kept
            again rather than what was typed be lost.
        person
            Whose draft it is now.
        step
            The step of the visit.
        payload
            All that was typed so far, text keys to plain values.
        at
            The time, with its zone.
        watch
            Given the draft as it was and as it will be, says what the journal is to hold of
            the change, in the same transaction.
        by
            Who typed, as the journal names it; whose draft it is when empty.

        Returns
        -------
        The draft as it was kept.
        """
        if not _DRAFT_ID.fullmatch(draft_id):
            raise LedgerTrouble(
                "There is a draft id that this program never gave",
                "the page's address",
                "Start the visit anew.",
            )
        values = _checked(person, step, payload)
        with self._database.writing() as connection:
            before = None if watch is None else _held(connection, draft_id)
            connection.execute(_SAVE, {"draft_id": draft_id, **values, "at": moment_text(at)})
            if watch is not None:
                _note(
                    connection,
                    at,
                    by or person,
                    draft_id,
                    watch(before, json.loads(values["payload_json"])),
                )
            saved = find(connection, draft_id)
            assert saved is not None, "written above, in this same transaction"
            return saved

    def of(self, draft_id: str) -> Draft | None:
        """Return a draft, or ``None`` when there is none under this id (any more).

        Parameters
        ----------
        draft_id
            The id that `start` gave.
        """
        with self._database.reading() as connection:
            return find(connection, draft_id)

    def every(self, person: str | None = None) -> tuple[Draft, ...]:
        """Return the drafts, the last saved first.

        Parameters
        ----------
        person
            Whose; all when ``None``.
        """
        with self._database.reading() as connection:
            return every(connection, person)

    def discard(self, draft_id: str) -> None:
        """Take a draft away; one that is not there is no error.

        Parameters
        ----------
        draft_id
            The id that `start` gave.
        """
        with self._database.writing() as connection:
            draft = find(connection, draft_id)
            discard(connection, draft_id)
            if draft is not None:
                now = datetime.now(UTC)
                remove_with_draft(connection, draft_id, draft.person, now)


def find(connection: Connection, draft_id: str) -> Draft | None:
    """Return a draft, or ``None`` when there is none under this id."""
    found = connection.execute(select(drafts).where(drafts.c.draft_id == draft_id)).mappings()
    row = found.one_or_none()
    return None if row is None else _draft_of(row)


def every(connection: Connection, person: str | None) -> tuple[Draft, ...]:
    """Return the drafts, of one person or of all, the last saved first."""
    query = select(drafts).order_by(drafts.c.saved_at.desc(), drafts.c.draft_id)
    if person is not None:
        query = query.where(drafts.c.person == person)
    return tuple(_draft_of(row) for row in connection.execute(query).mappings())


def discard(connection: Connection, draft_id: str) -> None:
    """Take a draft away; one that is not there is no error."""
    connection.execute(delete(drafts).where(drafts.c.draft_id == draft_id))


def _held(connection: Connection, draft_id: str) -> Mapping[str, Any] | None:
    """Return a draft's content as the last word: another who saves it waits (PostgreSQL)."""
    query = select(drafts.c.payload_json).where(drafts.c.draft_id == draft_id)
    kept = connection.scalar(query.with_for_update())
    content: Mapping[str, Any] | None = None if kept is None else json.loads(kept)
    return content


def _note(
    connection: Connection, at: datetime, by: str, draft_id: str, noted: Sequence[Noted]
) -> None:
    for each in noted:
        journal.append(connection, at, by, each.action, draft_id, each.detail)


def _checked(person: str, step: str, payload: Content) -> dict[str, str]:
    refuse_unstorable(person, "the person's name")
    refuse_unstorable(step, "the step's name")
    return {"person": person, "step": step, "payload_json": canonical_json(payload)}


def _draft_of(row: Row) -> Draft:
    return Draft(
        draft_id=row["draft_id"],
        person=row["person"],
        step=row["step"],
        payload=json.loads(row["payload_json"]),
        made_at=datetime.fromisoformat(row["made_at"]),
        saved_at=datetime.fromisoformat(row["saved_at"]),
    )
