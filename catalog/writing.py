"""The tables of a snapshot in the making: made, derived, sealed; one transaction."""

from __future__ import annotations

from contextlib import contextmanager
from importlib.resources import files
from typing import TYPE_CHECKING, Any

import duckdb

from catalog.snapshots import LAYOUT, query

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping, Sequence
    from pathlib import Path

CHUNK = 20_000
DRAFT_SETTINGS: dict[str, str] = {
    "autoinstall_known_extensions": "false",
    "autoload_known_extensions": "false",
}

# Many small tables: at the usual block size most of the file would be empty. Small row
# groups: a look-up in a sorted column then reads little, and needs no index in memory.
ATTACH = "ATTACH '{path}' AS snapshot (BLOCK_SIZE 16384, ROW_GROUP_SIZE 16384)"


@contextmanager
def draft(
    path: Path, settings: Mapping[str, str] | None = None
) -> Iterator[duckdb.DuckDBPyConnection]:
    """Open a snapshot in the making, for writing.

    Parameters
    ----------
    path
        Its file; made where it is not there.
    settings
        Settings of DuckDB besides the usual ones.

    Yields
    ------
    A connection whose tables are those of the snapshot.
    """
    with duckdb.connect(config={**DRAFT_SETTINGS, **(settings or {})}) as connection:
        open_draft(connection, path)
        yield connection
        close_draft(connection, "memory")


def open_draft(connection: duckdb.DuckDBPyConnection, path: Path) -> None:
    """Open a snapshot in the making beside what a connection has open already.

    Parameters
    ----------
    connection
        The connection; its tables are those of the snapshot from here on.
    path
        The snapshot's file; made where it is not there.
    """
    quoted = str(path).replace("'", "''")
    connection.execute(ATTACH.format(path=quoted))
    connection.execute("USE snapshot")


def close_draft(connection: duckdb.DuckDBPyConnection, back_to: str) -> None:
    """Close a snapshot in the making.

    Parameters
    ----------
    connection
        The connection.
    back_to
        The database whose tables it has from here on.
    """
    connection.execute(f"USE {back_to}")
    connection.execute("DETACH snapshot")


def schema_texts() -> list[str]:
    """Return the statements of the schema in their order.

    Returns
    -------
    One SQL statement each: tables first, then indexes.
    """
    entries = [entry for entry in files("catalog.schema").iterdir() if entry.name.endswith(".sql")]
    return [
        entry.read_text(encoding="utf-8") for entry in sorted(entries, key=lambda each: each.name)
    ]


def make_tables(connection: duckdb.DuckDBPyConnection) -> None:
    """Make every table of a snapshot, empty.

    Parameters
    ----------
    connection
        The snapshot in the making.
    """
    for text in schema_texts():
        if text.startswith("CREATE TABLE"):
            connection.execute(text)


def derive(connection: duckdb.DuckDBPyConnection) -> None:
    """Fill the tables that price lists and searches by number read, from the rows themselves.

    Parameters
    ----------
    connection
        The snapshot in the making, with its rows.
    """
    derive_by_supplier(connection)
    derive_numbers(connection)


def derive_by_supplier(connection: duckdb.DuckDBPyConnection) -> None:
    """Fill the offers by supplier, from the offers.

    Parameters
    ----------
    connection
        The snapshot in the making, with its offers.
    """
    connection.execute(query("fill_supplier_offers"))


def derive_numbers(connection: duckdb.DuckDBPyConnection) -> None:
    """Fill the tables that a search by number reads, from parts, offers and other numbers.

    Parameters
    ----------
    connection
        The snapshot in the making, with its rows.
    """
    connection.execute(query("fill_known_numbers"))
    connection.execute(query("fill_slips"))


def seal(connection: duckdb.DuckDBPyConnection, version: str, rules_text: str) -> None:
    """Write down what the snapshot holds, and build the indexes.

    Parameters
    ----------
    connection
        The snapshot in the making, all rows in.
    version
        Its version.
    rules_text
        The fit rules that it goes by.
    """
    connection.execute("DELETE FROM catalog_info")
    connection.execute(
        query("fill_catalog_info"), {"version": version, "layout": LAYOUT, "rules": rules_text}
    )
    # Indexes after the rows: each is built once, not kept up row by row.
    for text in schema_texts():
        if not text.startswith("CREATE TABLE"):
            connection.execute(text)


def insert(
    connection: duckdb.DuckDBPyConnection,
    table: str,
    columns: Sequence[str],
    rows: Sequence[Sequence[Any]],
) -> None:
    """Insert rows by column, as text that DuckDB casts exactly to the column's type.

    Parameters
    ----------
    connection
        The snapshot in the making.
    table, columns
        Where the rows go; names come from the row models, never from a file.
    rows
        Cells in the order of `columns`.
    """
    names = ", ".join(f'"{column}"' for column in columns)
    values = ", ".join(f"unnest(${column}::VARCHAR[])" for column in columns)
    statement = f'INSERT INTO "{table}" ({names}) SELECT {values}'
    for start in range(0, len(rows), CHUNK):
        chunk = rows[start : start + CHUNK]
        by_column = {
            column: [_cell(row[place]) for row in chunk] for place, column in enumerate(columns)
        }
        connection.execute(statement, by_column)


def _cell(value: object) -> str | None:
    if value is None:
        return None
    if isinstance(value, bool):
        return "true" if value else "false"
    return repr(value) if isinstance(value, float) else str(value)
