"""Catalog snapshots: built whole, named by their content, opened read-only.

A snapshot is one file, ``catalog-<version>.duckdb``. A pointer file names the one in
use; both come into being by `os.replace`, so that a build that is cut short at any
moment leaves the catalog in use as it was.
"""

from __future__ import annotations

import json
import os
import threading
import time
from copy import copy
from functools import cache
from importlib.resources import files
from pathlib import Path
from typing import TYPE_CHECKING, Any, Final

import duckdb

from catalog.fit_rules import FitRules, read_rules
from estimator.errors import CatalogTrouble

if TYPE_CHECKING:
    from collections.abc import Mapping
    from types import TracebackType

LAYOUT: Final = 2
"""Number of the table layout; a snapshot of another layout is built again."""

POINTER: Final = "current.json"
KEPT: Final = 10
ABANDONED_AFTER_S: Final = 86_400
BUILD_AGAIN: Final = "Build the catalog again with: heater catalog build DIR."
_SETTINGS: Final = {
    "autoinstall_known_extensions": "false",
    "autoload_known_extensions": "false",
    "enable_external_access": "false",
    "lock_configuration": "true",
    "memory_limit": "256MB",
    "threads": "1",
}


@cache
def query(name: str) -> str:
    """Return the text of a query.

    Parameters
    ----------
    name
        Name of a file in catalog/sql, without ".sql".

    Returns
    -------
    One SQL statement.
    """
    return files("catalog.sql").joinpath(f"{name}.sql").read_text(encoding="utf-8")


def snapshot_path(catalogs: Path, version: str) -> Path:
    """Return where a snapshot is kept.

    Parameters
    ----------
    catalogs
        The folder of catalog snapshots.
    version
        The snapshot's version.

    Returns
    -------
    The file's path.
    """
    return catalogs / f"catalog-{version}.duckdb"


def versions(catalogs: Path) -> tuple[str, ...]:
    """Return the versions that are kept, the last published first.

    Parameters
    ----------
    catalogs
        The folder of catalog snapshots.

    Returns
    -------
    Versions.
    """
    found = sorted(catalogs.glob("catalog-*.duckdb"), key=_published, reverse=True)
    return tuple(path.stem.removeprefix("catalog-") for path in found)


def _published(path: Path) -> tuple[int, str]:
    return path.stat().st_mtime_ns, path.name


def current_version(catalogs: Path) -> str:
    """Return the version in use.

    Parameters
    ----------
    catalogs
        The folder of catalog snapshots.

    Returns
    -------
    The version that the pointer file names.

    Raises
    ------
    CatalogTrouble
        If no catalog was built yet, or the pointer file is damaged.
    """
    pointer = catalogs / POINTER
    try:
        version = json.loads(pointer.read_text(encoding="utf-8"))["version"]
    except FileNotFoundError:
        raise CatalogTrouble(
            "There is no catalog yet", str(catalogs), "Build one with: heater catalog build DIR."
        ) from None
    except (OSError, ValueError, KeyError, TypeError):
        raise CatalogTrouble(
            "The file that names the catalog in use is damaged", str(pointer), BUILD_AGAIN
        ) from None
    if not isinstance(version, str) or not version.isalnum():
        raise CatalogTrouble(
            "The file that names the catalog in use is damaged", str(pointer), BUILD_AGAIN
        )
    return version


def point_to(catalogs: Path, version: str) -> None:
    """Make a snapshot the one in use.

    Parameters
    ----------
    catalogs
        The folder of catalog snapshots.
    version
        The version to use.

    Raises
    ------
    CatalogTrouble
        If that snapshot is not there.
    """
    if not snapshot_path(catalogs, version).exists():
        raise CatalogTrouble(
            f"There is no catalog of version {version}",
            str(catalogs),
            f"Kept are {', '.join(versions(catalogs)) or 'none'}.",
        )
    pointer = catalogs / POINTER
    draft = pointer.with_suffix(".tmp")
    with draft.open("w", encoding="utf-8") as out:
        json.dump({"version": version}, out)
        out.flush()
        os.fsync(out.fileno())
    draft.replace(pointer)


def keep_last(catalogs: Path) -> None:
    """Delete snapshots older than the last ten; never the one in use.

    Parameters
    ----------
    catalogs
        The folder of catalog snapshots.
    """
    in_use = current_version(catalogs)
    for left in catalogs.glob("catalog-*.tmp*"):
        # What a program that was killed has left; one at work is younger.
        if time.time() - left.stat().st_mtime > ABANDONED_AFTER_S:
            left.unlink(missing_ok=True)
    for version in versions(catalogs)[KEPT:]:
        if version != in_use:
            snapshot_path(catalogs, version).unlink(missing_ok=True)


class Catalog:
    """A catalog snapshot, open for reading.

    Use `open_current` or `open_version`. Safe to share between threads: each thread
    reads through a cursor of its own.
    """

    def __init__(self, path: Path, version: str) -> None:
        self._path = path
        self._version = version
        self._local = threading.local()
        self._fixed: dict[str, list[dict[str, Any]]] = {}
        self._lesser: dict[frozenset[tuple[tuple[str, str], int]], Catalog] = {}
        self._connection: duckdb.DuckDBPyConnection | None = _connected(path)
        try:
            self._rules_text = self._checked()
        except CatalogTrouble:
            self.close()
            raise
        self._rules: FitRules | None = None
        self._set_aside: dict[tuple[str, str], int] = {}

    @classmethod
    def open_current(cls, catalogs: Path) -> Catalog:
        """Open the catalog in use.

        Parameters
        ----------
        catalogs
            The folder of catalog snapshots.

        Returns
        -------
        The open catalog.

        Raises
        ------
        CatalogTrouble
            If there is none, or it is locked or damaged.
        """
        return cls.open_version(catalogs, current_version(catalogs))

    @classmethod
    def open_version(cls, catalogs: Path, version: str) -> Catalog:
        """Open a certain version.

        Parameters
        ----------
        catalogs
            The folder of catalog snapshots.
        version
            The version.

        Returns
        -------
        The open catalog.

        Raises
        ------
        CatalogTrouble
            If it is not there, locked or damaged.
        """
        path = snapshot_path(catalogs, version)
        if not path.exists():
            raise CatalogTrouble(
                f"The catalog of version {version} is not there", str(catalogs), BUILD_AGAIN
            )
        return cls(path, version)

    @property
    def version(self) -> str:
        """Version of this catalog: a hash of its content."""
        return self._version

    @property
    def path(self) -> Path:
        """File of this catalog."""
        return self._path

    @property
    def rules(self) -> FitRules:
        """The fit rules that this catalog was built with."""
        if self._rules is None:
            self._rules = read_rules(self._rules_text, self._path.name)
        return self._rules

    def less(self, set_aside: Mapping[tuple[str, str], int]) -> Catalog:
        """Return this catalog with pieces taken off its stock; it shares what is open here.

        Parameters
        ----------
        set_aside
            (part, place) to pieces that are not free.

        Returns
        -------
        The catalog as it answers then. Close this one, not that.
        """
        if not set_aside:
            return self
        _ = self.rules  # read once here, and not by each copy
        which = frozenset(set_aside.items())
        made = self._lesser.get(which)  # the same one again, with what was found out by it
        if made is None:
            if len(self._lesser) >= KEPT:
                self._lesser.clear()
            made = copy(self)
            made._set_aside = dict(set_aside)
            self._lesser[which] = made
        return made

    @property
    def parts_set_aside(self) -> tuple[str, ...]:
        """The numbers of the parts of which pieces are not free somewhere; see `less`."""
        return tuple(sorted({part for part, _ in self._set_aside}))

    def set_aside(self, number: str, place: str) -> int:
        """Return the pieces of a part that are not free at a place; see `less`."""
        return self._set_aside.get((number, place), 0)

    def cursor(self) -> duckdb.DuckDBPyConnection:
        """Return the cursor of the calling thread.

        Returns
        -------
        A cursor on the open snapshot.

        Raises
        ------
        CatalogTrouble
            If the catalog was closed.
        """
        if self._connection is None:
            raise CatalogTrouble("The catalog is closed", str(self._path), "Open it again.")
        held: duckdb.DuckDBPyConnection | None = getattr(self._local, "cursor", None)
        if held is None:
            held = self._connection.cursor()
            self._local.cursor = held
        return held

    def rows(self, name: str, parameters: Mapping[str, Any] | None = None) -> list[dict[str, Any]]:
        """Run a query of catalog/sql.

        Parameters
        ----------
        name
            The query's name.
        parameters
            Its parameters; none is passed by position.

        Returns
        -------
        Rows by column name.

        Raises
        ------
        CatalogTrouble
            If the snapshot cannot be read.
        """
        try:
            answer = self.cursor().execute(query(name), dict(parameters or {}))
            columns = [column[0] for column in answer.description or ()]
            return [dict(zip(columns, row, strict=True)) for row in answer.fetchall()]
        except duckdb.Error as refused:
            raise _damaged(self._path, refused) from None

    def fixed_rows(self, name: str) -> list[dict[str, Any]]:
        """Run a query without parameters once; a snapshot never changes.

        Parameters
        ----------
        name
            The query's name.

        Returns
        -------
        Rows by column name, the same objects on every call.

        Raises
        ------
        CatalogTrouble
            If the snapshot cannot be read.
        """
        if name not in self._fixed:
            self._fixed[name] = self.rows(name)
        return self._fixed[name]

    def close(self) -> None:
        """Close the snapshot; closing twice does no harm."""
        if self._connection is not None:
            self._connection.close()
            self._connection = None

    def __enter__(self) -> Catalog:
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        self.close()

    def _checked(self) -> str:
        found = self.rows("catalog_info")
        if len(found) != 1 or found[0]["version"] != self._version:
            raise _damaged(self._path, None)
        info = found[0]
        if info["layout"] != LAYOUT:
            raise CatalogTrouble(
                f"The catalog has table layout {info['layout']}, this program reads {LAYOUT}",
                str(self._path),
                BUILD_AGAIN,
            )
        counted = (info["parts_found"], info["offers_found"])
        if counted != (info["part_count"], info["offer_count"]):
            raise _damaged(self._path, None)
        return str(info["rules"])


def _connected(path: Path) -> duckdb.DuckDBPyConnection:
    try:
        return duckdb.connect(str(path), read_only=True, config=dict(_SETTINGS))
    except duckdb.Error as refused:
        raise _damaged(path, refused) from None


def _damaged(path: Path, refused: duckdb.Error | None) -> CatalogTrouble:
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
