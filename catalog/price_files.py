"""A supplier's price list as it comes: CSV, Excel or Parquet, any order of columns."""

from __future__ import annotations

import csv
import gzip
import io
import zlib
from contextlib import contextmanager
from difflib import get_close_matches
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import TYPE_CHECKING, Any, Final, NamedTuple

from catalog.reading import FIELD_READ_LIMIT, OLD_WORKBOOK, SEPARATORS, is_utf_16
from estimator.errors import CatalogTrouble

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping, Sequence

FIELDS: Final = ("number", "cost", "list_price", "order_days", "supplier_number")
NEEDED: Final = ("number", "cost")
CALLED: Final[dict[str, tuple[str, ...]]] = {
    "number": ("number", "part", "part number", "part no", "item", "item number", "sku", "no"),
    "cost": ("cost", "net", "net price", "your price", "price", "unit cost"),
    "list_price": ("list price", "list", "retail", "msrp"),
    "order_days": ("order days", "lead time", "days", "lead days"),
    "supplier_number": ("supplier number", "our number", "our no", "stock number"),
}
"""What suppliers call a column, in lower case; common practice, no source."""

EXCEL: Final = (".xlsx", ".xlsm")
PARQUET: Final = (".parquet", ".pq")
HEADER_BYTES: Final = 1_000_000


class PriceFile(NamedTuple):
    """A file ready to be read: its kind, its columns by name, its separator."""

    path: Path
    kind: str
    columns: tuple[str, ...]
    separator: str = ","


@contextmanager
def price_file(path: Path) -> Iterator[PriceFile]:
    """Look at a price list and make it ready to be read.

    Parameters
    ----------
    path
        The file: CSV (packed by gzip or not), an Excel workbook, or Parquet.

    Yields
    ------
    The file; a workbook is written out as CSV in a folder of its own until the end.

    Raises
    ------
    CatalogTrouble
        If it is missing, of another kind, cut short, or its header is not usable.
    """
    if path.is_dir():
        raise CatalogTrouble("The price list is a folder", str(path), "Name the file in it.")
    if not path.is_file():
        raise CatalogTrouble("There is no price list", str(path), "Check the name.")
    suffix = path.suffix.lower()
    if suffix in PARQUET:
        yield PriceFile(path, "parquet", ())
    elif suffix in EXCEL:
        with TemporaryDirectory() as folder:
            plain = Path(folder) / "sheet.csv"
            _sheet_as_csv(path, plain)
            yield PriceFile(plain, "csv", _checked_header(path, _cells(_head(path, plain), ",")))
    else:
        head = _head(path, path)
        separator = max(SEPARATORS, key=head.count)
        yield PriceFile(path, "csv", _checked_header(path, _cells(head, separator)), separator)


def mapped(
    path: Path, columns: Sequence[str], told: Mapping[str, str] | None = None
) -> dict[str, str]:
    """Say which column holds what.

    Parameters
    ----------
    path
        The file, for messages.
    columns
        Its columns.
    told
        Field to column, as the owner said or as it is remembered.

    Returns
    -------
    Field to column: what was told, else what suppliers usually call it.

    Raises
    ------
    CatalogTrouble
        If a field is not known, a column is not there, or number or cost is missing.
    """
    found: dict[str, str] = {}
    for field, column in (told or {}).items():
        if field not in FIELDS:
            near = get_close_matches(field, FIELDS, n=1)
            hint = f'Did you mean "{near[0]}"?' if near else f"Known are {', '.join(FIELDS)}."
            raise CatalogTrouble(f'"{field}" is nothing that a price list holds', "", hint)
        if column not in columns:
            raise CatalogTrouble(
                f'The column "{column}" is not there', str(path), f"It has {', '.join(columns)}."
            )
        found[field] = column
    if told is None:
        found = guessed(columns)
    missing = [field for field in NEEDED if field not in found]
    if missing:
        raise CatalogTrouble(
            f"It is not clear which column holds the {' and the '.join(missing)}",
            str(path),
            f"Say it with --map {missing[0]}=COLUMN; its columns are {', '.join(columns)}.",
        )
    return found


def guessed(columns: Sequence[str]) -> dict[str, str]:
    """Say which column holds what, by what suppliers usually call it.

    Parameters
    ----------
    columns
        The columns of a price list.

    Returns
    -------
    Field to column; a field whose column is not plain is left out.
    """
    plain = {" ".join(c.lower().replace("_", " ").replace(".", "").split()): c for c in columns}
    found: dict[str, str] = {}
    for field, names in CALLED.items():
        free = [plain[name] for name in names if name in plain]
        if free and free[0] not in found.values():
            found[field] = free[0]
    return found


def cut_short(path: Path) -> CatalogTrouble:
    """Say that a packed file ends before its end, and after which row.

    Parameters
    ----------
    path
        The file, packed by gzip.

    Returns
    -------
    The refusal, with the last row that is whole.
    """
    unpacking, rows = zlib.decompressobj(wbits=31), 0
    with path.open("rb") as held:
        while block := held.read(1 << 20):
            try:
                rows += unpacking.decompress(block).count(b"\n")
            except zlib.error:
                break
    where = f"{path} after row {rows}" if rows else str(path)
    return CatalogTrouble("The packed file is cut short", where, "Get it again.")


def _head(shown: Path, path: Path) -> str:
    """Return the header line as text; refuse what is no text."""
    try:
        with path.open("rb") as held:
            data = held.read(2)
            packed = data == b"\x1f\x8b"
            held.seek(0)
            data = gzip.GzipFile(fileobj=held).read(HEADER_BYTES) if packed else b""
            data = data or held.read(HEADER_BYTES)
    except (EOFError, zlib.error):
        raise cut_short(shown) from None
    except OSError as refused:
        raise CatalogTrouble(
            f"The file cannot be read ({refused})", str(shown), "Get it again."
        ) from None
    if data.startswith(b"PK\x03\x04"):
        raise CatalogTrouble(
            "The file is a workbook or an archive", str(shown), "Name it .xlsx, or unpack it."
        )
    if data.startswith(OLD_WORKBOOK):
        raise CatalogTrouble(
            "The file is an old workbook (.xls)", str(shown), "Save it as .xlsx or CSV UTF-8."
        )
    if is_utf_16(data):
        raise CatalogTrouble("The file is UTF-16", str(shown), "Save it as CSV UTF-8.")
    end = data.find(b"\n")
    if b"\r" in (data if end < 0 else data[:end]).rstrip(b"\r"):
        raise CatalogTrouble(
            "The lines end in a carriage return alone", str(shown), "Save it as CSV UTF-8."
        )
    line = data if end < 0 else data[:end]
    if not line.strip():
        raise CatalogTrouble("The file has no header row", str(shown), "Name each column.")
    try:
        return line.decode("utf-8-sig").rstrip("\r")
    except UnicodeDecodeError as refused:
        raise CatalogTrouble(
            f"The file is not UTF-8 (byte 0x{line[refused.start]:02x})",
            f"{shown} row 1",
            "Save it as CSV UTF-8.",
        ) from None


def _cells(head: str, separator: str) -> list[str]:
    csv.field_size_limit(FIELD_READ_LIMIT)
    return next(csv.reader(io.StringIO(head), delimiter=separator), [])


def _checked_header(path: Path, header: Sequence[str]) -> tuple[str, ...]:
    names = [cell.strip() for cell in header]
    if "" in names:
        raise CatalogTrouble(
            f"Column {names.index('') + 1} has no name",
            f"{path} row 1",
            "Part merged cells and name each column.",
        )
    twice = sorted({name for name in names if names.count(name) > 1})
    if twice:
        raise CatalogTrouble(
            f'The column "{twice[0]}" is there twice', f"{path} row 1", "Keep one."
        )
    return tuple(names)


def _sheet_as_csv(path: Path, plain: Path) -> None:
    """Write the first sheet as CSV; a formula stays its own text, to be refused by row."""
    # Here and not at the top: only a workbook needs it.
    from openpyxl import load_workbook  # noqa: PLC0415

    try:
        book = load_workbook(path, read_only=True, data_only=False)
        with plain.open("w", encoding="utf-8", newline="") as out:
            writer = csv.writer(out, lineterminator="\n")
            sheet = book.worksheets[0]
            for row in sheet.iter_rows(values_only=True):
                writer.writerow([_cell(value) for value in row])
    except Exception as refused:  # noqa: BLE001  (zip and XML errors have no common base)
        raise CatalogTrouble(
            f"The workbook cannot be read ({type(refused).__name__})", str(path), "Save it again."
        ) from None


def _cell(value: Any) -> str:
    if value is None:
        return ""
    if isinstance(value, float) and value.is_integer():
        return str(int(value))
    return str(value)
