"""Building a snapshot from checked source files, and keeping the last ten."""

from __future__ import annotations

import os
from typing import TYPE_CHECKING

import duckdb
from pydantic import BaseModel, ConfigDict

from catalog.importing import read_folder, refuse
from catalog.numbers import fold
from catalog.part_rows import COMMON, PartRow
from catalog.relations import last_parts
from catalog.rows import OTHER_FILES, PART_FILES
from catalog.snapshots import Catalog
from catalog.source import Source
from catalog.versions import keep_last, point_to, snapshot_path
from catalog.writing import derive, draft, insert, make_tables, seal
from estimator.errors import CatalogTrouble

if TYPE_CHECKING:
    from pathlib import Path


class BuildReport(BaseModel):
    """What was built: version, file, rows by kind, notes.

    `unchanged` is true where the same content was there already and was only pointed to.
    """

    model_config = ConfigDict(frozen=True, extra="forbid")

    version: str
    path: str
    rows: dict[str, int]
    parts: int
    heater_families: int
    notes: tuple[str, ...] = ()
    unchanged: bool = False


def build_catalog(source: Path, catalogs: Path) -> BuildReport:
    """Build a snapshot from a folder of CSV files and put it to use.

    Parameters
    ----------
    source
        The folder of CSV files.
    catalogs
        The folder of catalog snapshots; made if it is not there.

    Returns
    -------
    What was built.

    Raises
    ------
    CatalogTrouble
        If any row is refused, naming the rows; or if the snapshot cannot be written. In
        both cases the catalog in use is as it was.
    """
    read = read_folder(source)
    refuse(read.rejected, source)
    version = read.source.content_hash()
    counts = {name: len(rows) for name, rows in read.source.rows.items()}
    path = snapshot_path(catalogs, version)
    unchanged = _opens(catalogs, version)
    try:
        catalogs.mkdir(parents=True, exist_ok=True)
        if unchanged:
            path.touch()
        else:
            _write(read.source, version, path)
        point_to(catalogs, version)
        keep_last(catalogs)
    except OSError as refused:
        raise CatalogTrouble(
            f"The catalog cannot be written ({refused.strerror})",
            str(catalogs),
            "Free some space or give the right to write there; the catalog in use has not changed.",
        ) from None
    return BuildReport(
        version=version,
        path=str(path),
        rows=counts,
        parts=sum(counts[file.name] for file in PART_FILES),
        heater_families=counts["heater_family"],
        notes=read.notes,
        unchanged=unchanged,
    )


def _opens(catalogs: Path, version: str) -> bool:
    try:
        with Catalog.open_version(catalogs, version):
            return True
    except CatalogTrouble:
        return False


def _write(source: Source, version: str, path: Path) -> None:
    beside = path.with_name(f"{path.stem}-{os.getpid()}.tmp")
    beside.unlink(missing_ok=True)
    try:
        with draft(beside) as connection:
            _fill(connection, source, version)
        beside.replace(path)
    except duckdb.Error as refused:
        first = str(refused).splitlines()[0]
        raise CatalogTrouble(
            f"The catalog cannot be written ({first})",
            str(path.parent),
            "The catalog in use has not changed.",
        ) from None
    finally:
        beside.unlink(missing_ok=True)
        beside.with_name(f"{beside.name}.wal").unlink(missing_ok=True)


def _fill(connection: duckdb.DuckDBPyConnection, source: Source, version: str) -> None:
    # One transaction: the disk is waited for once, not at every statement.
    connection.begin()
    make_tables(connection)
    _fill_parts(connection, source)
    for file in OTHER_FILES:
        columns = [name for name in file.model.model_fields if name != "notice"]
        rows = [
            [getattr(row, name) for name in columns] + [row.notice]
            for _, row in source.rows[file.name]
        ]
        insert(connection, file.name, [*columns, "notice"], rows)
    turned = [[pair.alike, pair.part, pair.notice] for _, pair in source.alike]
    insert(connection, "alike", ["part", "alike", "notice"], turned)
    derive(connection)
    seal(connection, version, source.rules_text)
    connection.commit()
    connection.execute("CHECKPOINT snapshot")


def _fill_parts(connection: duckdb.DuckDBPyConnection, source: Source) -> None:
    parts = dict(sorted(source.parts().items(), key=lambda item: fold(item[0])))
    replaced_by = {number: part.replaced_by for number, part in parts.items()}
    sold = {number for number, part in parts.items() if not part.discontinued}
    last = last_parts(replaced_by, sold)
    columns = [
        "number", "folded", "family", "description", "maker", "universal", "discontinued",
        "replaced_by", "sold_as", "notice",
    ]  # fmt: skip
    rows = [
        [
            part.number, fold(part.number), part.family, part.description, part.maker,
            part.universal, part.discontinued, part.replaced_by, last[number], part.notice,
        ]
        for number, part in parts.items()
    ]  # fmt: skip
    insert(connection, "part", columns, rows)
    for file in PART_FILES:
        features = [name for name in file.model.model_fields if name not in COMMON]
        held = [
            [row.number, *(getattr(row, name) for name in features), not row.discontinued]
            for _, row in source.rows_of(file.name, PartRow)
        ]
        insert(connection, file.name, ["number", *features, "sold"], held)
