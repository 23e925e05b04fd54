"""Search by number: read, found exactly or by a slip, followed to the part sold today."""

from __future__ import annotations

import hashlib
from collections.abc import Iterator
from pathlib import Path

import duckdb
import pytest

from catalog.database import build_catalog
from catalog.finding_numbers import find_number
from catalog.numbers import (
    fold,
    keeps_groups,
    read_number,
    slip_between,
    slip_hashes,
    written_groups,
)
from catalog.snapshots import Catalog
from estimator.errors import CatalogTrouble
from estimator.supply import PartFamily
from tests.catalog.small_catalog import SmallCatalog

SE = PartFamily.SENSING_ELEMENT


@pytest.fixture(scope="module")
def catalog(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Catalog]:
    shelf = SmallCatalog()
    # A dense family: consecutive numbers, each a slip from the next.
    for n in range(20100, 20180):
        replaced = f"SE-{n + 1}" if n in (20150, 20151, 20152) else None
        shelf.part(SE, f"SE-{n}", replaced_by=replaced, cost=None if replaced else "9.00")
    shelf.part(SE, "SE-30140", discontinued=True, cost=None)
    shelf.alike("SE-20153", "SE-20170")
    shelf.offer("SE-20110", "8.00", supplier="B (invented)", supplier_number="88/0415")
    shelf.part(PartFamily.LIMIT, "LO-50180")
    shelf.other("LSW 77", "SE-20111", "shop", "This shop (invented)")
    shelf.other("MB9000X", "SE-20112", "maker", "Maker B (invented)")
    folder = tmp_path_factory.mktemp("numbers")
    build_catalog(shelf.write(folder / "source"), folder / "catalogs")
    with Catalog.open_current(folder / "catalogs") as opened:
        yield opened


@pytest.mark.parametrize(
    ("typed", "read"),
    [
        ("se 2o11I", "SE20111"),
        ("P/N: SE-20111", "SE20111"),
        ("Part no. SE-20111", "SE20111"),
        ("#SE\N{EN DASH}20111", "SE20111"),
        ("NO 20111", "20111"),
        ("NOVA-1", "N0VA1"),
        (" ", ""),
        ("--", ""),
    ],
)
def test_how_a_number_is_read(typed: str, read: str) -> None:
    assert read_number(typed) == read


@pytest.mark.parametrize(
    ("typed", "part", "kind"),
    [
        ("se20111", "SE-20111", "maker"),
        ("88-o4l5", "SE-20110", "supplier"),
        ("lsw77", "SE-20111", "shop"),
        ("mb 9OOOx", "SE-20112", "maker"),
    ],
)
def test_an_exact_number_of_anybody_comes_first(
    catalog: Catalog, typed: str, part: str, kind: str
) -> None:
    answer = find_number(catalog, typed)
    assert answer.exact
    assert (answer.found[0].part.number, answer.found[0].kind) == (part, kind)


@pytest.mark.parametrize(
    ("typed", "part", "words"),
    [
        ("SE-8X0415", None, ""),
        ("88/415", "SE-20110", "0 was lost"),
        ("88/00415", "SE-20110", "0 was doubled"),
        ("88/0451", "SE-20110", "15 was swapped to 51"),
        ("88/0475", "SE-20110", "7 stands where 1 is meant"),
        ("88/04", "SE-20110", "15 is missing at the end"),
        ("QX-88/0415", "SE-20110", "QX stands before it"),
        ("qx880415", "SE-20110", "QX stands before it"),
        ("77 LSW 77", "SE-20111", "77 stands before it"),
        ("ZUKR88/0415", "SE-20110", "ZUKR stands before it"),
        ("ZUKRA88/0415", None, ""),
        ("20112", "SE-20112", "SE is missing before it"),
        ("-20112", "SE-20112", "SE is missing before it"),
        ("9000x", "SE-20112", "MB is missing before it"),
        ("50l8o", "LO-50180", "LO is missing before it"),
        ("0415", None, ""),
    ],
)
def test_one_slip_is_forgiven_and_named(
    catalog: Catalog, typed: str, part: str | None, words: str
) -> None:
    found = find_number(catalog, typed).found
    if part is None:
        assert found == ()
        return
    assert (found[0].part.number, found[0].slip.words) == (part, words)
    assert not found[0].exact


def test_a_number_that_exists_still_shows_its_neighbors(catalog: Catalog) -> None:
    answer = find_number(catalog, "SE-20117")
    assert answer.found[0].exact
    assert "SE-20111" in [each.part.number for each in answer.found[1:4]]


def test_the_chain_is_followed_to_the_part_sold_today_and_shows_what_is_alike(
    catalog: Catalog,
) -> None:
    answer = find_number(catalog, "SE-2015O")
    assert [part.number for part in answer.chain] == [
        "SE-20150",
        "SE-20151",
        "SE-20152",
        "SE-20153",
    ]
    assert answer.found[0].today is not None
    assert answer.found[0].today.number == "SE-20153"
    assert [part.number for part in answer.alike] == ["SE-20170"]
    assert answer.how_read == "Read as SE20150: number SE-20150 of Maker A (invented)."


def test_a_part_that_nothing_replaces_has_no_part_today(catalog: Catalog) -> None:
    answer = find_number(catalog, "SE-30140")
    assert answer.found[0].today is None
    assert [part.number for part in answer.chain] == ["SE-30140"]


def test_what_is_nothing_finds_nothing(catalog: Catalog) -> None:
    assert find_number(catalog, "—").how_read == "There is no letter and no digit in it."
    assert find_number(catalog, "ZZZZ9").how_read == (
        "Read as ZZZZ9: no number in the catalog is like it."
    )


def test_a_prefix_lists_what_begins_so(catalog: Catalog) -> None:
    found = find_number(catalog, "SE-2017").found
    assert {f"SE-{n}" for n in range(20170, 20180)} <= {each.part.number for each in found}


def test_hashes_are_those_that_a_snapshot_holds() -> None:
    number = "SE20111"
    with duckdb.connect() as connection:
        row = connection.execute("SELECT md5_number_lower(?)::UBIGINT", [number]).fetchone()
        folded = connection.execute(
            "SELECT translate(upper(?), 'OIL-./ ', '011')", ["sE-2o/1. lI"]
        ).fetchone()
    assert row is not None
    assert folded is not None
    assert row[0] in slip_hashes(number)
    assert row[0] == int.from_bytes(hashlib.md5(number.encode()).digest()[8:], "little")
    assert folded[0] == fold("sE-2o/1. lI")


@pytest.mark.parametrize(
    ("likely", "unlikely"),
    [
        (("SE8", "SEB"), ("SE8", "SEW")),
        (("SE204", "SE205"), ("SE204", "SE209")),
        (("SE2044", "SE204"), ("SE2049", "SE204")),
        (("SE24", "SE204"), ("SE", "SE204")),
        (("SE20", "SE204"), ("SE24", "SE204")),
        (("SE204", "SE2044"), ("SE204", "SE2304")),
        (("SE240", "SE204"), ("SE294", "SE204")),
        (("SE8", "SEB"), ("SE240", "SE204")),
        (("QXSE204", "SE204"), ("QXYSE204", "SE204")),
        (("SE2044", "SE204"), ("QXSE204", "SE204")),
        (("2044", "SE2044"), ("2044", "SEA2044")),
    ],
)
def test_likely_slips_come_before_unlikely_ones(
    likely: tuple[str, str], unlikely: tuple[str, str]
) -> None:
    one, other = slip_between(*likely), slip_between(*unlikely)
    assert one is not None
    assert other is not None
    assert one.cost < other.cost


@pytest.mark.parametrize(
    ("typed", "meant", "kept"),
    [
        ("SE-2014", "SE-20104", True),
        ("se 2014", "SE-20104", True),
        ("SE2014", "SE-20104", True),
        ("SE-2-0104", "SE-20104", False),
        ("SE-20-104", "SE-2010-4", False),
        ("SE2-0104", "SE-20104", False),
        ("P/N: SE-2014", "SE-20104", True),
        ("QX-SE-20104", "SE-20104", True),
        ("QX-SE-2014", "SE-20104", False),
        ("201-04", "SE-201-04", True),
    ],
)
def test_dashes_that_were_typed_stand_where_they_stood(typed: str, meant: str, kept: bool) -> None:
    assert keeps_groups(written_groups(typed), written_groups(meant)) is kept


def test_a_typed_dash_tells_in_which_group_a_character_was_lost(tmp_path: Path) -> None:
    shelf = SmallCatalog()
    for number in ("SE8576-304", "SE85768-30", "SE857-6301"):
        shelf.part(SE, number)
    build_catalog(shelf.write(tmp_path / "source"), tmp_path / "catalogs")
    with Catalog.open_current(tmp_path / "catalogs") as catalog:
        found = find_number(catalog, "SE8576-30").found
        assert [each.part.number for each in found] == ["SE8576-304", "SE85768-30", "SE857-6301"]
        found = find_number(catalog, "SE857-630").found
        assert found[0].part.number == "SE857-6301"
        found = find_number(catalog, "SE857630").found
        assert found[0].part.number == "SE857-6301"


def test_among_equally_likely_numbers_the_shop_s_own_come_first(tmp_path: Path) -> None:
    shelf = SmallCatalog()
    for n in range(8):
        shelf.part(SE, f"SE-7000{n}")
    shelf.part(SE, "SE-70008", replaced_by="SE-90000", cost=None)
    shelf.part(SE, "SE-90000")
    shelf.stock("SE-70006", "van-1", 2)
    shelf.stock("SE-70003", "branch-1", 0)
    shelf.stock("SE-90000", "branch-1", 1)
    build_catalog(shelf.write(tmp_path / "source"), tmp_path / "catalogs")
    with Catalog.open_current(tmp_path / "catalogs") as catalog:
        numbers = [each.part.number for each in find_number(catalog, "SE-7000").found]
    assert numbers[:4] == ["SE-70000", "SE-70006", "SE-70008", "SE-70001"]


def test_two_slips_are_too_many() -> None:
    assert slip_between("SE20104", "SE21114") is None
    assert slip_between("SE20104", "ES20140") is None


def test_a_catalog_without_other_numbers_builds(tmp_path: Path) -> None:
    shelf = SmallCatalog()
    shelf.part(SE, "SE-1")
    source = shelf.write(tmp_path / "source")
    (source / "other_number.csv").unlink()
    build_catalog(source, tmp_path / "catalogs")


@pytest.fixture(scope="module")
def listing(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Catalog]:
    """Thirty consecutive numbers, one of them replaced; the heater lists the one replaced."""
    shelf = SmallCatalog()
    for n in range(44000, 44030):
        replaced = n == 44027
        shelf.part(
            SE, f"SE-{n}", replaced_by="SE-9100" if replaced else None,
            cost=None if replaced else "9.00",
        )  # fmt: skip
    shelf.part(SE, "SE-9100")
    shelf.part(SE, "SE-8100", replaced_by="SE-9100", cost=None)
    shelf.part(SE, "SE-8105")
    shelf.stock("SE-44001", "van-1", 2)
    shelf.listed("sensing_element", "SE-44027")
    folder = tmp_path_factory.mktemp("listing")
    build_catalog(shelf.write(folder / "source"), folder / "catalogs")
    with Catalog.open_current(folder / "catalogs") as opened:
        yield opened


@pytest.mark.parametrize(
    ("typed", "first", "words"),
    [
        ("SE-440Z7", "SE-44027", "Z stands where 2 is meant"),
        ("SE-4402", "SE-44027", "7 is missing at the end"),
        ("SE-4", "SE-44027", "4027 is missing at the end"),
        ("SE-9I0O", "SE-9100", "as typed"),
        ("SE-910", "SE-9100", "0 is missing at the end"),
        ("SE-810", "SE-8100", "0 is missing at the end"),
    ],
)
def test_what_is_on_the_heater_s_parts_list_comes_first(
    listing: Catalog, typed: str, first: str, words: str
) -> None:
    found = find_number(listing, typed, "heater").found
    assert (found[0].part.number, found[0].slip.words) == (first, words)
    assert found[0].of_heater
    assert not any(each.of_heater for each in find_number(listing, typed).found)


def test_a_number_as_typed_stays_first_and_the_heater_s_own_is_named_beside_it(
    listing: Catalog,
) -> None:
    answer = find_number(listing, "SE-44021", "heater")
    assert [each.part.number for each in answer.found[:2]] == ["SE-44021", "SE-44027"]
    assert answer.how_read == (
        "Read as SE44021: number SE-44021 of Maker A (invented). It is not on this heater's "
        "parts list; SE-44027 is, and one slip away."
    )
    assert find_number(listing, "SE-44027", "heater").how_read == (
        "Read as SE44027: number SE-44027 of Maker A (invented)."
    )
    assert find_number(listing, "SE-4402X", "heater").how_read == (
        "Read as SE4402X: not in the catalog; this heater's parts list has SE-44027."
    )


def test_what_is_on_no_list_is_found_as_without_the_heater(listing: Catalog) -> None:
    with_heater, without = (find_number(listing, "SE-4400", told) for told in ("heater", None))
    assert [each.part.number for each in with_heater.found][:2] == ["SE-44000", "SE-44001"]
    assert with_heater.found == without.found


def test_a_heater_that_is_not_in_the_catalog_is_named(listing: Catalog) -> None:
    with pytest.raises(CatalogTrouble, match='heater family "no-such"'):
        find_number(listing, "SE-44021", "no-such")


@pytest.fixture(scope="module")
def sizes(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Catalog]:
    """Forty elements in a row by their length, and a limit numbered like them."""
    shelf = SmallCatalog()
    for n in range(40):
        shelf.part(SE, f"SE-550{n:02d}", {"length_in": 12 + n})
    shelf.part(PartFamily.LIMIT, "SE-5519")
    shelf.stock("SE-55010", "van-1", 3)
    folder = tmp_path_factory.mktemp("sizes")
    build_catalog(shelf.write(folder / "source"), folder / "catalogs")
    with Catalog.open_current(folder / "catalogs") as opened:
        yield opened


@pytest.mark.parametrize(
    ("typed", "length_in", "so"),
    [
        ("SE-5502", 36.0, ["SE-55024"]),
        ("SE-5502", 35.9, ["SE-55024"]),
        ("SE-550", 50.5, ["SE-55038", "SE-55039"]),
        ("SE-550X7", 29.0, ["SE-55017"]),
        ("SE-55017", 39.0, ["SE-55027"]),
        ("SE-5502", 99.0, []),
    ],
)
def test_what_is_as_told_comes_before_all_but_the_number_typed(
    sizes: Catalog, typed: str, length_in: float, so: list[str]
) -> None:
    found = find_number(sizes, typed, told={SE: {"length_in": length_in}}).found
    assert [each.part.number for each in found if each.as_told] == so
    others = [each for each in found if not each.exact]
    assert [each.part.number for each in others][: len(so)] == so
    assert [each.part.number for each in found if each.exact] == [typed] * (typed == "SE-55017")
    assert not any(each.as_told for each in find_number(sizes, typed).found)


def test_a_number_that_is_not_as_told_says_which_is(sizes: Catalog) -> None:
    assert find_number(sizes, "SE-55017", told={SE: {"length_in": 19.0}}).how_read == (
        "Read as SE55017: number SE-55017 of Maker A (invented). It is not as told; SE-55007 "
        "is, and one slip away."
    )


def test_what_is_not_known_of_a_part_is_not_as_told(sizes: Catalog) -> None:
    found = find_number(sizes, "SE-5519", told={PartFamily.LIMIT: {"lead_length_in": 24.0}}).found
    assert found[0].exact
    assert found[0].part.features.get("lead_length_in") is None
    assert not any(each.as_told for each in found)
    found = find_number(sizes, "SE-5519", told={PartFamily.LIMIT: {"opens_at_f": 190.0}}).found
    assert found[0].as_told


def test_the_kind_of_part_alone_rules_others_out(sizes: Catalog) -> None:
    found = find_number(sizes, "SE-551X", told={PartFamily.LIMIT: {}}).found
    assert found[0].part.number == "SE-5519"
    assert [each.part.number for each in found if each.as_told] == ["SE-5519"]


def test_more_numbers_that_begin_so_are_looked_at_where_more_is_told(tmp_path: Path) -> None:
    shelf = SmallCatalog()
    for n in range(90):
        shelf.part(SE, f"SE-66{n:02d}", {"length_in": 60 if n == 71 else 24})
    build_catalog(shelf.write(tmp_path / "source"), tmp_path / "catalogs")
    with Catalog.open_current(tmp_path / "catalogs") as catalog:
        found = find_number(catalog, "SE-66", told={SE: {"length_in": 60.0}}).found
        assert (found[0].part.number, found[0].as_told) == ("SE-6671", True)
        assert "SE-6671" not in [each.part.number for each in find_number(catalog, "SE-66").found]
