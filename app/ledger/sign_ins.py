"""Signing in: the tries that failed, and the sessions of those who got in."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import datetime, timedelta
from typing import TYPE_CHECKING

from sqlalchemy import delete, insert, select, text, update

from app.ledger import journal
from app.ledger.canonical import digest
from app.ledger.columns import moment_text
from app.ledger.entries import Session
from app.ledger.person_rows import folded, person_of, standing
from app.ledger.tables import people, sessions, sign_in_failures

if TYPE_CHECKING:
    from sqlalchemy import Connection

    from app.ledger.database import Database

_COUNT_FAILURE = text(
    "INSERT INTO sign_in_failures (name_key, failures, last_at, locked_until)"
    " VALUES (:name_key, 1, :at, '')"
    " ON CONFLICT (name_key) DO UPDATE SET failures = sign_in_failures.failures + 1,"
    " last_at = excluded.last_at RETURNING failures"
)
_FORGET_AFTER = timedelta(days=1)


class SignIns:
    """Tries to sign in, and sessions, of an open ledger.

    Parameters
    ----------
    database
        The open database.
    """

    def __init__(self, database: Database) -> None:
        self._database = database

    def count_try(self, name: str, at: datetime, device: str = "") -> tuple[int, datetime | None]:
        """Count a try to sign in before the password is looked at.

        Parameters
        ----------
        name
            The name that was typed; it need not be anybody's.
        at
            The time, with its zone.
        device
            The browser whose tries are counted apart; empty for all others together.

        Returns
        -------
        How many tries in a row there were with this one, and until when the name is locked;
        a try under a lock is not counted.
        """
        key = _try_key(name, device)
        moment = moment_text(at)
        with self._database.writing() as connection:
            old = moment_text(at - _FORGET_AFTER)
            connection.execute(
                delete(sign_in_failures).where(
                    sign_in_failures.c.last_at < old, sign_in_failures.c.locked_until < moment
                )
            )
            query = select(sign_in_failures).where(sign_in_failures.c.name_key == key)
            row = connection.execute(query).mappings().one_or_none()
            if row is not None and row["locked_until"] > moment:
                return row["failures"], datetime.fromisoformat(row["locked_until"])
            counted = connection.execute(_COUNT_FAILURE, {"name_key": key, "at": moment})
            return int(counted.scalar_one()), None

    def fail_try(self, name: str, until: datetime | None, at: datetime, device: str = "") -> None:
        """Note that a try failed, and lock the name until a moment.

        Parameters
        ----------
        name
            The name that was typed. It goes into the journal only where it is a person's: a
            password typed in the wrong field must not.
        until
            Until when the name is locked, if at all.
        at
            The time, with its zone.
        device
            As for `count_try`.
        """
        with self._database.writing() as connection:
            if until is not None:
                connection.execute(
                    update(sign_in_failures)
                    .where(sign_in_failures.c.name_key == _try_key(name, device))
                    .values(locked_until=moment_text(until))
                )
            query = select(people.c.name).where(
                people.c.folded_name == folded(name), people.c.removed_at.is_(None)
            )
            known = connection.scalar(query)
            said = {} if until is None else {"locked_until": moment_text(until)}
            journal.append(connection, at, known or "unknown", "sign-in failed", "", said)

    def start_session(
        self,
        person_id: str,
        token_hash: str,
        ends_at: datetime,
        at: datetime,
        device: str = "",
    ) -> Session:
        """Keep a session under the hash of its token, and forget the tries that failed.

        Parameters
        ----------
        person_id
            Who signed in.
        token_hash
            The hash of the session's token.
        ends_at
            When it ends at the latest.
        at
            The time, with its zone.
        device
            The browser whose tries are forgotten; see `count_try`.
        """
        moment = moment_text(at)
        row = {
            "token_hash": token_hash,
            "person_id": person_id,
            "made_at": moment,
            "seen_at": moment,
            "ends_at": moment_text(ends_at),
        }
        with self._database.writing() as connection:
            person = person_of(standing(connection, person_id))
            connection.execute(delete(sessions).where(sessions.c.ends_at < moment))
            connection.execute(insert(sessions).values(**row))
            forget_tries(connection, person.name, device)
            journal.append(connection, at, person.name, "sign in")
        return Session(person, at, at, ends_at)

    def session(
        self, token_hash: str, at: datetime, idle: Mapping[str, timedelta]
    ) -> Session | None:
        """Return the session of a token, or ``None`` where it ended or never was.

        Parameters
        ----------
        token_hash
            The hash of the token.
        at
            The time, with its zone; noted as the last sign of life, once a minute.
        idle
            How long a session lasts without a sign of life, by the person's role.
        """
        named = [column.label(f"person_of_{column.name}") for column in people.columns]
        query = select(sessions, *named).join(people)
        query = query.where(sessions.c.token_hash == token_hash, people.c.removed_at.is_(None))
        with self._database.reading() as connection:
            row = connection.execute(query).mappings().one_or_none()
        if row is None:
            return None
        seen = datetime.fromisoformat(row["seen_at"])
        ends = datetime.fromisoformat(row["ends_at"])
        if at >= ends or at - seen >= idle[row["person_of_role"]]:
            self.end_session(token_hash)
            return None
        if at - seen >= timedelta(minutes=1):
            with self._database.writing() as connection:
                connection.execute(
                    update(sessions)
                    .where(sessions.c.token_hash == token_hash)
                    .values(seen_at=moment_text(at))
                )
        made = datetime.fromisoformat(row["made_at"])
        values = {
            name.removeprefix("person_of_"): row[name] for name in row if "person_of_" in name
        }
        return Session(person_of(values), made, seen, ends)

    def end_session(self, token_hash: str, signed_out_at: datetime | None = None) -> None:
        """End a session; one that is not there is no error.

        Parameters
        ----------
        token_hash
            The hash of the token.
        signed_out_at
            The time, with its zone, where the person ends it himself: that is journaled.
        """
        same = sessions.c.token_hash == token_hash
        whose = select(people.c.name).join(sessions).where(same)
        with self._database.writing() as connection:
            name = connection.execute(whose).scalar()
            connection.execute(delete(sessions).where(same))
            if name is not None and signed_out_at is not None:
                journal.append(connection, signed_out_at, name, "sign out")


def forget_tries(connection: Connection, name: str, device: str = "") -> None:
    """Forget the tries that failed with a name, inside the caller's transaction."""
    same = sign_in_failures.c.name_key == _try_key(name, device)
    connection.execute(delete(sign_in_failures).where(same))


def end_sessions(connection: Connection, person_id: str) -> None:
    """End every session of a person, inside the caller's transaction."""
    connection.execute(delete(sessions).where(sessions.c.person_id == person_id))


def _try_key(name: str, device: str = "") -> str:
    return digest(folded(name), device) if device else digest(folded(name))
