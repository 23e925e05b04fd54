"""From source files to validated rows: every row that is refused is named, with why."""

from __future__ import annotations

from pathlib import Path
from typing import Any, NamedTuple

from pydantic import BaseModel, ConfigDict, ValidationError

from catalog.cells import Row
from catalog.fit_rules import FILE_NAME, FitRules, read_rules, rules_that_ship
from catalog.part_rows import FEATURES
from catalog.reading import Rejected, SourceText, read_source
from catalog.relations import broken_relations
from catalog.rows import SOURCE_FILES, SourceFile
from catalog.source import Source
from estimator.errors import CatalogTrouble
from estimator.refusals import refusals

SHOWN = 20


class ReadResult(NamedTuple):
    """A source folder as read: rows, rejections, and notes on what was seen."""

    source: Source
    rules: FitRules
    rejected: tuple[Rejected, ...]
    notes: tuple[str, ...]


class CheckReport(BaseModel):
    """What a dry run found: rows by file, rejections, notes. Nothing was written."""

    model_config = ConfigDict(frozen=True, extra="forbid")

    source: str
    rows: dict[str, int]
    rejected: tuple[tuple[str, int, str], ...] = ()
    notes: tuple[str, ...] = ()

    @property
    def sound(self) -> bool:
        """Whether a catalog can be built from it."""
        return not self.rejected


def read_folder(folder: Path) -> ReadResult:
    """Read and check a whole source folder.

    Parameters
    ----------
    folder
        Holds one CSV file for each kind of row, and perhaps its own fit rules.

    Returns
    -------
    Validated rows, rules, every rejection, notes.

    Raises
    ------
    CatalogTrouble
        If the folder is not there, or its fit rules are not usable.
    """
    if not folder.is_dir():
        raise CatalogTrouble(
            "The folder of catalog files is not there",
            str(folder),
            "Give the folder that holds part files such as sensing_element.csv.",
        )
    rules_text, rules = _rules_of(folder)
    rows: dict[str, tuple[tuple[int, Row], ...]] = {}
    rejected: list[Rejected] = []
    notes: list[str] = []
    refused_keys: set[str] = set()
    whole = True
    for file in SOURCE_FILES:
        path = folder / f"{file.name}.csv"
        if not file.needed and not path.exists():
            rows[file.name] = ()
            continue
        text = read_source(path, *_columns(file))
        whole &= text.whole
        refused_keys |= text.refused_cells
        rejected += text.rejected
        notes += text.notes
        rows[file.name], refused = _validated(path.name, text, file, refused_keys)
        rejected += refused
    source = Source(folder, rows, rules_text, frozenset(refused_keys))
    if whole:
        rejected += broken_relations(source, rules)
    else:
        notes.append("What files say of each other was not checked, for not all could be read")
    notes += _chain_notes(source)
    return ReadResult(source, rules, tuple(rejected), tuple(notes))


def check_catalog(source: Path) -> CheckReport:
    """Check a source folder without writing anything.

    Parameters
    ----------
    source
        The folder of CSV files.

    Returns
    -------
    Rows by file, every rejected row with its reason, and notes.

    Raises
    ------
    CatalogTrouble
        If the folder is not there, or its fit rules are not usable.
    """
    read = read_folder(source)
    return CheckReport(
        source=str(source),
        rows={name: len(rows) for name, rows in read.source.rows.items()},
        rejected=tuple(tuple(rejected) for rejected in read.rejected),
        notes=read.notes,
    )


def refuse(rejected: tuple[Rejected, ...], folder: Path) -> None:
    """Raise if any row was rejected.

    Parameters
    ----------
    rejected
        What was rejected.
    folder
        Where it came from.

    Raises
    ------
    CatalogTrouble
        Naming the first twenty, and how many more there are.
    """
    if not rejected:
        return
    shown = [str(row) for row in rejected[:SHOWN]]
    if len(rejected) > SHOWN:
        shown.append(f"and {len(rejected) - SHOWN:,} more")
    count = f"{len(rejected):,} row{'s' if len(rejected) > 1 else ''}"
    raise CatalogTrouble(
        f"The catalog is not built, for {count} cannot be taken",
        str(folder),
        " ".join(row if row.endswith("?") else f"{row}." for row in shown)
        + " Correct these rows and build again; the catalog in use has not changed.",
    )


def _rules_of(folder: Path) -> tuple[str, FitRules]:
    own = folder / FILE_NAME
    text, where = rules_that_ship(), FILE_NAME
    if own.exists():
        try:
            text, where = own.read_text(encoding="utf-8-sig"), str(own)
        except (OSError, UnicodeDecodeError) as refused:
            raise CatalogTrouble(
                f"The fit rules cannot be read ({refused})", str(own), "Save them as UTF-8."
            ) from None
    rules = read_rules(text, where)
    for family, rule in rules.rules():
        for feature in filter(None, (rule.feature, rule.only_if)):
            if feature not in FEATURES[family]:
                raise CatalogTrouble(
                    f'The rules of {family.value} name the feature "{feature}", which it has not',
                    where,
                    f"Its features are {', '.join(FEATURES[family])}.",
                )
    return text, rules


def _columns(file: SourceFile) -> tuple[list[str], list[str]]:
    fields = file.model.model_fields
    return list(fields), [name for name, held in fields.items() if held.is_required()]


def _validated(
    name: str, text: SourceText, file: SourceFile, refused_keys: set[str]
) -> tuple[tuple[tuple[int, Row], ...], list[Rejected]]:
    rejected: list[Rejected] = []
    rows: list[tuple[int, Row]] = []
    seen: dict[tuple[Any, ...], int] = {}
    for number, cells in text.rows:
        given = {column: cell for column, cell in cells.items() if cell.strip() != ""}
        try:
            row = file.model.model_validate(given)
        except ValidationError as refused:
            rejected.append(Rejected(name, number, _reason(refused, file.model)))
            refused_keys.add(given.get(file.key[0], ""))
            continue
        key = tuple(getattr(row, column) for column in file.key)
        if key in seen:
            shown = ", ".join(str(value) for value in key)
            reason = f"{shown} is there already in row {seen[key]}; keep one"
            rejected.append(Rejected(name, number, reason))
            continue
        seen[key] = number
        rows.append((number, row))
    return tuple(rows), rejected


def _reason(refused: ValidationError, model: type[Row]) -> str:
    told = []
    for refusal in refusals(refused, model):
        what = refusal.what.replace("the key", "the column", 1)
        told.append(f"{what}; {refusal.hint}" if refusal.hint else what)
    return "; ".join(told)


def _chain_notes(source: Source) -> list[str]:
    ends = [
        row.number for row in source.parts().values() if row.discontinued and not row.replaced_by
    ]
    if not ends:
        return []
    shown = ", ".join(sorted(ends)[:5]) + (", …" if len(ends) > 5 else "")
    return [f"{len(ends)} parts are no longer sold and nothing replaces them: {shown}"]
