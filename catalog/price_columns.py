"""The columns of a price list, so that a person can say which holds what."""

from __future__ import annotations

from typing import TYPE_CHECKING

import duckdb

from catalog.price_files import price_file
from estimator.errors import CatalogTrouble

if TYPE_CHECKING:
    from pathlib import Path


def price_list_columns(path: Path) -> tuple[str, ...]:
    """Return the columns of a price list.

    Parameters
    ----------
    path
        The file: CSV, Excel or Parquet.

    Returns
    -------
    Names of its columns, in the file's order.

    Raises
    ------
    CatalogTrouble
        If it cannot be read, or its header is not usable.
    """
    with price_file(path) as file:
        if file.kind != "parquet":
            return file.columns
        try:
            with duckdb.connect() as connection:
                asked = "DESCRIBE SELECT * FROM read_parquet($path)"
                rows = connection.execute(asked, {"path": str(file.path)}).fetchall()
        except duckdb.Error:
            raise CatalogTrouble(
                "The Parquet file is damaged and cannot be read", str(path), "Get it again."
            ) from None
    return tuple(str(row[0]) for row in rows)
