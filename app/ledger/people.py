"""People who may sign in: who they are, added, changed and removed."""

from __future__ import annotations

import secrets
from datetime import datetime
from typing import TYPE_CHECKING, Any

from sqlalchemy import func, insert, select, update

from app.ledger import counters, journal, seals
from app.ledger.canonical import refuse_unstorable
from app.ledger.columns import Row, moment_text
from app.ledger.entries import Person
from app.ledger.person_rows import folded, person_of, standing
from app.ledger.sign_ins import end_sessions, forget_tries
from app.ledger.tables import people
from estimator.errors import LedgerTrouble

if TYPE_CHECKING:
    from sqlalchemy import Connection

    from app.ledger.database import Database


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
            row = standing(connection, person_id)
            if row["role"] == keep_role and _count(connection, keep_role) <= 1:
                raise LedgerTrouble(
                    f"{row['name']} is the last {keep_role}",
                    "",
                    f"Add another {keep_role} first.",
                )
            row |= {"removed_at": moment_text(at), "password_hash": ""}
            _store(connection, row)
            end_sessions(connection, person_id)
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
            row = standing(connection, person_id)
            row |= values
            if "password_hash" in values:
                row["demo"] = 0
                forget_tries(connection, row["name"])
            _store(connection, row)
            end_sessions(connection, person_id)
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

    def _one(self, condition: Any) -> tuple[Person, str] | None:
        query = select(people).where(condition, people.c.removed_at.is_(None))
        with self._database.reading() as connection:
            row = connection.execute(query).mappings().one_or_none()
        return None if row is None else (person_of(row), row["password_hash"])


def _count(connection: Connection, role: str | None = None) -> int:
    query = select(func.count()).select_from(people).where(people.c.removed_at.is_(None))
    if role is not None:
        query = query.where(people.c.role == role)
    return int(connection.scalar(query) or 0)


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
