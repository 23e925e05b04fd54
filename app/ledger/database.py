"""Connections to the ledger's database: SQLite by default, PostgreSQL by address."""

from __future__ import annotations

import os
import sqlite3
import time
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import UTC, datetime
from pathlib import Path
from typing import TYPE_CHECKING, Any

from sqlalchemy import QueuePool, create_engine, event, make_url

from app.ledger.copying import copy_of_server, copy_sqlite
from app.ledger.migrations import latest, migrate_one, version_of
from app.ledger.troubles import is_busy, plain_troubles
from estimator.errors import LedgerTrouble

if TYPE_CHECKING:
    from sqlalchemy import Connection, Engine

SQLITE = "sqlite:///"


class Database:
    """An open ledger database: read and write transactions, every error in plain words.

    Parameters
    ----------
    engine
        The SQLAlchemy engine.
    where
        The database's place as a person may read it, without a password.
    """

    def __init__(self, engine: Engine, where: str) -> None:
        self._engine = engine
        self.where = where
        self._closed = False

    @property
    def dialect(self) -> str:
        """Name of the database: "sqlite" or "postgresql"."""
        return self._engine.dialect.name

    @contextmanager
    def reading(self) -> Iterator[Connection]:
        """Give a connection in a transaction that sees one state of the ledger."""
        with self._transaction(writes=False) as connection:
            yield connection

    @contextmanager
    def writing(self) -> Iterator[Connection]:
        """Give a connection in a transaction that is committed at the end or not at all."""
        with self._transaction(writes=True) as connection:
            yield connection

    def sqlite_file(self) -> Path | None:
        """Return the file of an SQLite ledger, ``None`` for a server."""
        return Path(self.where) if self.dialect == "sqlite" else None

    def forget_log(self) -> None:
        """Take what was erased out of SQLite's write-ahead log too, where nobody reads it."""
        if self.dialect == "sqlite":
            with plain_troubles(self.where), self._engine.connect() as connection:
                raw = connection.connection.driver_connection
                if raw is not None:
                    raw.execute("PRAGMA wal_checkpoint(TRUNCATE)").fetchall()

    def close_log(self) -> None:
        """Take an SQLite ledger's log into its one file, as a copy is kept; nobody else has it."""
        with plain_troubles(self.where), self._engine.connect() as connection:
            raw = connection.connection.driver_connection
            if raw is not None:
                raw.execute("PRAGMA journal_mode = DELETE").fetchall()

    def close(self) -> None:
        """Close every connection; a second time does nothing."""
        self._closed = True
        with plain_troubles(self.where):
            self._engine.dispose()

    @contextmanager
    def _transaction(self, *, writes: bool) -> Iterator[Connection]:
        if self._closed:
            raise LedgerTrouble("The ledger is closed", self.where, "Open it again.")
        with plain_troubles(self.where), self._engine.connect() as plain:
            connection = plain.execution_options(ledger_writes=writes)
            if self.dialect == "postgresql" and not writes:
                # SQLite shows a reader one state anyway; a server must be asked to.
                connection = connection.execution_options(isolation_level="REPEATABLE READ")
            with connection.begin():
                yield connection


def open_database(
    url: str,
    *,
    create: bool,
    busy_seconds: float,
    copies: Path | None = None,
    upto: int | None = None,
) -> Database:
    """Open a ledger's database, made or brought forward where needed.

    Parameters
    ----------
    url
        ``sqlite:///`` and a file path as it is, or a PostgreSQL address.
    create
        Whether a ledger that is not there is made.
    busy_seconds
        How long to wait for another program's transaction [s].
    copies
        The folder for a copy of a server's ledger before its tables are taken forward.
    upto
        The tables at which to stop; those of this program unless given.

    Raises
    ------
    LedgerTrouble
        If the ledger is missing, locked, damaged, not a ledger, of a newer program, or
        cannot be reached or written; or its tables must be taken forward and no copy of it
        can be made first.
    """
    if url.startswith(SQLITE):
        path = Path(url.removeprefix(SQLITE))
        where = str(path)
        with plain_troubles(where):
            engine = _sqlite_engine(path, create, busy_seconds)
    else:
        engine, where = _server_engine(url, busy_seconds)
    database = Database(engine, where)
    try:
        _bring_forward(database, create, copies, latest() if upto is None else upto)
    except BaseException:
        engine.dispose()
        raise
    return database


def _bring_forward(database: Database, create: bool, copies: Path | None, upto: int) -> None:
    with database.reading() as connection:
        found = version_of(connection, database.where)
    if found == 0 and not create:
        raise LedgerTrouble("There is no ledger", database.where, "Check the ledger's address.")
    if found == latest():
        return
    if found == 0:
        # A new ledger is made in one transaction: nobody sees it half made and takes it for old.
        with database.writing() as connection:
            while migrate_one(connection, database.where, upto):
                pass
        return
    _keep_a_copy(database, found, copies)
    due = True
    while due:
        with database.writing() as connection:
            due = migrate_one(connection, database.where, upto)


def _keep_a_copy(database: Database, found: int, copies: Path | None) -> None:
    """Copy a ledger as it is before its tables are taken forward: beside its file, or here."""
    stamp = datetime.now(UTC).strftime("%Y%m%dT%H%M%S%fZ")
    file = database.sqlite_file()
    if file is not None:
        name = f"{file.name}.tables-{found}.{stamp}.backup"
        copy_sqlite(file, file.with_name(name), database.where)
        return
    if copies is None:
        raise LedgerTrouble(
            f"The tables must be taken forward (they are {found}, this program's are {latest()})"
            " and there is no folder for a copy of the ledger first",
            database.where,
            "Open it once by the shop's folder: heater check --shop DIR.",
        )
    copy_of_server(database, found, copies / f"ledger.tables-{found}.{stamp}.backup")


def _sqlite_engine(path: Path, create: bool, busy_seconds: float) -> Engine:
    if path.name in {"", ":memory:"}:
        raise LedgerTrouble(
            "No file is named",
            "the ledger's address",
            f"Write {SQLITE} and the file's path; a ledger in memory would keep nothing.",
        )
    if create:
        path.parent.mkdir(parents=True, exist_ok=True)
    if not (create and _made_private(path)):
        _refuse_missing_or_empty(path, busy_seconds)
    made = {"mode": "rwc" if create else "rw"}
    home = path.absolute().as_uri()  # now: the working folder may change before the next

    def connect() -> sqlite3.Connection:
        address = f"{home}?mode={made['mode']}"
        opened = sqlite3.connect(address, uri=True, timeout=busy_seconds, check_same_thread=False)
        opened.isolation_level = None  # transactions begin where this module says so
        opened.execute("PRAGMA foreign_keys = ON")
        opened.execute("PRAGMA synchronous = FULL")
        opened.execute("PRAGMA secure_delete = ON")  # what is erased is gone from the file too
        return opened

    _keep_a_write_ahead_log(connect, busy_seconds)
    # From here on a file that has gone is an error, never a new and empty ledger.
    made["mode"] = "rw"
    engine = create_engine(
        "sqlite://",
        creator=connect,
        poolclass=QueuePool,
        max_overflow=20,
        pool_timeout=busy_seconds,
    )
    event.listen(engine, "begin", _begin_sqlite)
    return engine


def _made_private(path: Path) -> bool:
    """Make the file where there is none, for this user alone; SQLite gives its logs the same."""
    try:
        os.close(os.open(path, os.O_CREAT | os.O_EXCL | os.O_WRONLY, 0o600))
    except FileExistsError:
        return False
    except PermissionError:
        pass  # SQLite is refused too, and that is said in the words of this program
    return True


def _begin_sqlite(connection: Connection) -> None:
    # A deferred transaction that turns to writing fails at once when another writer was
    # faster, whatever the busy timeout; an immediate one waits its turn.
    writes = connection.get_execution_options().get("ledger_writes", False)
    connection.exec_driver_sql("BEGIN IMMEDIATE" if writes else "BEGIN")


def _refuse_missing_or_empty(path: Path, busy_seconds: float) -> None:
    if not path.exists():
        raise LedgerTrouble(
            "There is no ledger", str(path), "Check the path, or let the program make a new one."
        )
    # Another program that is just making it needs a moment to write its first page.
    until = time.monotonic() + busy_seconds
    while path.exists() and path.stat().st_size == 0:
        if time.monotonic() > until:
            raise LedgerTrouble(
                "Only an empty file was found",
                str(path),
                "Put back the last backup, or move the empty file away to start a new ledger.",
            )
        time.sleep(0.02)


def _keep_a_write_ahead_log(connect: Any, busy_seconds: float) -> None:
    """Turn the write-ahead log on; it stays on in the file.

    SQLite does not wait for this lock as it does for others, hence the loop.
    """
    until = time.monotonic() + busy_seconds
    connection = connect()
    try:
        done = False
        while not done:
            try:
                connection.execute("PRAGMA journal_mode = WAL").fetchone()
                done = True
            except sqlite3.OperationalError as problem:
                if not is_busy(problem) or time.monotonic() > until:
                    raise
                time.sleep(0.02)
    finally:
        connection.close()


def _server_engine(url: str, busy_seconds: float) -> tuple[Engine, str]:
    with plain_troubles("the ledger's address"):
        parsed = make_url(url)
        if parsed.get_backend_name() != "postgresql":
            raise LedgerTrouble(
                f"The address begins with {parsed.drivername}",
                "the ledger's address",
                f"Write {SQLITE} and the file's path, or an address of PostgreSQL.",
            )
        wait_ms = int(busy_seconds * 1000)
        engine = create_engine(
            parsed.set(drivername="postgresql+psycopg"),
            connect_args={"options": f"-c lock_timeout={wait_ms}", "connect_timeout": 10},
            max_overflow=20,
            pool_timeout=busy_seconds,
            pool_pre_ping=True,
        )
    return engine, parsed.render_as_string(hide_password=True)
