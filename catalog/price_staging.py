"""A price list read and judged in a database of its own, beside the catalog in use.

All checks run set-wise in DuckDB. One pass holds every row against the supplier's offers
and counts; only what that pass cannot settle is looked at again, row by row.
"""

from __future__ import annotations

import re
from contextlib import contextmanager
from tempfile import TemporaryDirectory
from typing import TYPE_CHECKING, Any

import duckdb

from catalog.price_files import FIELDS, cut_short, mapped, price_file
from catalog.snapshots import query
from catalog.supplier_names import checked_name, refuse_other_spelling
from catalog.versions import current_version, snapshot_path
from catalog.writing import DRAFT_SETTINGS
from estimator.errors import CatalogTrouble

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping
    from datetime import date
    from pathlib import Path

    from catalog.price_files import PriceFile

SHOWN = 200
LONGEST_LINE = 4_000_000
MOST_UNREAD = 100_000
MEMORY = "600MB"
MATCHED = ("rejected", "new", "changed", "same")
UNMATCHED = ("vanished", "unlisted")


class StagedList:
    """A price list that was read: its rows, compared with what the supplier asked before.

    `base` is the version of the catalog that it is held against, `supplier` his name as the
    catalog writes it.
    """

    def __init__(
        self, connection: duckdb.DuckDBPyConnection, base: str, mapping: dict[str, str],
        supplier: str, holds_from: date,
    ) -> None:  # fmt: skip
        self.connection = connection
        self.base = base
        self.mapping = mapping
        self.supplier = supplier
        self._told = {"supplier": supplier, "holds_from": holds_from}
        self._tells = {
            f"tells_{name}": name in mapping
            for name in ("list_price", "order_days", "supplier_number")
        }
        self._compared: dict[str, int] = {}

    def run(self, name: str, values: Mapping[str, Any] | None = None) -> list[tuple[Any, ...]]:
        """Run a query of catalog/sql.

        Parameters
        ----------
        name
            The query's name.
        values
            Its parameters besides supplier, day, and which columns the list has.

        Returns
        -------
        Rows.
        """
        text = query(name)
        every = {**self._told, **self._tells, **(values or {})}
        asked = {key: value for key, value in every.items() if re.search(rf"\${key}\b", text)}
        return self.connection.execute(text, asked).fetchall()

    @property
    def compared(self) -> bool:
        """Whether the first pass settled most rows; else all were judged one by one."""
        return bool(self._compared)

    def compare(self) -> None:
        """Hold every row against the offers in one pass, and judge what that left open."""
        ((rows, parts, held),) = self.run("price_sizes")
        mostly_new = 2 * held < rows
        every = "price_1_base_every" if held else "price_1_base_new"
        self.run(every if mostly_new else "price_1_base_held")
        self.run("price_2_compared", {"most": SHOWN})
        found = {kind: counts for kind, *counts in self.run("price_compared_counts")}
        self._compared = {kind: counts[0] for kind, counts in found.items()}
        lines = sum(counts[1] for counts in found.values())
        matched = sum(found[kind][2] for kind in MATCHED if kind in found)
        unmatched = sum(found[kind][0] for kind in UNMATCHED if kind in found)
        # Counts tell whether any part can be there twice, in the list or among the offers.
        once = lines == rows and matched == (parts if mostly_new else held) - unmatched
        self.judge(every=not once)
        if once and self.run("price_met_twice")[0][0]:
            self.judge(every=True)

    def judge(self, *, every: bool) -> None:
        """Judge rows one by one.

        Parameters
        ----------
        every
            Whether all rows are judged, or only those that the first pass left open.
        """
        if every:
            self._compared = {}
        for name in ("price_3_asked", "price_4_named", "price_5_joined", "price_6_judged"):
            self.run(name, {"every": every})

    def counts(self) -> dict[str, int]:
        """Return rows by kind.

        Returns
        -------
        new, changed, same, vanished, rejected to the number of rows.
        """
        counts = dict.fromkeys(("new", "changed", "same", "vanished", "rejected"), 0)
        judged = dict(self.run("price_counts"))
        for kind in ("new", "changed", "same", "rejected"):
            counts[kind] = self._compared.get(kind, 0) + judged.get(kind, 0)
        unsound = 0 if self._compared else self.run("price_unsound_count")[0][0]
        counts["rejected"] += unsound + self.run("price_refused_count")[0][0]
        counts["vanished"] = len(self.vanished()) if "vanished" in judged else 0
        return counts

    def vanished(self) -> tuple[str, ...]:
        """Return the parts that the supplier offered and the list does not name.

        Returns
        -------
        Part numbers, in order.
        """
        return tuple(part for (part,) in self.run("price_vanished"))

    def changes(self, kind: str) -> list[tuple[Any, ...]]:
        """Return the first rows of a kind, the greatest change first, then by line.

        Parameters
        ----------
        kind
            "new" or "changed".

        Returns
        -------
        Line, part, cost before, cost, list price before, list price.
        """
        held = {"kind": kind, "most": SHOWN}
        rows = self.run("price_changes", held)
        if kind in self._compared:
            rows += self.run("price_compared_changes", held)
        return sorted(rows, key=lambda row: (-abs(row[3] - row[2]) if row[2] else 0, row[0]))[
            :SHOWN
        ]


@contextmanager
def staged(
    catalogs: Path, path: Path, supplier: str, holds_from: date, told: Mapping[str, str] | None
) -> Iterator[StagedList]:
    """Read a price list beside the catalog in use, and never into it.

    Parameters
    ----------
    catalogs
        The folder of catalog snapshots.
    path
        The price list.
    supplier
        Whose it is.
    holds_from
        The first day on which its prices hold.
    told
        Field to column, where the owner said it.

    Yields
    ------
    The list, read; not yet compared.

    Raises
    ------
    CatalogTrouble
        If the file cannot be read, it is not clear which column holds what, or the supplier's
        name is none, or one that the catalog spells otherwise.
    """
    base = current_version(catalogs)
    supplier = checked_name(supplier)
    with (
        price_file(path) as file,
        TemporaryDirectory(prefix="catalog-") as spill,
        duckdb.connect(config=_settings(spill)) as connection,
    ):
        connection.execute(
            f"ATTACH {_text(str(snapshot_path(catalogs, base)))} AS base (READ_ONLY)"
        )
        connection.execute("USE base")
        connection.execute("SET VARIABLE supplier = $supplier", {"supplier": supplier})
        connection.execute("SET VARIABLE holds_from = $day::DATE", {"day": holds_from})
        try:
            _by_supplier(connection)
            refuse_other_spelling(connection, supplier)
            mapping = _read(connection, file, path, told)
            # Rows carry their places from here on.
            connection.execute("SET preserve_insertion_order = false")
            yield StagedList(connection, base, mapping, supplier, holds_from)
        except duckdb.Error as refused:
            raise _unreadable(path, refused) from None


def _settings(spill: str) -> dict[str, Any]:
    """Return bounds: what does not fit into memory goes to disk, not into the shop's folder."""
    return {**DRAFT_SETTINGS, "memory_limit": MEMORY, "temp_directory": spill}


def _by_supplier(connection: duckdb.DuckDBPyConnection) -> None:
    """Let offers stand in where a snapshot of an earlier program has none by supplier."""
    held = connection.execute(
        "SELECT count(*) FROM duckdb_tables() "
        "WHERE database_name = 'base' AND table_name = 'supplier_offer'"
    ).fetchone()
    if held and not held[0]:
        connection.execute("CREATE TEMP VIEW supplier_offer AS SELECT * FROM base.offer")


def _read(
    connection: duckdb.DuckDBPyConnection, file: PriceFile, path: Path,
    told: Mapping[str, str] | None,
) -> dict[str, str]:  # fmt: skip
    source, columns = _source(connection, file)
    mapping = mapped(path, columns, told)
    picked = ", ".join(
        f"{_quoted(mapping[field])}::VARCHAR AS {field}" if field in mapping
        else f"NULL::VARCHAR AS {field}"
        for field in FIELDS
    )  # fmt: skip
    connection.execute(f"CREATE TEMP VIEW price_text AS SELECT {picked} FROM {source}")
    connection.execute(query("price_1_read"))
    refused = "SELECT 0::BIGINT AS line, '' AS reason, 0 AS errors WHERE false"
    if file.kind == "csv":
        # A row is told once, by its first fault: each field too many or too few is one more.
        refused = (
            "SELECT line::BIGINT AS line, count(*) AS errors, 'the row cannot be read: ' || "
            "min_by(lower(error_type::VARCHAR), column_idx) AS reason "
            "FROM reject_errors GROUP BY line"
        )
    connection.execute(f"CREATE TEMP TABLE price_refused AS {refused}")
    _number_lines(connection, path)
    return mapping


def _number_lines(connection: duckdb.DuckDBPyConnection, path: Path) -> None:
    """Give each row its line, as a spreadsheet counts it: row 1 is the header."""
    counted = connection.execute(query("price_refused_count")).fetchone()
    unread, first, errors = counted or (0, 0, 0)
    if errors >= MOST_UNREAD:
        raise CatalogTrouble(
            f"{unread:,} rows or more of the price list cannot be read",
            f"{path} row {first}",
            "Each row needs as many fields as the header; save it anew.",
        )
    place = "SELECT rowid AS place, * FROM price_row"
    text = f"SELECT place + 2 AS line, * FROM ({place})"
    if unread:
        connection.execute(query("price_0_steps"))
        text = (
            f"SELECT place + 2 + coalesce(before, 0) AS line, * FROM ({place}) AS row "
            "ASOF LEFT JOIN price_step ON row.place + 2 >= price_step.since"
        )
    connection.execute(f"CREATE TEMP VIEW price_line AS {text}")


def _source(connection: duckdb.DuckDBPyConnection, file: PriceFile) -> tuple[str, tuple[str, ...]]:
    where = _text(str(file.path))
    if file.kind == "parquet":
        described = connection.execute(f"DESCRIBE SELECT * FROM read_parquet({where})")
        return f"read_parquet({where})", tuple(row[0] for row in described.fetchall())
    types = ", ".join(f"{_text(name)}: 'VARCHAR'" for name in file.columns)
    source = (
        f"read_csv({where}, auto_detect = false, header = true, columns = {{{types}}}, "
        f"delim = {_text(file.separator)}, quote = '\"', escape = '\"', store_rejects = true, "
        f"rejects_limit = {MOST_UNREAD}, max_line_size = {LONGEST_LINE})"
    )
    return source, file.columns


def _text(value: str) -> str:
    return "'" + value.replace("'", "''") + "'"


def _quoted(name: str) -> str:
    return '"' + name.replace('"', '""') + '"'


def _unreadable(path: Path, refused: duckdb.Error) -> CatalogTrouble:
    said = str(refused)
    if "GZIP" in said or "gzip" in said:
        return cut_short(path)
    if isinstance(refused, duckdb.OutOfMemoryException):
        return CatalogTrouble("The price list is too large at once", str(path), "Part it.")
    line = re.search(r"[Ll]ine:? (\d+)", said)
    where = f"{path} row {line.group(1)}" if line else str(path)
    return CatalogTrouble(
        f"The price list cannot be read ({said.splitlines()[0][:160]})", where, "Save it anew."
    )
