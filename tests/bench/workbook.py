"""A workbook as a spreadsheet program saves it: texts in a table apart, numbers as floats."""

from __future__ import annotations

import zipfile
from collections.abc import Iterable, Iterator, Sequence
from html import escape
from pathlib import Path

MAIN = "http://schemas.openxmlformats.org/spreadsheetml/2006/main"
OFFICE = "http://schemas.openxmlformats.org/officeDocument/2006/relationships"
PACKAGE = "http://schemas.openxmlformats.org/package/2006"
SHEETS = "application/vnd.openxmlformats-officedocument.spreadsheetml"
PARTS = {
    "[Content_Types].xml": (
        f'<Types xmlns="{PACKAGE}/content-types">'
        '<Default Extension="rels" ContentType="application/vnd.openxmlformats-package.'
        'relationships+xml"/>'
        f'<Override PartName="/xl/workbook.xml" ContentType="{SHEETS}.sheet.main+xml"/>'
        f'<Override PartName="/xl/worksheets/sheet1.xml" ContentType="{SHEETS}.worksheet+xml"/>'
        f'<Override PartName="/xl/sharedStrings.xml" ContentType="{SHEETS}.sharedStrings+xml"/>'
        "</Types>"
    ),
    "_rels/.rels": (
        f'<Relationships xmlns="{PACKAGE}/relationships"><Relationship Id="rId1" '
        f'Type="{OFFICE}/officeDocument" Target="xl/workbook.xml"/></Relationships>'
    ),
    "xl/workbook.xml": (
        f'<workbook xmlns="{MAIN}" xmlns:r="{OFFICE}"><sheets>'
        '<sheet name="Sheet1" sheetId="1" r:id="rId1"/></sheets></workbook>'
    ),
    "xl/_rels/workbook.xml.rels": (
        f'<Relationships xmlns="{PACKAGE}/relationships">'
        f'<Relationship Id="rId1" Type="{OFFICE}/worksheet" Target="worksheets/sheet1.xml"/>'
        f'<Relationship Id="rId2" Type="{OFFICE}/sharedStrings" Target="sharedStrings.xml"/>'
        "</Relationships>"
    ),
}


def write_workbook(path: Path, rows: Iterable[Sequence[str]]) -> None:
    """Write rows of up to 26 cells as the first sheet; what reads as a number becomes one."""
    places: dict[str, int] = {}
    with zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED, compresslevel=1) as out:
        for name, text in PARTS.items():
            out.writestr(name, text)
        with out.open("xl/worksheets/sheet1.xml", "w", force_zip64=True) as sheet:
            for piece in _sheet(rows, places):
                sheet.write(piece.encode())
        with out.open("xl/sharedStrings.xml", "w", force_zip64=True) as texts:
            texts.write(f'<sst xmlns="{MAIN}" uniqueCount="{len(places)}">'.encode())
            texts.write("".join(f"<si><t>{escape(text)}</t></si>" for text in places).encode())
            texts.write(b"</sst>")


def _sheet(rows: Iterable[Sequence[str]], places: dict[str, int]) -> Iterator[str]:
    yield f'<worksheet xmlns="{MAIN}"><sheetData>'
    for number, row in enumerate(rows, 1):
        cells = "".join(_cell(f"{chr(65 + n)}{number}", text, places) for n, text in enumerate(row))
        yield f'<row r="{number}">{cells}</row>'
    yield "</sheetData></worksheet>"


def _cell(place: str, text: str, places: dict[str, int]) -> str:
    try:
        return f'<c r="{place}"><v>{float(text):.17g}</v></c>'
    except ValueError:
        return f'<c r="{place}" t="s"><v>{places.setdefault(text, len(places))}</v></c>'
