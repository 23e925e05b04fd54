"""Counters: numbers without gaps, each given once, inside the caller's transaction."""

from __future__ import annotations

from typing import TYPE_CHECKING

from sqlalchemy import select, text, update

from app.ledger.tables import counters

if TYPE_CHECKING:
    from sqlalchemy import Connection

QUOTES = "quotes"
RATE_SHEETS = "rate_sheets"
JOURNAL = "journal"

# One statement in both databases; it also holds the counter's row until the commit, so
# that in PostgreSQL whoever counts next waits and sees all that was written before.
_NEXT = text(
    "INSERT INTO counters (name, value) VALUES (:name, 1)"
    " ON CONFLICT (name) DO UPDATE SET value = counters.value + 1 RETURNING value"
)


def next_value(connection: Connection, name: str) -> int:
    """Count one on and return the new value; the first is 1."""
    return int(connection.execute(_NEXT, {"name": name}).scalar_one())


def last_value(connection: Connection, name: str) -> int:
    """Return the last value given; 0 when none was."""
    return int(connection.scalar(select(counters.c.value).where(counters.c.name == name)) or 0)


def give_back(connection: Connection, name: str) -> None:
    """Undo the last count of this transaction, whose lock is still held."""
    connection.execute(
        update(counters).where(counters.c.name == name).values(value=counters.c.value - 1)
    )


def hold(connection: Connection, name: str) -> None:
    """Make everyone else who counts here wait until this transaction ends, without counting.

    What is read after this is the last word in PostgreSQL too; SQLite has one writer anyway.
    """
    connection.execute(_NEXT, {"name": name})
    give_back(connection, name)
