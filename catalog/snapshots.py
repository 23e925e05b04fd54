"""A catalog snapshot, open for reading: its queries, and what it was built with."""

from __future__ import annotations

import threading
from copy import copy
from functools import cache
from importlib.resources import files
from typing import TYPE_CHECKING, Any, Final

import duckdb

from catalog.fit_rules import FitRules, read_rules
from catalog.opening import connected, damaged
from catalog.versions import BUILD_AGAIN, current_version, snapshot_path
from estimator.errors import CatalogTrouble

if TYPE_CHECKING:
    from collections.abc import Mapping
    from pathlib import Path
    from types import TracebackType

LAYOUT: Final = 2
"""Number of the table layout; a snapshot of another layout is built again."""

LESSER_KEPT: Final = 10
"""How many catalogs with pieces taken off their stock are kept beside one; see `less`."""


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
        self._connection: duckdb.DuckDBPyConnection | None = connected(path)
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
            if len(self._lesser) >= LESSER_KEPT:
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
            answer = self.cursor().execute(self._parsed(name), dict(parameters or {}))
            columns = [column[0] for column in answer.description or ()]
            return [dict(zip(columns, row, strict=True)) for row in answer.fetchall()]
        except duckdb.Error as refused:
            raise damaged(self._path, refused) from None

    def _parsed(self, name: str) -> duckdb.Statement:
        """Return a query as the calling thread's cursor read it the first time."""
        held: dict[str, duckdb.Statement] = self._local.__dict__.setdefault("parsed", {})
        if name not in held:
            [held[name]] = self.cursor().extract_statements(query(name))
        return held[name]

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
            raise damaged(self._path, None)
        info = found[0]
        if info["layout"] != LAYOUT:
            raise CatalogTrouble(
                f"The catalog has table layout {info['layout']}, this program reads {LAYOUT}",
                str(self._path),
                BUILD_AGAIN,
            )
        counted = (info["parts_found"], info["offers_found"])
        if counted != (info["part_count"], info["offer_count"]):
            raise damaged(self._path, None)
        return str(info["rules"])
