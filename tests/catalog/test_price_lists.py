"""Suppliers' price lists: what they would change, published whole, taken back."""

from __future__ import annotations

from datetime import date
from decimal import Decimal
from pathlib import Path

import duckdb
import pytest

from catalog.database import build_catalog
from catalog.finding_numbers import find_number
from catalog.parts import best_offer, offers
from catalog.price_lists import preview_price_list, publish_price_list, roll_back
from catalog.snapshots import Catalog
from catalog.versions import current_version, versions
from estimator.errors import CatalogTrouble
from estimator.supply import PartFamily
from tests.catalog.small_catalog import SmallCatalog

SE = PartFamily.SENSING_ELEMENT
MINE, OTHER = "Counter A (invented)", "Counter B (invented)"
FROM = date(2026, 2, 1)


@pytest.fixture
def catalogs(tmp_path: Path) -> Path:
    shelf = SmallCatalog()
    for n in range(6):
        shelf.part(SE, f"SE-{1000 + n}")  # Counter A at 10.00
    shelf.part(SE, "SE-2000", cost=None)
    shelf.offer("SE-1000", "9.00", supplier=OTHER)
    build_catalog(shelf.write(tmp_path / "source"), tmp_path / "catalogs")
    return tmp_path / "catalogs"


def listed(tmp_path: Path, text: str) -> Path:
    path = tmp_path / "prices.csv"
    path.write_text(text, encoding="utf-8")
    return path


LIST = """Net,Our No,Item
11.50,A-1,SE-1000
10.00,,se 1001
,,SE-1002
0,,SE-1003
9.999,,SE-1004
7.00,,SE-9999
6.00,,SE-2000
5.00,,SE-1000
"""


def test_a_preview_tells_new_changed_same_vanished_and_rejected(
    catalogs: Path, tmp_path: Path
) -> None:
    before = current_version(catalogs)
    seen = preview_price_list(catalogs, listed(tmp_path, LIST), MINE, FROM)
    assert seen.mapping == {"number": "Item", "cost": "Net", "supplier_number": "Our No"}
    assert seen.counts == {"new": 1, "changed": 1, "same": 1, "vanished": 1, "rejected": 5}
    assert [(each.part, each.cost_before, each.cost) for each in seen.changed] == [
        ("SE-1000", Decimal("10.00"), Decimal("11.50"))
    ]
    assert [each.part for each in seen.new] == ["SE-2000"]
    # A part that a rejected row names has not vanished; only SE-1005 is named nowhere.
    assert seen.vanished == ("SE-1005",)
    assert dict(seen.rejected) == {
        4: "cost is missing",
        5: "cost is 0; it must be above 0 and below 100,000",
        6: "cost is 9.999; no more than 2 decimals",
        7: "number SE-9999 is not in the catalog",
        9: "SE-1000 is there already in row 2; keep one",
    }
    assert current_version(catalogs) == before


def test_publishing_ends_the_old_prices_and_keeps_those_of_others(
    catalogs: Path, tmp_path: Path
) -> None:
    made = publish_price_list(catalogs, listed(tmp_path, LIST), MINE, FROM)
    assert current_version(catalogs) == made.version
    assert made.counts["rejected"] == len(made.rejected) == 5
    assert made.rejected[0] == (4, "cost is missing")
    with Catalog.open_current(catalogs) as catalog:
        numbers = [f"SE-{1000 + n}" for n in range(6)] + ["SE-2000"]
        held = offers(catalog, numbers, FROM)
        mine = {
            number: each.cost for number, found in held.items() for each in found
            if each.supplier == MINE
        }  # fmt: skip
        assert mine == {
            "SE-1000": Decimal("11.50"), "SE-1001": Decimal("10.00"), "SE-2000": Decimal("6.00"),
            # Their rows were rejected: they keep the price that they had.
            "SE-1002": Decimal("10.00"), "SE-1003": Decimal("10.00"), "SE-1004": Decimal("10.00"),
        }  # fmt: skip
        cheapest = best_offer(catalog, "SE-1000", FROM)
        assert cheapest is not None
        assert cheapest.supplier == OTHER
        past = offers(catalog, ["SE-1000"], date(2026, 1, 31))["SE-1000"]
        assert {each.cost for each in past} == {Decimal("9.00"), Decimal("10.00")}
        assert find_number(catalog, "a1").found[0].part.number == "SE-1000"


def test_roll_back_is_one_step_and_names_what_is_kept(catalogs: Path, tmp_path: Path) -> None:
    first = current_version(catalogs)
    second, third = (
        publish_price_list(
            catalogs, listed(tmp_path, f"Item,Net\nSE-1000,{n}\n"), MINE, FROM
        ).version
        for n in (12, 13)
    )
    assert versions(catalogs) == (third, second, first)
    assert roll_back(catalogs) == second
    assert roll_back(catalogs) == first
    with pytest.raises(CatalogTrouble, match="There is no earlier catalog to go back to"):
        roll_back(catalogs)
    assert roll_back(catalogs, third) == current_version(catalogs) == third
    with pytest.raises(CatalogTrouble, match=f"no catalog of version nope in .*{third}"):
        roll_back(catalogs, "nope")


def test_a_list_can_be_published_while_the_catalog_is_open(catalogs: Path, tmp_path: Path) -> None:
    with Catalog.open_current(catalogs) as before:
        publish_price_list(catalogs, listed(tmp_path, "Item,Net\nSE-1000,12\n"), MINE, FROM)
        assert len(offers(before, ["SE-1000"], None)["SE-1000"]) == 2


def test_excel_and_parquet_say_the_same_as_csv(catalogs: Path, tmp_path: Path) -> None:
    from openpyxl import Workbook  # noqa: PLC0415

    csv = preview_price_list(catalogs, listed(tmp_path, LIST), MINE, FROM)
    rows = [line.split(",") for line in LIST.splitlines()]
    book = Workbook()
    for row in rows:
        book.active.append([None if cell == "" else cell for cell in row])
    book.save(tmp_path / "prices.xlsx")
    with duckdb.connect() as connection:
        connection.execute(
            f"COPY (SELECT * FROM read_csv('{tmp_path / 'prices.csv'}', all_varchar = true)) "
            f"TO '{tmp_path / 'prices.parquet'}' (FORMAT parquet)"
        )
    for name in ("prices.xlsx", "prices.parquet"):
        seen = preview_price_list(catalogs, tmp_path / name, MINE, FROM)
        assert seen.counts == csv.counts, name
        assert seen.rejected == csv.rejected, name


def test_a_list_without_list_prices_keeps_those_that_were_known(tmp_path: Path) -> None:
    shelf = SmallCatalog()
    shelf.part(SE, "SE-1000", cost=None)
    shelf.offer("SE-1000", "10.00", list_price="25.00", order_days=3)
    build_catalog(shelf.write(tmp_path / "source"), tmp_path / "catalogs")
    publish_price_list(
        tmp_path / "catalogs", listed(tmp_path, "Item,Net\nSE-1000,12\n"), MINE, FROM
    )
    with Catalog.open_current(tmp_path / "catalogs") as catalog:
        (offer,) = offers(catalog, ["SE-1000"], FROM)["SE-1000"]
    assert (offer.cost, offer.list_price, offer.order_days) == (Decimal(12), Decimal(25), 3)


def test_a_partial_list_leaves_what_it_does_not_name(catalogs: Path, tmp_path: Path) -> None:
    prices = listed(tmp_path, "Item,Net\nSE-1000,12\n")
    publish_price_list(catalogs, prices, MINE, FROM, partial=True)
    with Catalog.open_current(catalogs) as catalog:
        assert best_offer(catalog, "SE-1005", FROM) is not None
        mine = offers(catalog, ["SE-1000"], FROM)["SE-1000"]
        assert Decimal(12) in [each.cost for each in mine]
        assert Decimal(10) not in [each.cost for each in mine]
    publish_price_list(catalogs, prices, MINE, FROM)
    with Catalog.open_current(catalogs) as catalog:
        assert best_offer(catalog, "SE-1005", FROM) is None
