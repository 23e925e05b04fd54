"""Price lists that are broken: each gets a clear answer, and the catalog in use stays."""

from __future__ import annotations

import gzip
import zlib
from datetime import date
from pathlib import Path
from typing import Any

import pytest

from catalog import price_lists
from catalog.database import build_catalog
from catalog.parts import best_offer
from catalog.price_lists import preview_price_list, publish_price_list
from catalog.snapshots import Catalog
from catalog.versions import current_version
from estimator.errors import CatalogTrouble
from estimator.supply import PartFamily
from tests.catalog.killed import IN_FORCE_BY_THEN, KILLED_AT, publish_and_die
from tests.catalog.small_catalog import SmallCatalog

SE = PartFamily.SENSING_ELEMENT
MINE = "Counter A (invented)"
FROM = date(2026, 2, 1)


@pytest.fixture
def catalogs(tmp_path: Path) -> Path:
    shelf = SmallCatalog()
    for n in range(3):
        shelf.part(SE, f"SE-{1000 + n}")
    build_catalog(shelf.write(tmp_path / "source"), tmp_path / "catalogs")
    return tmp_path / "catalogs"


def seen(catalogs: Path, path: Path) -> dict[int, str]:
    return dict(preview_price_list(catalogs, path, MINE, FROM).rejected)


WHOLE = b"Item,Net\nSE-1000,1\n" + b"SE-1001,2\n" * 20_000


@pytest.mark.parametrize(
    ("name", "data", "said"),
    [
        ("a.csv", "Item,Netto\xe9\nSE-1000,1\n".encode("latin-1"), "is not UTF-8 (byte 0xe9) in"),
        ("a.csv", "Item,Net\nSE-1000,1\n".encode("utf-16"), "The file is UTF-16"),
        ("a.csv", "Item,Net\nSE-1000,1\n".encode("utf-16-le"), "The file is UTF-16"),
        ("a.xls", b"\xd0\xcf\x11\xe0" + bytes(500), "The file is an old workbook (.xls)"),
        ("a.csv", b"Item,Net\rSE-1000,1\r", "The lines end in a carriage return alone in"),
        ("a.csv", b"Item,N\ret\nSE-1000,1\n", "The lines end in a carriage return alone in"),
        ("a.csv", b"", "The file has no header row"),
        ("a.csv", b"Item,,Net\nSE-1000,,1\n", "Column 2 has no name"),
        ("a.csv", b"Item,Net,Net\nSE-1000,1,1\n", 'The column "Net" is there twice'),
        ("a.csv", b"PK\x03\x04rest", "The file is a workbook or an archive"),
        ("a.csv.gz", gzip.compress(WHOLE, mtime=0)[:-400], "cut short in {path} after row 1"),
        ("a.csv.gz", gzip.compress(WHOLE, mtime=0)[:40], "cut short"),
        ("a.xlsx", b"no workbook", "The workbook cannot be read"),
        ("a.parquet", b"no parquet", "The price list cannot be read"),
        ("a.csv", b"What,Worth\nSE-1000,1\n", "not clear which column holds the number and the c"),
    ],
)
def test_a_file_that_cannot_be_read_is_refused(
    catalogs: Path, tmp_path: Path, name: str, data: bytes, said: str
) -> None:
    path = tmp_path / name
    path.write_bytes(data)
    before = current_version(catalogs)
    with pytest.raises(CatalogTrouble) as refused:
        publish_price_list(catalogs, path, MINE, FROM)
    assert said.format(path=path) in str(refused.value)
    assert current_version(catalogs) == before


def test_the_last_whole_row_of_a_file_cut_short_is_named(catalogs: Path, tmp_path: Path) -> None:
    packing = zlib.compressobj(wbits=31)
    rows = "".join(["Item,Net\n", *(f"{n:09d},1\n" for n in range(2, 1_235)), "00000123"])
    path = tmp_path / "prices.csv.gz"
    path.write_bytes(packing.compress(rows.encode()) + packing.flush(zlib.Z_SYNC_FLUSH))
    with pytest.raises(CatalogTrouble, match=r"cut short in .*csv\.gz after row 1234\. Get it"):
        preview_price_list(catalogs, path, MINE, FROM)


def test_a_file_that_is_not_there(catalogs: Path, tmp_path: Path) -> None:
    with pytest.raises(CatalogTrouble, match="There is no price list in"):
        preview_price_list(catalogs, tmp_path / "none.csv", MINE, FROM)


@pytest.mark.parametrize(
    ("data", "row", "reason"),
    [
        (b"Item,Net\nSE-1000,=1+1\n", 2, "a cell holds a formula; put its value there"),
        (b"Item,Net\nSE-1000,1\nSE-1001,2,3\nSE-1002,x\n", 3, "the row cannot be read: too many"),
        (b"Item,Net\nSE-1000,1\nSE-1001,2,3\nSE-1002,x\n", 4, 'cost is "x"; it must be digits'),
        (b"Item,Net\nSE-1000,1\nSE-\xe9,2\n", 3, "the row cannot be read: invalid encoding"),
        (b"Item,Net\n" + b"9" * 1_000_000 + b",2\nSE-1000,1\n", 2, "holds 1000000 characters"),
        (
            b"Item,Net\nSE-1000,1" + b"0" * 1_000_000 + b"\n",
            2,
            "must be digits with a point, such as 12.50",
        ),
        (b"Item,Net\nSE-1000,$1.50\n", 2, 'cost is "$1.50"; it must be digits with a point'),
        (b"Item,Net\nSE-10\x0000,1.50\n", 2, r"number SE-10\x0000 is not in the catalog"),
        (
            b"Item;Net\nSE-1000;1,50\n",
            2,
            'cost is "1,50"; it must be digits with a point, such as 12.50',
        ),
        (b"Item,Net\nSE-1000,nan\n", 2, 'cost is "nan"'),
        (b"Item,Net\nSE-1000,-4\n", 2, "it must be above 0"),
        (b"Item,Net\n,4\n", 2, "number is missing"),
        (b"Item,Net,Days\nSE-1000,4,2.5\n", 2, 'order_days is "2.5"; it must be a whole number'),
        (b"Item,Net,Days\nSE-1000,4,366\n", 2, "it must be a whole number, 0 to 365"),
    ],
)
def test_a_row_that_cannot_be_taken_is_named(
    catalogs: Path, tmp_path: Path, data: bytes, row: int, reason: str
) -> None:
    path = tmp_path / "prices.csv"
    path.write_bytes(data)
    assert reason in seen(catalogs, path)[row]


@pytest.mark.parametrize(
    "data",
    [
        b"\xef\xbb\xbfItem,Net\r\nSE-1000,1.50\r\n",
        b"Item;Net\nSE-1000;1.50\n",
        b"Net\tItem\n1.50\tSE-1000\n",
        b'"Item","Net"\n"SE-1000","1.50"\n',
        gzip.compress(b"Item,Net\nSE-1000,1.50\n", mtime=0),
    ],
)
def test_byte_order_mark_separators_and_packing_change_nothing(
    catalogs: Path, tmp_path: Path, data: bytes
) -> None:
    path = tmp_path / ("prices.csv.gz" if data.startswith(b"\x1f") else "prices.csv")
    path.write_bytes(data)
    preview = preview_price_list(catalogs, path, MINE, FROM)
    assert [(each.part, str(each.cost)) for each in preview.changed] == [("SE-1000", "1.50")]
    assert preview.rejected == ()


def test_a_formula_in_a_workbook_is_named_by_its_row(catalogs: Path, tmp_path: Path) -> None:
    from openpyxl import Workbook  # noqa: PLC0415

    book = Workbook()
    for row in (["Item", "Net"], ["SE-1000", 2.5], ["SE-1001", "=A1*2"]):
        book.active.append(row)
    book.save(tmp_path / "prices.xlsx")
    assert seen(catalogs, tmp_path / "prices.xlsx") == {
        3: "a cell holds a formula; put its value there"
    }


def test_merged_header_cells_of_a_workbook_are_refused(catalogs: Path, tmp_path: Path) -> None:
    from openpyxl import Workbook  # noqa: PLC0415

    book = Workbook()
    book.active.append(["Item", None, "Net"])
    book.active.append(["SE-1000", "x", 2])
    book.active.merge_cells("A1:B1")
    book.save(tmp_path / "prices.xlsx")
    with pytest.raises(CatalogTrouble, match=r"Column 2 has no name in .*xlsx row 1\. Part merged"):
        preview_price_list(catalogs, tmp_path / "prices.xlsx", MINE, FROM)


def test_a_row_that_cannot_be_read_is_told_and_counted_once(catalogs: Path, tmp_path: Path) -> None:
    path = tmp_path / "prices.csv"
    path.write_text("Item,Net,List\nSE-1000\nSE-1001,2,3,4,5,6\nSE-1002,x,3\nSE-1000,4,5\n")
    preview = preview_price_list(catalogs, path, MINE, FROM)
    assert preview.rejected == (
        (2, "the row cannot be read: missing columns"),
        (3, "the row cannot be read: too many columns"),
        (4, 'cost is "x"; it must be digits with a point, such as 12.50'),
    )
    assert preview.counts["rejected"] == 3
    assert [(each.row, each.part) for each in preview.changed] == [(5, "SE-1000")]


def test_where_most_rows_cannot_be_read_the_list_is_refused(
    catalogs: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The faults of a row count towards the most that are kept; the rows are what is told."""
    monkeypatch.setattr("catalog.price_staging.MOST_UNREAD", 30)
    path = tmp_path / "prices.csv"
    path.write_text("Item,Net\n" + "SE-1000,1,2,3,4\n" * 40)
    with pytest.raises(CatalogTrouble, match=r"^1\d rows or more of the price list cannot be read"):
        preview_price_list(catalogs, path, MINE, FROM)


@pytest.mark.parametrize("name", ["", "  ", "x" * 161, "Counter\x00A"])
def test_a_supplier_without_a_name_is_refused(catalogs: Path, tmp_path: Path, name: str) -> None:
    path = tmp_path / "prices.csv"
    path.write_text("Item,Net\nSE-1000,2\n")
    before = current_version(catalogs)
    with pytest.raises(CatalogTrouble, match="Name the supplier, in 1 to 160 characters"):
        publish_price_list(catalogs, path, name, FROM)
    assert current_version(catalogs) == before


def test_a_supplier_in_other_letters_is_not_another_one(catalogs: Path, tmp_path: Path) -> None:
    path = tmp_path / "prices.csv"
    path.write_text("Item,Net\nSE-1000,2\n")
    with pytest.raises(CatalogTrouble) as refused:
        publish_price_list(catalogs, path, MINE.upper(), FROM)
    assert str(refused.value) == f'No supplier is called "{MINE.upper()}". Did you mean "{MINE}"?'
    seen_spaced = preview_price_list(catalogs, path, f" {MINE.replace(' ', '  ')} ", FROM)
    assert seen_spaced.supplier == MINE
    assert seen_spaced.counts["changed"] == 1
    assert preview_price_list(catalogs, path, "Counter Z (invented)", FROM).counts["new"] == 1


@pytest.mark.parametrize("mapping", [{"number": "Nope", "cost": "Net"}, {"nmber": "Item"}])
def test_a_mapping_that_does_not_hold(
    catalogs: Path, tmp_path: Path, mapping: dict[str, str]
) -> None:
    path = tmp_path / "prices.csv"
    path.write_text("Item,Net\nSE-1000,1\n")
    with pytest.raises(CatalogTrouble, match=r'"Nope" is not there|Did you mean "number"\?'):
        preview_price_list(catalogs, path, MINE, FROM, mapping)


def test_a_list_without_a_usable_row_is_not_published(catalogs: Path, tmp_path: Path) -> None:
    path = tmp_path / "prices.csv"
    path.write_text("Item,Net\nSE-1000,ask\n")
    with pytest.raises(CatalogTrouble) as refused:
        publish_price_list(catalogs, path, MINE, FROM)
    assert str(refused.value) == (
        f'The price list holds no row that can be used: cost is "ask" in {path} row 2; it must be '
        "digits with a point, such as 12.50. Mend the rows; the preview gives the reason of each."
    )


def test_a_list_of_a_header_alone_is_not_published(catalogs: Path, tmp_path: Path) -> None:
    path = tmp_path / "prices.csv"
    path.write_text("Item,Net\n")
    with pytest.raises(
        CatalogTrouble, match="holds no row that can be used: it has a header alone"
    ):
        publish_price_list(catalogs, path, MINE, FROM)


def test_a_folder_in_place_of_a_list_is_said_to_be_one(catalogs: Path, tmp_path: Path) -> None:
    with pytest.raises(CatalogTrouble, match="The price list is a folder in"):
        preview_price_list(catalogs, tmp_path, MINE, FROM)


@pytest.mark.parametrize("stage", KILLED_AT)
def test_a_program_killed_at_any_moment_leaves_the_catalog_in_use(
    catalogs: Path, tmp_path: Path, stage: str
) -> None:
    path = tmp_path / "prices.csv"
    path.write_text("Item,Net\nSE-1000,12.00\nSE-1001,1.00\nSE-1002,1.00\n")
    before = current_version(catalogs)
    publish_and_die(catalogs, path, MINE, stage)
    assert (current_version(catalogs) == before) is (stage not in IN_FORCE_BY_THEN)
    assert cost_of(catalogs, "SE-1000") == ("12.00" if stage in IN_FORCE_BY_THEN else "10.00")
    publish_price_list(catalogs, path, MINE, FROM)
    assert cost_of(catalogs, "SE-1000") == "12.00"


def cost_of(catalogs: Path, part: str) -> str:
    with Catalog.open_current(catalogs) as catalog:
        offer = best_offer(catalog, part, FROM)
    assert offer is not None
    return str(offer.cost)


def test_two_lists_published_at_once_do_not_undo_each_other(
    catalogs: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The second one was held against a catalog that is no longer in use."""
    one, other = tmp_path / "one.csv", tmp_path / "other.csv"
    one.write_text("Item,Net\nSE-1000,12.00\n")
    other.write_text("Item,Net\nSE-1000,13.00\n")
    write = price_lists.write_beside

    def meanwhile(*given: Any, **named: Any) -> None:
        monkeypatch.setattr(price_lists, "write_beside", write)
        publish_price_list(catalogs, one, MINE, FROM)
        write(*given, **named)

    monkeypatch.setattr(price_lists, "write_beside", meanwhile)
    with pytest.raises(CatalogTrouble, match="Another catalog was put in force meanwhile"):
        publish_price_list(catalogs, other, MINE, FROM)
    assert cost_of(catalogs, "SE-1000") == "12.00"
