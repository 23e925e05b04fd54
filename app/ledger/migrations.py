"""Numbered forward migrations: each runs in one transaction with its own record.

A released migration never changes; the next change of the tables is the next number at
the end of `MIGRATIONS`. A ledger with a higher number than the last one here was made by
a newer program and is refused, for its rules are not known here.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import UTC, datetime
from typing import TYPE_CHECKING

from sqlalchemy import func, insert, inspect, select

from app.ledger.columns import moment_text
from app.ledger.tables import schema_version
from estimator.errors import LedgerTrouble

if TYPE_CHECKING:
    from sqlalchemy import Connection


@dataclass(frozen=True)
class Migration:
    """One step forward: its number, what it does, and its statements by dialect."""

    version: int
    title: str
    tables: tuple[str, ...]
    guards: dict[str, tuple[str, ...]]


_TABLES_1 = (
    """CREATE TABLE counters (
        name TEXT PRIMARY KEY,
        value INTEGER NOT NULL
    )""",
    """CREATE TABLE drafts (
        draft_id TEXT PRIMARY KEY,
        person TEXT NOT NULL,
        step TEXT NOT NULL,
        payload_json TEXT NOT NULL,
        made_at TEXT NOT NULL,
        saved_at TEXT NOT NULL
    )""",
    "CREATE INDEX drafts_by_person ON drafts (person, saved_at)",
    """CREATE TABLE rate_sheets (
        version INTEGER PRIMARY KEY CHECK (version >= 1),
        holds_from TEXT NOT NULL,
        published_by TEXT NOT NULL,
        published_at TEXT NOT NULL,
        sheet_json TEXT NOT NULL,
        previous_hash TEXT NOT NULL,
        hash TEXT NOT NULL
    )""",
    """CREATE TABLE quotes (
        sequence INTEGER PRIMARY KEY CHECK (sequence >= 1),
        number TEXT NOT NULL,
        revision INTEGER NOT NULL CHECK (revision >= 1),
        issued_at TEXT NOT NULL,
        issued_by TEXT NOT NULL,
        valid_until TEXT NOT NULL,
        customer_name TEXT NOT NULL,
        title TEXT NOT NULL,
        rate_sheet_version INTEGER NOT NULL REFERENCES rate_sheets (version),
        rate_sheet_hash TEXT NOT NULL,
        catalog_version TEXT NOT NULL,
        verdict TEXT NOT NULL,
        repair_price_cents BIGINT,
        replace_price_cents BIGINT,
        inputs_json TEXT NOT NULL,
        supply_json TEXT NOT NULL,
        results_json TEXT NOT NULL,
        draft_id TEXT,
        personal_salt TEXT NOT NULL,
        personal_digest TEXT NOT NULL,
        previous_hash TEXT NOT NULL,
        hash TEXT NOT NULL,
        UNIQUE (number, revision)
    )""",
    "CREATE INDEX quotes_by_draft ON quotes (draft_id)",
)


def _sqlite_guards(table: str, same: str, word: str) -> tuple[str, ...]:
    """Refuse UPDATE, DELETE, and INSERT OR REPLACE, which would skip the DELETE guard."""
    refuse = f"SELECT RAISE(ABORT, '{word} never changes')"
    return (
        f"CREATE TRIGGER {table}_no_update BEFORE UPDATE ON {table} BEGIN {refuse}; END",
        f"CREATE TRIGGER {table}_no_delete BEFORE DELETE ON {table} BEGIN {refuse}; END",
        f"CREATE TRIGGER {table}_no_replace BEFORE INSERT ON {table}"
        f" WHEN EXISTS (SELECT 1 FROM {table} WHERE {same}) BEGIN {refuse}; END",
    )


def _postgresql_guards(table: str, word: str) -> tuple[str, ...]:
    return (
        f"""CREATE FUNCTION {table}_never_change() RETURNS trigger LANGUAGE plpgsql AS $$
        BEGIN
            RAISE EXCEPTION '{word} never changes' USING ERRCODE = 'restrict_violation';
        END $$""",
        f"CREATE TRIGGER {table}_no_change BEFORE UPDATE OR DELETE ON {table}"
        f" FOR EACH ROW EXECUTE FUNCTION {table}_never_change()",
        f"CREATE TRIGGER {table}_no_truncate BEFORE TRUNCATE ON {table}"
        f" FOR EACH STATEMENT EXECUTE FUNCTION {table}_never_change()",
    )


MIGRATIONS: tuple[Migration, ...] = (
    Migration(
        1,
        "drafts, rate sheets and quotes",
        _TABLES_1,
        {
            "sqlite": (
                *_sqlite_guards("rate_sheets", "version = NEW.version", "a published rate sheet"),
                *_sqlite_guards(
                    "quotes",
                    "sequence = NEW.sequence OR (number = NEW.number AND revision = NEW.revision)",
                    "an issued quote",
                ),
            ),
            "postgresql": (
                *_postgresql_guards("rate_sheets", "a published rate sheet"),
                *_postgresql_guards("quotes", "an issued quote"),
            ),
        },
    ),
)

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


def migrate_one(connection: Connection, where: str) -> bool:
    """Take a ledger one migration forward inside the caller's transaction.

    Parameters
    ----------
    connection
        A connection in a write transaction.
    where
        The ledger's place, for the message.

    Returns
    -------
    Whether there was a migration to run.
    """
    dialect = connection.dialect.name
    if dialect == "postgresql":
        connection.exec_driver_sql(_POSTGRESQL_LOCK)
    found = version_of(connection, where)
    due = next((step for step in MIGRATIONS if step.version > found), None)
    if due is None:
        return False
    if found == 0:
        connection.exec_driver_sql(_RECORDS)
    for statement in (*due.tables, *due.guards[dialect]):
        connection.exec_driver_sql(statement)
    connection.execute(
        insert(schema_version).values(
            version=due.version, title=due.title, applied_at=moment_text(datetime.now(UTC))
        )
    )
    return True
