"""Whole copies of a ledger: into a file while it is in use, and from a file into a database."""

from __future__ import annotations

import sqlite3
from pathlib import Path
from typing import TYPE_CHECKING

from sqlalchemy import insert, inspect, select

from app.ledger import counters
from app.ledger.migrations import version_of
from app.ledger.tables import metadata, schema_version
from app.ledger.troubles import plain_troubles
from estimator.errors import LedgerTrouble

if TYPE_CHECKING:
    from app.ledger.database import Database

_CHUNK = 1000


def copy_sqlite(source: Path, target: Path, where: str) -> None:
    """Copy an SQLite ledger at one state, also while others write to it.

    Parameters
    ----------
    source, target
        The file, and the new file; written beside it under another name first.
    where
        The ledger's place, for the message.
    """
    unfinished = target.with_name(f"{target.name}.tmp")
    with plain_troubles(where):
        _refuse_there(target)
        try:
            reading = sqlite3.connect(f"{source.absolute().as_uri()}?mode=ro", uri=True)
            try:
                writing = sqlite3.connect(unfinished)
                try:
                    unfinished.chmod(0o600)
                    # All pages in one step: a reader's snapshot, so that no writer can make
                    # it begin again.
                    reading.backup(writing)
                    writing.execute("PRAGMA journal_mode = DELETE")
                finally:
                    writing.close()
            finally:
                reading.close()
            unfinished.replace(target)
        finally:
            unfinished.unlink(missing_ok=True)


def back_up(database: Database, target: Path) -> None:
    """Copy an open ledger into a new SQLite file, from SQLite or from a server."""
    file = database.sqlite_file()
    if file is not None:
        with database.reading() as connection:  # that it is there, and a ledger
            counters.last_value(connection, counters.QUOTES)
        copy_sqlite(file, target, database.where)
        return
    from app.ledger.database import SQLITE, open_database  # noqa: PLC0415 - it imports this

    with plain_troubles(database.where):
        _refuse_there(target)
    into = open_database(f"{SQLITE}{target}", create=True, busy_seconds=10.0)
    try:
        copy_rows(database, into)
    finally:
        into.close()


def copy_of_server(database: Database, tables: int, target: Path) -> None:
    """Copy a server's ledger, as an older program made it, into a file for this user alone.

    Parameters
    ----------
    database
        The open database, its tables not taken forward yet.
    tables
        The number of its last migration.
    target
        The new SQLite file, with the same tables; an older program opens it.

    Raises
    ------
    LedgerTrouble
        If the file cannot be written; the ledger is then left as it is.
    """
    from app.ledger.database import SQLITE, open_database  # noqa: PLC0415 - it imports this

    unfinished = target.with_name(f"{target.name}.tmp")
    with plain_troubles(database.where):
        _refuse_there(target)
        try:
            address = f"{SQLITE}{unfinished}"
            into = open_database(address, create=True, busy_seconds=10.0, upto=tables)
            try:
                copy_rows(database, into)
                into.close_log()
            finally:
                into.close()
            unfinished.replace(target)
        finally:
            for name in (unfinished.name, f"{unfinished.name}-wal", f"{unfinished.name}-shm"):
                target.with_name(name).unlink(missing_ok=True)


def copy_rows(source: Database, target: Database) -> None:
    """Copy every row of one ledger into another that has the same tables and no rows.

    The tables may be older ones, as long as both have the same.

    Parameters
    ----------
    source
        The ledger to copy, read at one state.
    target
        The new ledger.

    Raises
    ------
    LedgerTrouble
        If the target holds something already, or the two have not the same tables.
    """
    with source.reading() as reading, target.writing() as writing:
        if version_of(reading, source.where) != version_of(writing, target.where):
            raise LedgerTrouble("The two ledgers have different tables", target.where)
        # Asked of the new ledger: a table that has gone from the old one is refused when read.
        new = inspect(writing)
        names = set(new.get_table_names())
        for table in metadata.sorted_tables:
            if table is schema_version or table.name not in names:
                continue
            kept = {column["name"] for column in new.get_columns(table.name)}
            columns = [column for column in table.columns if column.name in kept]
            if writing.execute(select(*columns).limit(1)).first() is not None:
                raise LedgerTrouble(
                    f"There is something in {table.name} already",
                    target.where,
                    "Give the address of a new and empty database.",
                )
            rows = reading.execute(select(*columns).execution_options(yield_per=_CHUNK))
            for chunk in rows.mappings().partitions(_CHUNK):
                writing.execute(insert(table), [dict(row) for row in chunk])


def _refuse_there(target: Path) -> None:
    if target.exists():
        raise LedgerTrouble("There is a file already", str(target), "Give another name.")
