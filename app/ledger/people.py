"""People who may sign in, their sessions, and the tries that failed."""

from __future__ import annotations

import secrets
import unicodedata
from collections.abc import Mapping
from datetime import datetime, timedelta
from typing import TYPE_CHECKING, Any

from sqlalchemy import delete, func, insert, select, text, update

from app.ledger import counters, journal, seals
from app.ledger.canonical import digest, refuse_unstorable
from app.ledger.columns import Row, moment_text
from app.ledger.entries import Person, Session
from app.ledger.tables import people, sessions, sign_in_failures
from estimator.errors import LedgerTrouble

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


class People:
    """The people of an open ledger.

    Parameters
    ----------
    database
        The open database.
    """

    def __init__(self, database: Database) -> None:
        self._database = database

    def every(self, *, removed: bool = False) -> tuple[Person, ...]:
        """Return the people by name.

        Parameters
        ----------
        removed
            Whether those who were removed are listed too.
        """
        query = select(people).order_by(people.c.folded_name, people.c.made_at)
        if not removed:
            query = query.where(people.c.removed_at.is_(None))
        with self._database.reading() as connection:
            return tuple(person_of(row) for row in connection.execute(query).mappings())

    def any(self) -> bool:
        """Whether anybody may sign in."""
        with self._database.reading() as connection:
            return _count(connection) > 0

    def add(
        self,
        name: str,
        role: str,
        password_hash: str,
        by: str,
        at: datetime,
        *,
        email: str = "",
        demo: bool = False,
        first: bool = False,
    ) -> Person:
        """Keep a new person.

        Parameters
        ----------
        name
            The name, once among those who may sign in, whatever its capitals.
        role
            The role.
        password_hash
            The hash of the password; empty where only a provider signs the person in.
        by, at
            Who adds the person, and when, with the zone.
        email
            The address under which a provider knows the person.
        demo
            Whether the password is published with the demo shop.
        first
            Whether there must be nobody yet.

        Raises
        ------
        LedgerTrouble
            If the name or address is taken, or somebody is there and `first` is asked.
        """
        for word in (name, email, by):
            refuse_unstorable(word, "the person to add")
        row = {
            "person_id": secrets.token_hex(8),
            "name": name,
            "folded_name": folded(name),
            "email": folded(email),
            "role": str(role),
            "password_hash": password_hash,
            "demo": int(demo),
            "made_at": moment_text(at),
            "removed_at": None,
            "salt": seals.new_salt(),
        }
        with self._database.writing() as connection:
            counters.hold(connection, counters.JOURNAL)
            if first and _count(connection):
                raise LedgerTrouble(
                    "There are people already",
                    "",
                    "Sign in as the owner and add people there.",
                )
            _refuse_taken(connection, row)
            connection.execute(insert(people).values(**row))
            said = {"role": str(role), "demo": demo}
            sealed = seals.sealed(people, row)
            journal.append(connection, at, by, "add person", name, said, sealed)
        return person_of(row)

    def remove(self, person_id: str, by: str, at: datetime, keep_role: str) -> Person:
        """Let a person sign in no more, and end all of his sessions, in one step.

        Parameters
        ----------
        person_id
            Who.
        by, at
            Who removes the person, and when.
        keep_role
            The role of which one must stay.

        Raises
        ------
        LedgerTrouble
            If there is no such person, or he is the last one of `keep_role`.
        """
        with self._database.writing() as connection:
            counters.hold(connection, counters.JOURNAL)
            row = _row(connection, person_id)
            if row["role"] == keep_role and _count(connection, keep_role) <= 1:
                raise LedgerTrouble(
                    f"{row['name']} is the last {keep_role}",
                    "",
                    f"Add another {keep_role} first.",
                )
            row |= {"removed_at": moment_text(at), "password_hash": ""}
            _store(connection, row)
            _end_sessions(connection, person_id)
            sealed = seals.sealed(people, row)
            journal.append(connection, at, by, "remove person", row["name"], {}, sealed)
            return person_of(row)

    def change(self, person_id: str, by: str, at: datetime, **values: str) -> Person:
        """Change a person's role, address or password hash, and end all of his sessions.

        Parameters
        ----------
        person_id
            Who.
        by, at
            Who changes it, and when.
        **values
            ``role``, ``email`` or ``password_hash``.
        """
        unknown = values.keys() - {"role", "email", "password_hash"}
        assert not unknown, unknown
        with self._database.writing() as connection:
            counters.hold(connection, counters.JOURNAL)
            row = _row(connection, person_id)
            row |= values
            if "password_hash" in values:
                row["demo"] = 0
                _forget_tries(connection, row["name"])
            _store(connection, row)
            _end_sessions(connection, person_id)
            said = {"changed": sorted(values), "role": row["role"]}
            sealed = seals.sealed(people, row)
            journal.append(connection, at, by, "change person", row["name"], said, sealed)
            return person_of(row)

    def by_name(self, name: str) -> tuple[Person, str] | None:
        """Return who may sign in under a name, and the hash of the password."""
        return self._one(people.c.folded_name == folded(name))

    def by_email(self, email: str) -> Person | None:
        """Return who may sign in under a provider's address."""
        found = self._one(people.c.email == folded(email)) if email.strip() else None
        return None if found is None else found[0]

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
            person = person_of(_row(connection, person_id))
            connection.execute(delete(sessions).where(sessions.c.ends_at < moment))
            connection.execute(insert(sessions).values(**row))
            _forget_tries(connection, person.name, device)
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
        query = select(sessions, *_person_columns()).join(people)
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

    def _one(self, condition: Any) -> tuple[Person, str] | None:
        query = select(people).where(condition, people.c.removed_at.is_(None))
        with self._database.reading() as connection:
            row = connection.execute(query).mappings().one_or_none()
        return None if row is None else (person_of(row), row["password_hash"])


def folded(name: str) -> str:
    """Return a name in the one spelling by which names are held against each other."""
    return " ".join(unicodedata.normalize("NFKC", name).casefold().split())


def _try_key(name: str, device: str = "") -> str:
    return digest(folded(name), device) if device else digest(folded(name))


def _forget_tries(connection: Connection, name: str, device: str = "") -> None:
    same = sign_in_failures.c.name_key == _try_key(name, device)
    connection.execute(delete(sign_in_failures).where(same))


def person_of(row: Row) -> Person:
    """Read a row back."""
    removed = row["removed_at"]
    return Person(
        person_id=row["person_id"],
        name=row["name"],
        email=row["email"],
        role=row["role"],
        demo=bool(row["demo"]),
        made_at=datetime.fromisoformat(row["made_at"]),
        removed_at=None if removed is None else datetime.fromisoformat(removed),
    )


def _person_columns() -> list[Any]:
    return [column.label(f"person_of_{column.name}") for column in people.columns]


def _count(connection: Connection, role: str | None = None) -> int:
    query = select(func.count()).select_from(people).where(people.c.removed_at.is_(None))
    if role is not None:
        query = query.where(people.c.role == role)
    return int(connection.scalar(query) or 0)


def _row(connection: Connection, person_id: str) -> dict[str, Any]:
    query = select(people).where(people.c.person_id == person_id, people.c.removed_at.is_(None))
    row = connection.execute(query).mappings().one_or_none()
    if row is None:
        raise LedgerTrouble("There is no such person (any more)", "", "Look at the list again.")
    return dict(row)


def _refuse_taken(connection: Connection, row: Row) -> None:
    there = people.c.removed_at.is_(None)
    same_name = select(people.c.name).where(people.c.folded_name == row["folded_name"], there)
    if connection.scalar(same_name) is not None:
        raise LedgerTrouble(
            f"There is a person called {row['name']} already",
            "",
            "Give another name.",
            field="name",
        )
    same_email = select(people.c.name).where(people.c.email == row["email"], there)
    if row["email"] and connection.scalar(same_email) is not None:
        raise LedgerTrouble(
            f"The address {row['email']} is another person's",
            "",
            "Give another address.",
            field="email",
        )


def _store(connection: Connection, row: Row) -> None:
    values = {name: row[name] for name in ("role", "email", "password_hash", "demo", "removed_at")}
    connection.execute(
        update(people).where(people.c.person_id == row["person_id"]).values(**values)
    )


def _end_sessions(connection: Connection, person_id: str) -> None:
    connection.execute(delete(sessions).where(sessions.c.person_id == person_id))
