"""The quick pass over a price list says the same as judging every row one by one."""

from __future__ import annotations

import random
from collections.abc import Callable
from datetime import date
from pathlib import Path

import duckdb
import pytest

from catalog.database import build_catalog
from catalog.price_lists import preview_price_list
from catalog.price_staging import SHOWN, StagedList, staged
from catalog.versions import current_version, snapshot_path
from catalog.writing import draft
from estimator.supply import PartFamily
from tests.catalog.small_catalog import SmallCatalog

SE = PartFamily.SENSING_ELEMENT
MINE, NEW = "Counter A (invented)", "Counter New (invented)"
FROM = date(2026, 2, 1)


@pytest.fixture(scope="module")
def catalogs(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Thirty parts that Counter A offers, ten that he does not; one offered twice at once."""
    shelf = SmallCatalog()
    for n in range(40):
        shelf.part(SE, f"SE-{1000 + n}", cost="10.00" if n < 30 else None)
    shelf.offer("SE-1007", "8.00", valid_from="2025-06-01")
    shelf.offer("SE-1003", "9.00", supplier="Counter B (invented)", supplier_number="B-1003")
    shelf.other("SHOP 1", "SE-1001", "shop", "This shop (invented)")
    shelf.other("TWO 1", "SE-1002", "maker", "Maker B (invented)")
    shelf.other("TWO-1", "SE-1004", "maker", "Maker C (invented)")
    folder = tmp_path_factory.mktemp("staging")
    build_catalog(shelf.write(folder / "source"), folder / "catalogs")
    return folder / "catalogs"


def said(path: Path, catalogs: Path, supplier: str, look: Callable[[StagedList], None]) -> object:
    with staged(catalogs, path, supplier, FROM, None) as read:
        look(read)
        return (
            read.counts(), read.changes("new"), read.changes("changed"),
            read.vanished(), read.run("price_rejected", {"most": SHOWN}),
        )  # fmt: skip


def quick(read: StagedList) -> None:
    read.compare()


def row_by_row(read: StagedList) -> None:
    read.run("price_2_none")
    read.judge(every=True)


def price_list(chance: random.Random) -> str:
    """A list with a little of everything that can stand in one."""
    numbers = [f"SE-{1000 + n}" for n in chance.sample(range(40), chance.randrange(1, 40))]
    lines = []
    for number in numbers:
        written = chance.choice(
            [number] * 12
            + [number.lower(), number.replace("-", " "), f" {number}", "SHOP 1", "TWO1", "B-1003"]
        )
        cost = chance.choice(["10.00", "10.00", "8.00", "12.5", "ask", "", "9.999", "=1+1"])
        lines.append(f"{written},{cost},{chance.choice(['', '25.00', '30'])}")
    for spoiled in chance.sample([
        "SE-9999,4.00,", ",4.00,", "   ,4.00,", f"{'9' * 41},4.00,", "=A1,4.00,",
        "SE-1000,1.00,,more", "SE-1030,3.00,", "SE-1000,2.00,", "se1000,2.00,",
    ], chance.randrange(4)):  # fmt: skip
        lines.insert(chance.randrange(len(lines) + 1), spoiled)
    return "\n".join(["Item,Net,List", *lines, ""])


@pytest.mark.parametrize("supplier", [MINE, NEW])
def test_the_quick_pass_says_what_row_by_row_says(
    supplier: str, catalogs: Path, tmp_path: Path
) -> None:
    chance = random.Random(11)
    kinds: dict[str, int] = {}
    for n in range(14):
        path = tmp_path / f"{n}.csv"
        path.write_text(price_list(chance), encoding="utf-8")
        one, other = (said(path, catalogs, supplier, look) for look in (quick, row_by_row))
        assert one == other, path.read_text(encoding="utf-8")
        for kind, rows in preview_price_list(catalogs, path, supplier, FROM).counts.items():
            kinds[kind] = kinds.get(kind, 0) + rows
    wanted = set(kinds) - ({"changed", "same", "vanished"} if supplier == NEW else set())
    assert all(kinds[kind] > 0 for kind in wanted), kinds


def test_a_part_named_in_two_ways_is_there_twice(catalogs: Path, tmp_path: Path) -> None:
    path = tmp_path / "prices.csv"
    path.write_text("Item,Net\nSE-1000,2.00\nse1000,3.00\nSE-1031,1.00\nSE 1031,1.00\n")
    seen = preview_price_list(catalogs, path, MINE, FROM)
    assert dict(seen.rejected) == {
        3: "SE-1000 is there already in row 2; keep one",
        5: "SE-1031 is there already in row 4; keep one",
    }


def test_lines_are_those_of_the_file_where_rows_cannot_be_read(
    catalogs: Path, tmp_path: Path
) -> None:
    """Read by several threads, with unreadable rows in between: every line is told right."""
    path = tmp_path / "prices.csv"
    wrong = {5: "SE-1001,ask,", 200_003: "SE-1002,ask,", 399_999: "SE-1003,ask,"}
    broken = {7: "SE-1004,1,2,3", 8: "SE-1005,1,2,3", 300_001: "SE-1006,1,2,3"}
    special = wrong | broken
    path.write_text("Item,Net,List\n" + "".join(
        f"{special.get(line, f'{line:09d}-not-in-the-catalog,4.00,')}\n"
        for line in range(2, 400_001)
    ))  # fmt: skip
    with staged(catalogs, path, MINE, FROM, None) as read:
        read.compare()
        told = dict(read.run("price_rejected", {"most": 500_000}))
    assert {line for line, reason in told.items() if "cost is" in reason} == set(wrong)
    assert {line for line, reason in told.items() if "cannot be read" in reason} == set(broken)
    assert len(told) == 399_999
    assert all(f"number {line:09d}-not" in told[line] for line in (2, 6, 9, 200_002, 400_000))


def test_too_many_rows_that_cannot_be_read_are_refused(
    catalogs: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("catalog.price_staging.MOST_UNREAD", 3)
    path = tmp_path / "prices.csv"
    path.write_text("Item,Net\nSE-1000,1\n" + "SE-1001,1,2\n" * 9)
    with pytest.raises(Exception, match=r"3 rows or more of the price list cannot be read in .*"
                       r"csv row 3\. Each row needs as many fields as the header"):  # fmt: skip
        preview_price_list(catalogs, path, MINE, FROM)


def test_a_snapshot_of_an_earlier_program_is_read_too(catalogs: Path, tmp_path: Path) -> None:
    """It has no offers by supplier; the offers themselves stand in."""
    path = tmp_path / "prices.csv"
    path.write_text(price_list(random.Random(3)))
    expected = said(path, catalogs, MINE, quick)
    earlier = tmp_path / "earlier"
    earlier.mkdir()
    version = current_version(catalogs)
    for name in ("current.json", f"catalog-{version}.duckdb"):
        (earlier / name).write_bytes((catalogs / name).read_bytes())
    with draft(snapshot_path(earlier, version)) as connection:
        connection.execute("DROP TABLE supplier_offer")
    assert said(path, earlier, MINE, quick) == expected


def test_a_cost_beyond_any_price_is_refused_by_its_row(catalogs: Path, tmp_path: Path) -> None:
    path = tmp_path / "prices.csv"
    path.write_text("Item,Net,List\nSE-1000,1000000000000,\nSE-1001,1,99999999999\n")
    seen = preview_price_list(catalogs, path, MINE, FROM)
    assert dict(seen.rejected) == {
        2: "cost is 1000000000000; it must be above 0 and below 100,000",
        3: 'list_price is "99999999999"; it must be an amount in dollars and cents',
    }


def test_duckdb_keeps_rows_whose_cost_is_no_number(tmp_path: Path) -> None:
    """A guard: a cast that is pushed into the reader would drop such rows from the table."""
    path = tmp_path / "prices.csv"
    path.write_text("Item,Net\nSE-1,ask\nSE-2,1\n")
    with duckdb.connect() as connection:
        source = (f"read_csv('{path}', auto_detect = false, header = true, columns = "
                  "{'Item': 'VARCHAR', 'Net': 'VARCHAR'}, store_rejects = true)")  # fmt: skip
        rows = connection.execute(
            "SELECT count(*) FROM (SELECT TRY_CAST(Net AS DECIMAL(18, 4)) AS n, "
            f"CASE WHEN n IS NULL THEN Net END AS told FROM {source}) WHERE told = 'ask'"
        ).fetchone()
    assert rows == (1,)
