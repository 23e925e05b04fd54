"""The validated rows of a source folder, by kind, and the hash of what they say."""

from __future__ import annotations

import hashlib
from dataclasses import dataclass, field
from pathlib import Path
from typing import TypeVar

from catalog.cells import Row
from catalog.part_rows import PartRow
from catalog.rows import (
    PART_FILES,
    SOURCE_FILES,
    AlikeRow,
    HeaterFamilyRow,
    ListedRow,
    OfferRow,
    OperationRow,
    OtherNumberRow,
    ReplacementHeaterRow,
    StockRow,
)

AnyRow = TypeVar("AnyRow", bound=Row)
Numbered = tuple[tuple[int, AnyRow], ...]


@dataclass(frozen=True)
class Source:
    """All validated rows of a source folder, each with its row number.

    `refused_keys` are the numbers and slugs of refused rows, so that a row that names one
    is not refused for that a second time.
    """

    folder: Path
    rows: dict[str, tuple[tuple[int, Row], ...]] = field(default_factory=dict)
    rules_text: str = ""
    refused_keys: frozenset[str] = frozenset()

    def rows_of(self, name: str, model: type[AnyRow]) -> Numbered[AnyRow]:
        """Return the rows of a file.

        Parameters
        ----------
        name
            The file's name without ".csv".
        model
            The rows' model.

        Returns
        -------
        Row number and row.
        """
        return tuple((n, row) for n, row in self.rows.get(name, ()) if isinstance(row, model))

    @property
    def heater_families(self) -> Numbered[HeaterFamilyRow]:
        """Heater families."""
        return self.rows_of("heater_family", HeaterFamilyRow)

    @property
    def listed(self) -> Numbered[ListedRow]:
        """What the makers list."""
        return self.rows_of("listed", ListedRow)

    @property
    def alike(self) -> Numbered[AlikeRow]:
        """Parts alike both ways."""
        return self.rows_of("alike", AlikeRow)

    @property
    def offers(self) -> Numbered[OfferRow]:
        """Suppliers' offers."""
        return self.rows_of("offer", OfferRow)

    @property
    def stock(self) -> Numbered[StockRow]:
        """Van and branch stock."""
        return self.rows_of("stock", StockRow)

    @property
    def other_numbers(self) -> Numbered[OtherNumberRow]:
        """Numbers that others have for a part."""
        return self.rows_of("other_number", OtherNumberRow)

    @property
    def operations(self) -> Numbered[OperationRow]:
        """Labor operations."""
        return self.rows_of("operation", OperationRow)

    @property
    def replacement_heaters(self) -> Numbered[ReplacementHeaterRow]:
        """Replacement heaters."""
        return self.rows_of("replacement_heater", ReplacementHeaterRow)

    def parts(self) -> dict[str, PartRow]:
        """Return every part by its number.

        Returns
        -------
        Number to row.
        """
        return {
            row.number: row for file in PART_FILES for _, row in self.rows_of(file.name, PartRow)
        }

    def rows_by_part(self) -> dict[str, tuple[str, int]]:
        """Return where each part is defined.

        Returns
        -------
        Number to file name and row number.
        """
        return {
            row.number: (f"{file.name}.csv", n)
            for file in PART_FILES
            for n, row in self.rows_of(file.name, PartRow)
        }

    def content_hash(self) -> str:
        """Return a hash of the content; the same rows give the same hash.

        Returns
        -------
        Sixteen hexadecimal digits.

        Notes
        -----
        SHA-256 over the rules and the validated rows in their order. Line ends,
        separators, a byte order mark and the order of columns do not count.
        """
        digest = hashlib.sha256(self.rules_text.encode())
        for file in SOURCE_FILES:
            digest.update(f"\n# {file.name}\n".encode())
            for _, row in self.rows.get(file.name, ()):
                digest.update(row.model_dump_json().encode() + b"\n")
        return digest.hexdigest()[:16]
