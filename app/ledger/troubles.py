"""What a database says, in plain words; nothing of SQLAlchemy or a driver gets past here."""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator
from contextlib import contextmanager

from sqlalchemy.exc import DBAPIError, SQLAlchemyError
from sqlalchemy.exc import TimeoutError as PoolTimeout

from estimator.errors import LedgerTrouble

_LOCKED = (
    "Another program is still writing",
    "Try again; if it stays so, close the other program.",
)
_FULL = ("The disk is full and nothing was written", "Make room on the disk and try again.")
_READ_ONLY = (
    "Writing is not allowed",
    "Let this user write to the file and its folder, then try again.",
)
_DAMAGED = (
    "Damage was found",
    "Do not write to it; put back the last backup, and keep the damaged file aside.",
)
_UNCHANGEABLE = (
    "Issued quotes, published rate sheets and the journal never change",
    "Issue a revision of the quote, or publish the rate sheet as a new version.",
)
_UNREACHABLE = (
    "The database server does not answer",
    "Check that the server runs and that the address and the password are right.",
)

_BY_SQLITE_NAME = {
    "SQLITE_BUSY": _LOCKED,
    "SQLITE_LOCKED": _LOCKED,
    "SQLITE_FULL": _FULL,
    "SQLITE_READONLY": _READ_ONLY,
    "SQLITE_PERM": _READ_ONLY,
    "SQLITE_CANTOPEN": (
        "No ledger can be opened",
        "Check that the folder is there and that this user may read and write in it.",
    ),
    "SQLITE_IOERR": (
        "The disk could not be read or written",
        "Check the disk and its free space, then try again.",
    ),
    "SQLITE_CORRUPT": _DAMAGED,
    "SQLITE_NOTADB": (
        "No ledger can be read (the file is of another kind, or damaged at its start)",
        "Check the file's name; if it is right, put back the last backup.",
    ),
    "SQLITE_CONSTRAINT_TRIGGER": _UNCHANGEABLE,
}

_BY_SQLSTATE = {
    "23001": _UNCHANGEABLE,
    "25006": _READ_ONLY,
    "40P01": _LOCKED,
    "42501": _READ_ONLY,
    "53100": _FULL,
    "55P03": _LOCKED,
    "57014": _LOCKED,
    "XX001": _DAMAGED,
    "XX002": _DAMAGED,
}


@contextmanager
def plain_troubles(where: str) -> Iterator[None]:
    """Turn whatever a database raises inside into a LedgerTrouble.

    Parameters
    ----------
    where
        The ledger's place, for the message.

    Raises
    ------
    LedgerTrouble
        In place of any error of SQLAlchemy, a driver or a value that cannot be read.
    """
    try:
        yield
    except (SQLAlchemyError, sqlite3.Error) as problem:
        raise trouble_from(problem, where) from None
    except OverflowError:
        raise LedgerTrouble(
            "A number is too large for any entry", where, "Check the number that was given."
        ) from None
    except OSError as problem:
        raise LedgerTrouble(
            f"The disk said: {problem.strerror or problem}", where, "Check the disk and the folder."
        ) from None
    except ValueError as problem:
        # A pydantic, JSON or date error: what is stored is not what was once written.
        said = str(problem).splitlines()[0]
        raise LedgerTrouble(f"{_DAMAGED[0]} ({said})", where, _DAMAGED[1]) from None


def trouble_from(problem: Exception, where: str) -> LedgerTrouble:
    """Say what a database's error means.

    Parameters
    ----------
    problem
        An error of SQLAlchemy or of sqlite3.
    where
        The ledger's place.

    Returns
    -------
    The error to raise.
    """
    said = _meaning(problem)
    if said is None:
        original = problem.orig if isinstance(problem, DBAPIError) else problem
        detail = (str(original).splitlines() or [type(original).__name__])[0]
        said = (
            f"The database refused ({detail})",
            "Run the ledger's check; if it finds nothing, report this message.",
        )
    what, mend = said
    return LedgerTrouble(what, where, mend)


def is_busy(problem: Exception) -> bool:
    """Return whether SQLite refused only because another connection holds a lock.

    Parameters
    ----------
    problem
        An error of SQLAlchemy or of sqlite3.
    """
    return _meaning(problem) is _LOCKED


def _meaning(problem: Exception) -> tuple[str, str] | None:
    if isinstance(problem, PoolTimeout):
        return _LOCKED
    original = problem.orig if isinstance(problem, DBAPIError) else problem
    name = getattr(original, "sqlite_errorname", "") or ""
    # Extended names add a word to the plain one: SQLITE_IOERR_WRITE, SQLITE_BUSY_RECOVERY.
    while name:
        if name in _BY_SQLITE_NAME:
            return _BY_SQLITE_NAME[name]
        name = name.rpartition("_")[0]
    state = getattr(original, "sqlstate", None) or ""
    if state in _BY_SQLSTATE:
        return _BY_SQLSTATE[state]
    lost = isinstance(problem, DBAPIError) and problem.connection_invalidated
    server = getattr(type(original), "__module__", "").startswith("psycopg")
    if lost or state.startswith(("08", "28", "3D", "57P")) or (server and not state):
        return _UNREACHABLE
    return None
