"""A supplier's price list: looked at before it counts, published whole, taken back.

All checks run set-wise in DuckDB, beside the catalog in use and never in it. Publishing
writes a new snapshot and points to it; a program that is killed at any moment leaves the
catalog in use as it was.
"""

from __future__ import annotations

import hashlib
import os
import re
import shutil
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from typing import TYPE_CHECKING, Any

import duckdb

from catalog.price_files import FIELDS, mapped, price_file
from catalog.snapshots import (
    Catalog,
    current_version,
    point_to,
    query,
    snapshot_path,
    versions,
)
from catalog.writing import DRAFT_SETTINGS, derive_numbers, draft, schema_texts, seal
from estimator.errors import CatalogTrouble

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping
    from pathlib import Path

    from catalog.price_files import PriceFile

SHOWN = 200
LONGEST_LINE = 4_000_000
MEMORY = "600MB"


@dataclass(frozen=True)
class PriceChange:
    """A part whose price changes [USD]; `cost_before` is ``None`` for a new offer."""

    row: int
    part: str
    cost_before: Decimal | None
    cost: Decimal
    list_price: Decimal | None
    list_before: Decimal | None = None


@dataclass(frozen=True)
class PricePreview:
    """What a price list would change; nothing has changed yet.

    `counts` are rows by kind: new, changed, same, vanished, rejected. The lists hold the
    first rows of each kind, `rejected` row and reason, as a spreadsheet counts rows.
    """

    file: str
    supplier: str
    holds_from: date
    mapping: dict[str, str]
    counts: dict[str, int]
    new: tuple[PriceChange, ...] = ()
    changed: tuple[PriceChange, ...] = ()
    vanished: tuple[str, ...] = ()
    rejected: tuple[tuple[int, str], ...] = ()


def preview_price_list(
    catalogs: Path, path: Path, supplier: str, holds_from: date,
    told: Mapping[str, str] | None = None,
) -> PricePreview:  # fmt: skip
    """Say what a price list would change.

    Parameters
    ----------
    catalogs
        The folder of catalog snapshots.
    path
        The price list: CSV, Excel or Parquet.
    supplier
        Whose prices they are, as the catalog writes his name.
    holds_from
        The first day on which they hold.
    told
        Field to column, where the owner said it.

    Returns
    -------
    The preview.

    Raises
    ------
    CatalogTrouble
        If the file cannot be read, or it is not clear which column holds what.
    """
    with _staged(catalogs, path, supplier, holds_from, told) as (connection, mapping):
        counts = dict.fromkeys(("new", "changed", "same", "vanished", "rejected"), 0)
        counts |= dict(connection.execute(query("price_counts")).fetchall())
        vanished: tuple[str, ...] = ()
        if counts["vanished"]:
            found = connection.execute(query("price_vanished")).fetchall()
            vanished = tuple(row[0] for row in found)
            counts["vanished"] = len(vanished)
        counts["rejected"] = _first(connection, "price_rejected_count")
        rejected = connection.execute(query("price_rejected"), {"most": SHOWN}).fetchall()
        return PricePreview(
            file=str(path),
            supplier=supplier,
            holds_from=holds_from,
            mapping=mapping,
            counts=counts,
            new=_changes(connection, "new"),
            changed=_changes(connection, "changed"),
            vanished=vanished[:SHOWN],
            rejected=tuple((row, reason) for row, reason in rejected),
        )


def publish_price_list(
    catalogs: Path, path: Path, supplier: str, holds_from: date,
    told: Mapping[str, str] | None = None, *, partial: bool = False,
) -> str:  # fmt: skip
    """Put a price list in force as a new catalog; rejected rows are left out.

    Parameters
    ----------
    catalogs, path, supplier, holds_from, told
        As for `preview_price_list`.
    partial
        Whether the list holds a part of the supplier's range only: what is not in it then
        keeps its price.

    Returns
    -------
    The new version. The supplier's earlier offers end the day before; offers for what
    has vanished from his list end with them.

    Raises
    ------
    CatalogTrouble
        If the file cannot be read, holds no usable row, or the disk is full.
    """
    base = current_version(catalogs)
    with _staged(catalogs, path, supplier, holds_from, told) as (connection, mapping):
        usable = connection.execute(
            "SELECT count(*) FROM price_judged WHERE kind NOT IN ('rejected', 'vanished')"
        ).fetchone()
        if not usable or not usable[0]:
            raise CatalogTrouble(
                "The price list holds no row that can be used", str(path), "Look at the preview."
            )
        version = _version(base, path, supplier, holds_from, {**mapping, "partial": str(partial)})
        beside = snapshot_path(catalogs, version).with_name(f"catalog-{version}-{os.getpid()}.tmp")
        try:
            connection.execute(f"SET VARIABLE partial = {partial}")
            connection.execute(query("price_offers"))
            shutil.copyfile(snapshot_path(catalogs, base), beside)
            _write(connection, beside, version)
            beside.replace(snapshot_path(catalogs, version))
            os.utime(snapshot_path(catalogs, version))
        except (OSError, duckdb.Error) as refused:
            raise CatalogTrouble(
                f"The catalog cannot be written ({str(refused).splitlines()[0]})",
                str(catalogs),
                "Free some space; the catalog in use has not changed.",
            ) from None
        finally:
            beside.unlink(missing_ok=True)
            beside.with_name(f"{beside.name}.wal").unlink(missing_ok=True)
    with Catalog.open_version(catalogs, version):
        point_to(catalogs, version)
    from catalog.database import keep_last  # noqa: PLC0415  (it imports this package's builder)

    keep_last(catalogs)
    return version


def roll_back(catalogs: Path, version: str | None = None) -> str:
    """Bring an earlier catalog back.

    Parameters
    ----------
    catalogs
        The folder of catalog snapshots.
    version
        Which one; the one published before the one in use if ``None``.

    Returns
    -------
    The version now in use.

    Raises
    ------
    CatalogTrouble
        If there is none, or it cannot be opened; the one in use then stays.
    """
    kept = versions(catalogs)
    in_use = current_version(catalogs)
    if version is None:
        later = kept.index(in_use) + 1 if in_use in kept else 0
        if later >= len(kept):
            raise CatalogTrouble(
                "There is no earlier catalog to go back to", str(catalogs), "Build one anew."
            )
        version = kept[later]
    if version not in kept:
        raise CatalogTrouble(
            f"There is no catalog of version {version}", str(catalogs),
            f"Kept are {', '.join(kept) or 'none'}.",
        )  # fmt: skip
    with Catalog.open_version(catalogs, version):
        point_to(catalogs, version)
    return version


@contextmanager
def _staged(
    catalogs: Path, path: Path, supplier: str, holds_from: date, told: Mapping[str, str] | None
) -> Iterator[tuple[duckdb.DuckDBPyConnection, dict[str, str]]]:
    """Read and judge a price list in a database of its own, beside the catalog in use."""
    base = snapshot_path(catalogs, current_version(catalogs))
    settings: dict[str, Any] = {**DRAFT_SETTINGS, "memory_limit": MEMORY}
    with price_file(path) as file, duckdb.connect(config=settings) as connection:
        quoted = str(base).replace("'", "''")
        connection.execute(f"ATTACH '{quoted}' AS base (READ_ONLY)")
        connection.execute("USE base")
        connection.execute("SET VARIABLE supplier = $supplier", {"supplier": supplier})
        connection.execute("SET VARIABLE holds_from = $day::DATE", {"day": holds_from})
        try:
            mapping = _read(connection, file, path, told)
            # Rows carry their numbers from here on.
            connection.execute("SET preserve_insertion_order = false")
            # Values and not variables: DuckDB then reads only what they leave of a table.
            told_of = {"supplier": supplier, "holds_from": holds_from}
            tells = {f"tells_{name}": name in mapping for name in ("list_price", "supplier_number")}
            connection.execute(query("price_1_read"))
            connection.execute(query("price_2_parts"), {"supplier": supplier})
            connection.execute(query("price_3_joined"), {**told_of, **tells})
            _judge(connection, told_of)
        except duckdb.Error as refused:
            raise _unreadable(path, refused) from None
        yield connection, mapping


def _judge(connection: duckdb.DuckDBPyConnection, told_of: dict[str, Any]) -> None:
    """Judge the joined rows; counts tell whether any part can be there twice at all."""
    doubts = connection.execute(query("price_doubts"), told_of).fetchone()
    rows, joined, matched, vanished, held = doubts or (0, 1, 0, 0, 0)
    several = joined != rows
    twice = several or matched != held - vanished
    connection.execute(query("price_4_twice"), {"all_rows": twice})
    connection.execute(query("price_5_latest"), {"any_several": several})
    connection.execute(query("price_6_judged"))


def _read(
    connection: duckdb.DuckDBPyConnection, file: PriceFile, path: Path,
    told: Mapping[str, str] | None,
) -> dict[str, str]:  # fmt: skip
    source, columns, values = _source(connection, file)
    mapping = mapped(path, columns, told)
    picked = ", ".join(
        f"{_quoted(mapping[field])}::VARCHAR AS {field}" if field in mapping
        else f"NULL::VARCHAR AS {field}"
        for field in FIELDS
    )  # fmt: skip
    connection.execute(
        f"CREATE TEMP TABLE price_text AS SELECT row_number() OVER () + 1 AS line, {picked} "
        f"FROM {source}",
        values,
    )
    refused = "SELECT 0::BIGINT AS line, '' AS reason WHERE false"
    if file.kind == "csv":
        refused = (
            "SELECT line::BIGINT AS line, 'the row cannot be read: ' || "
            "lower(error_type::VARCHAR) AS reason FROM reject_errors"
        )
    connection.execute(f"CREATE TEMP TABLE price_refused AS {refused}")
    if _first(connection, "price_refused_count"):
        connection.execute(query("price_0_renumber"))
    return mapping


def _source(
    connection: duckdb.DuckDBPyConnection, file: PriceFile
) -> tuple[str, tuple[str, ...], dict[str, Any]]:
    if file.kind == "parquet":
        values = {"path": str(file.path)}
        described = connection.execute("DESCRIBE SELECT * FROM read_parquet($path)", values)
        return "read_parquet($path)", tuple(row[0] for row in described.fetchall()), values
    types = ", ".join(f"{_text(name)}: 'VARCHAR'" for name in file.columns)
    source = (
        f"read_csv($path, auto_detect = false, header = true, columns = {{{types}}}, "
        f"delim = {_text(file.separator)}, quote = '\"', escape = '\"', store_rejects = true, "
        f"rejects_limit = 100000, max_line_size = {LONGEST_LINE})"
    )
    return source, file.columns, {"path": str(file.path)}


def _text(value: str) -> str:
    return "'" + value.replace("'", "''") + "'"


def _quoted(name: str) -> str:
    return '"' + name.replace('"', '""') + '"'


def _unreadable(path: Path, refused: duckdb.Error) -> CatalogTrouble:
    said = str(refused)
    if "GZIP" in said or "gzip" in said:
        return CatalogTrouble("The packed file is cut short", str(path), "Get it again.")
    if isinstance(refused, duckdb.OutOfMemoryException):
        return CatalogTrouble("The price list is too large at once", str(path), "Part it.")
    line = re.search(r"[Ll]ine:? (\d+)", said)
    where = f"{path} row {line.group(1)}" if line else str(path)
    return CatalogTrouble(
        f"The price list cannot be read ({said.splitlines()[0][:160]})", where, "Save it anew."
    )


def _changes(connection: duckdb.DuckDBPyConnection, kind: str) -> tuple[PriceChange, ...]:
    rows = connection.execute(query("price_changes"), {"kind": kind, "most": SHOWN}).fetchall()
    return tuple(
        PriceChange(row, part, before, cost, list_price, list_before)
        for row, part, before, cost, list_before, list_price in rows
    )


def _first(connection: duckdb.DuckDBPyConnection, name: str) -> int:
    row = connection.execute(query(name)).fetchone()
    return int(row[0]) if row else 0


def _version(
    base: str, path: Path, supplier: str, holds_from: date, mapping: Mapping[str, str]
) -> str:
    digest = hashlib.sha256(f"{base}|{supplier}|{holds_from}|{sorted(mapping.items())}".encode())
    with path.open("rb") as held:
        while block := held.read(1 << 20):
            digest.update(block)
    return digest.hexdigest()[:16]


def _write(staged: duckdb.DuckDBPyConnection, beside: Path, version: str) -> None:
    """Put the offers into a copy of the catalog in use, and seal it under its version."""
    handed = beside.with_suffix(".parquet.tmp")
    staged.execute(f"COPY price_offer TO {_text(str(handed))} (FORMAT parquet)")
    try:
        with draft(beside, {"memory_limit": MEMORY}) as connection:
            connection.begin()
            for text in (text for text in schema_texts() if "CREATE TABLE offer" in text):
                connection.execute("DROP TABLE offer")
                connection.execute(text)
            connection.execute(
                "INSERT INTO offer BY NAME SELECT * FROM read_parquet($path) "
                "ORDER BY part, supplier, valid_from",
                {"path": str(handed)},
            )
            connection.execute("DELETE FROM known_number")
            connection.execute("DELETE FROM slip")
            derive_numbers(connection)
            rules = connection.execute("SELECT rules FROM catalog_info").fetchone()
            for (index,) in connection.execute(
                "SELECT index_name FROM duckdb_indexes() WHERE database_name = 'snapshot'"
            ).fetchall():
                connection.execute(f"DROP INDEX {_quoted(index)}")
            seal(connection, version, str(rules[0]) if rules else "")
            connection.commit()
            connection.execute("CHECKPOINT snapshot")
    finally:
        handed.unlink(missing_ok=True)
