"""Numbered forward migrations: each runs in one transaction with its own record.

The steps themselves are in `steps`. A ledger with a higher number than the last one here
was made by a newer program and is refused, for its rules are not known here.
"""

from __future__ import annotations

from datetime import UTC, datetime
from typing import TYPE_CHECKING

from sqlalchemy import func, insert, inspect, select

from app.ledger.columns import moment_text
from app.ledger.steps import STEPS, Migration
from app.ledger.tables import schema_version
from estimator.errors import LedgerTrouble

if TYPE_CHECKING:
    from sqlalchemy import Connection


MIGRATIONS: tuple[Migration, ...] = STEPS

_RECORDS = """CREATE TABLE schema_version (
    version INTEGER PRIMARY KEY,
    title TEXT NOT NULL,
    applied_at TEXT NOT NULL
)"""

# Any number will do, as long as every program takes the same.
_POSTGRESQL_LOCK = "SELECT pg_advisory_xact_lock(5230771)"


def latest() -> int:
    """Return the number of the last migration that this program knows."""
    return MIGRATIONS[-1].version


def version_of(connection: Connection, where: str) -> int:
    """Return the number of the last migration that a ledger has had; 0 when it is empty.

    Parameters
    ----------
    connection
        A connection to the ledger.
    where
        The ledger's place, for the message.

    Raises
    ------
    LedgerTrouble
        If other tables are there and no ledger, or the ledger is of a newer program.
    """
    there = inspect(connection).get_table_names()
    if schema_version.name not in there:
        if there:
            raise LedgerTrouble(
                f"There is a database but no ledger (its tables are {', '.join(there[:5])})",
                where,
                "Give the ledger's own file or a new name.",
            )
        return 0
    found = connection.scalar(select(func.max(schema_version.c.version))) or 0
    known = latest()
    if found > known:
        raise LedgerTrouble(
            f"The ledger is of a newer program (tables {found}, this program knows {known})",
            where,
            "Update this program; the ledger was not touched.",
        )
    return int(found)


def migrate_one(connection: Connection, where: str, upto: int | None = None) -> bool:
    """Take a ledger one migration forward inside the caller's transaction.

    Parameters
    ----------
    connection
        A connection in a write transaction.
    where
        The ledger's place, for the message.
    upto
        The last migration to run; all that there are unless given.

    Returns
    -------
    Whether there was a migration to run.
    """
    dialect = connection.dialect.name
    if dialect == "postgresql":
        connection.exec_driver_sql(_POSTGRESQL_LOCK)
    found = version_of(connection, where)
    due = next((step for step in MIGRATIONS if step.version > found), None)
    if due is None or (upto is not None and due.version > upto):
        return False
    if found == 0:
        connection.exec_driver_sql(_RECORDS)
    for statement in (*due.tables, *due.guards[dialect]):
        connection.exec_driver_sql(statement)
    if due.fill is not None:
        due.fill(connection)
    connection.execute(
        insert(schema_version).values(
            version=due.version, title=due.title, applied_at=moment_text(datetime.now(UTC))
        )
    )
    return True
