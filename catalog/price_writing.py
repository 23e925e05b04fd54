"""Writing a published price list: the catalog in use over again, with other offers."""

from __future__ import annotations

import hashlib
import os
from typing import TYPE_CHECKING

import duckdb

from catalog.versions import snapshot_path
from catalog.writing import (
    close_draft,
    derive_by_supplier,
    derive_numbers,
    make_tables,
    open_draft,
    seal,
)
from estimator.errors import CatalogTrouble

if TYPE_CHECKING:
    from collections.abc import Sequence
    from pathlib import Path

    from catalog.price_staging import StagedList


def version_of(facts: Sequence[object], path: Path) -> str:
    """Return the version of the catalog that a price list makes.

    Parameters
    ----------
    facts
        What it depends on besides the file: the catalog in use, supplier, day, mapping.
    path
        The price list.

    Returns
    -------
    Sixteen hexadecimal digits.
    """
    digest = hashlib.sha256("|".join(str(fact) for fact in facts).encode())
    with path.open("rb") as held:
        while block := held.read(1 << 20):
            digest.update(block)
    return digest.hexdigest()[:16]


def write_beside(read: StagedList, catalogs: Path, version: str, *, partial: bool) -> None:
    """Write a snapshot with the list's offers, whole under its name or not at all.

    Parameters
    ----------
    read
        The list, with every row judged.
    catalogs
        The folder of catalog snapshots.
    version
        Version of the new one.
    partial
        Whether what is not in the list keeps its price.

    Raises
    ------
    CatalogTrouble
        If it cannot be written; the catalog in use has not changed then.
    """
    path = snapshot_path(catalogs, version)
    beside = path.with_name(f"{path.stem}-{os.getpid()}.tmp")
    try:
        beside.unlink(missing_ok=True)
        _fill(read, beside, version, partial=partial)
        beside.replace(path)
        os.utime(path)
    except (OSError, duckdb.Error) as refused:
        raise CatalogTrouble(
            f"The catalog cannot be written ({str(refused).splitlines()[0]})",
            str(catalogs),
            "Free some space; the catalog in use has not changed.",
        ) from None
    finally:
        for left in (beside, beside.with_name(f"{beside.name}.wal")):
            left.unlink(missing_ok=True)


def _fill(read: StagedList, beside: Path, version: str, *, partial: bool) -> None:
    """Write every table anew: offers as the list has them, the rest as in the catalog in use."""
    connection = read.connection
    connection.execute(f"SET VARIABLE partial = {partial}")
    read.run("price_offers")
    numbers_differ = bool(read.run("price_offers_numbers")[0][0])
    changed = {"offer", "supplier_offer", "catalog_info"}
    if numbers_differ:
        changed |= {"known_number", "slip"}
    # Rows keep their order: look-ups go by it.
    connection.execute("SET preserve_insertion_order = true")
    open_draft(connection, beside)
    try:
        # One transaction: the disk is waited for once, not at every statement.
        connection.begin()
        make_tables(connection)
        for table in _tables(connection):
            if table not in changed:
                connection.execute(f'INSERT INTO "{table}" BY NAME SELECT * FROM base."{table}"')
        connection.execute(
            "INSERT INTO offer BY NAME SELECT * FROM price_offer "
            "ORDER BY part, supplier, valid_from"
        )
        derive_by_supplier(connection)
        if numbers_differ:
            derive_numbers(connection)
        rules = connection.execute("SELECT rules FROM base.catalog_info").fetchone()
        seal(connection, version, str(rules[0]) if rules else "")
        connection.commit()
        connection.execute("CHECKPOINT snapshot")
    finally:
        close_draft(connection, "base")


def _tables(connection: duckdb.DuckDBPyConnection) -> list[str]:
    rows = connection.execute(
        "SELECT table_name FROM duckdb_tables() WHERE database_name = 'snapshot' ORDER BY ALL"
    ).fetchall()
    return [row[0] for row in rows]
