"""Opening a snapshot's file, and what it means where DuckDB refuses it."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

import duckdb

from catalog.versions import BUILD_AGAIN
from estimator.errors import CatalogTrouble

if TYPE_CHECKING:
    from pathlib import Path

_SETTINGS: Final = {
    "autoinstall_known_extensions": "false",
    "autoload_known_extensions": "false",
    "enable_external_access": "false",
    "lock_configuration": "true",
    "memory_limit": "256MB",
    "threads": "1",
}


def connected(path: Path) -> duckdb.DuckDBPyConnection:
    """Open a snapshot read-only, with no way to the disk beside it.

    Parameters
    ----------
    path
        The snapshot's file.

    Raises
    ------
    CatalogTrouble
        If it is locked or damaged, or may not be read.
    """
    try:
        return duckdb.connect(str(path), read_only=True, config=dict(_SETTINGS))
    except duckdb.Error as refused:
        raise damaged(path, refused) from None


def damaged(path: Path, refused: duckdb.Error | None) -> CatalogTrouble:
    """Return what a person is told of a snapshot that cannot be read.

    Parameters
    ----------
    path
        The snapshot's file.
    refused
        What DuckDB said; ``None`` where the content is not what it says it is.
    """
    said = str(refused).lower() if refused is not None else ""
    if "could not set lock" in said or "conflicting lock" in said:
        return CatalogTrouble(
            "The catalog is locked by another program that writes to it",
            str(path),
            "Close that program and try again.",
        )
    if "permission denied" in said:
        return CatalogTrouble(
            "The catalog may not be read", str(path), "Give yourself the right to read it."
        )
    if isinstance(refused, duckdb.OutOfMemoryException):
        return CatalogTrouble(
            "The catalog needs more memory than it may take", str(path), "Ask for less at once."
        )
    return CatalogTrouble("The catalog is damaged or half written", str(path), BUILD_AGAIN)
