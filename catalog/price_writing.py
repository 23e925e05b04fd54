"""Writing a published price list: a copy of the catalog in use, with other offers."""

from __future__ import annotations

import hashlib
import os
import shutil
from typing import TYPE_CHECKING

import duckdb

from catalog.price_staging import MEMORY, text_of
from catalog.snapshots import snapshot_path
from catalog.writing import derive, draft, schema_texts, seal
from estimator.errors import CatalogTrouble

if TYPE_CHECKING:
    from collections.abc import Sequence
    from pathlib import Path

    from catalog.price_staging import StagedList

WRITTEN_ANEW = ("offer", "supplier_offer", "known_number", "slip")


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


def write_beside(
    read: StagedList, catalogs: Path, base: str, version: str, *, partial: bool
) -> None:
    """Write a snapshot with the list's offers, whole under its name or not at all.

    Parameters
    ----------
    read
        The list, with every row judged.
    catalogs
        The folder of catalog snapshots.
    base
        Version of the catalog in use.
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
    handed = beside.with_suffix(".parquet.tmp")
    try:
        read.connection.execute(f"SET VARIABLE partial = {partial}")
        read.run("price_offers")
        read.connection.execute(f"COPY price_offer TO {text_of(str(handed))} (FORMAT parquet)")
        shutil.copyfile(snapshot_path(catalogs, base), beside)
        _fill(beside, handed, version)
        beside.replace(path)
        os.utime(path)
    except (OSError, duckdb.Error) as refused:
        raise CatalogTrouble(
            f"The catalog cannot be written ({str(refused).splitlines()[0]})",
            str(catalogs),
            "Free some space; the catalog in use has not changed.",
        ) from None
    finally:
        for left in (handed, beside, beside.with_name(f"{beside.name}.wal")):
            left.unlink(missing_ok=True)


def _fill(beside: Path, handed: Path, version: str) -> None:
    """Put the offers into a copy of the catalog in use, and seal it under its version."""
    with draft(beside, {"memory_limit": MEMORY}) as connection:
        connection.begin()
        for table in WRITTEN_ANEW:
            connection.execute(f"DROP TABLE IF EXISTS {table}")
        for text in schema_texts():
            if any(text.startswith(f"CREATE TABLE {table} (") for table in WRITTEN_ANEW):
                connection.execute(text)
        connection.execute(
            "INSERT INTO offer BY NAME SELECT * FROM read_parquet($path) "
            "ORDER BY part, supplier, valid_from",
            {"path": str(handed)},
        )
        derive(connection)
        rules = connection.execute("SELECT rules FROM catalog_info").fetchone()
        for (index,) in connection.execute(
            "SELECT index_name FROM duckdb_indexes() WHERE database_name = 'snapshot'"
        ).fetchall():
            connection.execute(f'DROP INDEX "{index}"')
        seal(connection, version, str(rules[0]) if rules else "")
        connection.commit()
        connection.execute("CHECKPOINT snapshot")
