"""Source files of a catalog that cannot be taken: every fault named with file and row."""

from __future__ import annotations

import gzip
import shutil
from collections.abc import Callable
from pathlib import Path

import pytest

from catalog.database import build_catalog
from catalog.importing import check_catalog
from estimator.errors import CatalogTrouble
from estimator.supply import PartFamily
from tests.catalog.small_catalog import SmallCatalog

SE = PartFamily.SENSING_ELEMENT


@pytest.fixture
def source(tmp_path: Path) -> Path:
    """A sound source folder to spoil."""
    shelf = SmallCatalog()
    shelf.part(SE, "SE-1001")
    shelf.part(SE, "SE-1002", {"length_in": 30})
    shelf.listed("sensing_element", "SE-1001")
    shelf.stock("SE-1001", "van-1", 1)
    return shelf.write(tmp_path / "source")


def edit(path: Path, change: Callable[[str], str]) -> None:
    text = path.read_text(encoding="utf-8")
    changed = change(text)
    assert changed != text, "the fault was not put in"
    path.write_text(changed, encoding="utf-8")


def replaced(old: str, new: str) -> Callable[[str], str]:
    return lambda text: text.replace(old, new, 1)


ELEMENTS, OFFERS = "sensing_element.csv", "offer.csv"
FAULTS: dict[str, tuple[str, Callable[[str], str], int, str]] = {
    "broken number": (ELEMENTS, replaced(",24", ",2 4"), 2,
                      'length_in is "2 4"; it must be a number'),
    "decimal comma": (OFFERS, replaced("10.00", '"10,00"'), 2, 'cost is "10,00"; it must be'),
    "below zero": (ELEMENTS, replaced(",24", ",-24"), 2, 'length_in is "-24"; it must be above 0'),
    "not a number": (ELEMENTS, replaced(",24", ",nan"), 2, 'length_in is "nan"; it must be a fin'),
    "fractions of a cent": (OFFERS, replaced("10.00", "10.005"), 2,
                            "it must be a number with at most 2 decimals"),
    "wrong class": (ELEMENTS, replaced(",30,", ",60,"), 2, "is 30 or 750 mV, not 60"),
    "neither yes nor no": (ELEMENTS, replaced(",no,24", ",perhaps,24"), 2,
                           '"perhaps" is neither yes nor no'),
    "blank where needed": (ELEMENTS, replaced(",24", ","), 2, 'column "length_in" is missing'),
    "unknown word": (ELEMENTS, replaced("snap_in_collar", "velcro"), 2,
                     'tip_style "velcro" is not among the values of the fit rules'),
    "formula": (ELEMENTS, replaced(",24", ",=12*2"), 2, 'length_in holds a formula ("=12*2")'),
    "formula of a call": (ELEMENTS, replaced("Invented sensing_element", "@SUM(A1)"), 2,
                          'description holds a formula ("@SUM(A1)")'),
    "very long field": (ELEMENTS, replaced("Invented sensing_element", "x" * 1_000_000), 2,
                        "description holds 1,000,000 characters, at most 2,000"),
    "too many fields": (ELEMENTS, replaced(",24\n", ",24,9\n"), 2, "the row has 12 fields, the"),
    "too few fields": (ELEMENTS, replaced(",24\n", "\n"), 2, "the row has 10 fields, the h"),
    "stray quotation mark": (ELEMENTS, replaced("Invented", '"Inv"ented'), 2,
                             "look for a stray quotation mark"),
    "missing column": (ELEMENTS, replaced("length_in", "notice"), 1,
                       'the column "length_in" is missing'),
    "misspelt column": (ELEMENTS, replaced("length_in", "lenght_in"), 1,
                        'the column "lenght_in" is not known; did you mean "length_in"?'),
    "column twice": (ELEMENTS, replaced("tip_style", "connection"), 1,
                     'the column "connection" is there twice'),
    "merged header": (ELEMENTS, replaced("tip_style", ""), 1, "column 9 has no name"),
    "number twice": (ELEMENTS, replaced("SE-1002", "SE-1001"), 3, "SE-1001 is there already in"),
    "numbers read alike": (ELEMENTS, replaced("SE-1002", "SE-IOO1"), 3,
                           "number SE-IOO1 reads the same as SE-1001"),
    "offer without part": (OFFERS, replaced("SE-1001", "SE-9999"), 2,
                           "part SE-9999 is not in the catalog"),
    "offer ends before it starts": (OFFERS, replaced("2025-01-01,", "2025-01-01,2024-01-01"), 2,
                                    "valid_to lies before valid_from"),
    "listed at the wrong position": ("listed.csv", replaced("sensing_element", "gas_control"), 2,
                                     "position gas_control takes a gas_control"),
    "listed at no position": ("listed.csv", replaced("sensing_element", "sensing_elemnt"), 2,
                              'position is "sensing_elemnt"; it must be'),
    "listed for no heater": ("listed.csv", replaced("heater,sens", "heatre,sens"), 2,
                             'heater family "heatre" is not in the catalog'),
    "replaced but still sold": (ELEMENTS, replaced(",no,,30", ",no,SE-1002,30"), 2,
                                "replaced_by is given, so discontinued must be yes"),
    "dangling chain": (ELEMENTS, replaced(",no,,30", ",yes,SE-7777,30"), 2,
                       "SE-1001 is replaced by SE-7777, which is not in the catalog"),
    "remedy without operation": ("operation.csv",
                                 replaced("clean_flame_rod,clean_flame_rod,remedy,0.50,\n", ""), 0,
                                 'the remedy "clean_flame_rod" has no operation'),
    "operation of no remedy": ("operation.csv", replaced("clean_flame_rod", "polish_rod"), 22,
                               '"polish_rod" is not a remedy'),
    "stock below zero": ("stock.csv", replaced(",1\n", ",-1\n"), 2, 'pieces is "-1"; it must be 0'),
}  # fmt: skip


@pytest.mark.parametrize("fault", FAULTS)
def test_a_spoiled_row_is_named(fault: str, source: Path, tmp_path: Path) -> None:
    name, change, row, says = FAULTS[fault]
    edit(source / name, change)
    report = check_catalog(source)
    named = [(file, at) for file, at, reason in report.rejected if says in reason]
    assert named == [(name, row)], report.rejected
    with pytest.raises(CatalogTrouble) as told:
        build_catalog(source, tmp_path / "catalogs")
    place = f"{name} row {row}" if row else name
    assert f"{place}: " in str(told.value)
    assert says in str(told.value)
    assert "the catalog in use has not changed" in str(told.value)
    assert not (tmp_path / "catalogs").exists()


def test_a_sound_folder_has_no_fault(source: Path) -> None:
    assert check_catalog(source).sound


@pytest.mark.parametrize(
    ("data", "says"),
    [
        ("number,description\nSE-1,Größe\n".encode("cp1252"), "is not UTF-8 (byte 0xf6)"),
        ("number\n".encode("utf-16"), "the file is UTF-16; save it as CSV UTF-8"),
        (gzip.compress(b"number\n" * 100, mtime=0)[:40], "compressed (gzip); unpack it first"),
        (b"PK\x03\x04 and the rest", "workbook or archive; save the sheet as CSV UTF-8"),
        ("number,maker\nSE-1,x\n".encode("utf-16-le"), "the file is UTF-16"),
        (b"\xd0\xcf\x11\xe0" + bytes(500), "an old workbook (.xls); save the sheet as CSV"),
        (b"", "the file is empty"),
        (b"\n\n", "the file is empty"),
    ],
)
def test_a_file_that_is_no_csv(source: Path, data: bytes, says: str) -> None:
    (source / ELEMENTS).write_bytes(data)
    faults = [reason for file, _, reason in check_catalog(source).rejected if file == ELEMENTS]
    assert len(faults) == 1
    assert says in faults[0]


def test_the_row_of_a_wrong_byte_is_named(source: Path) -> None:
    (source / ELEMENTS).write_bytes(b"number,maker\nA-1,x\nA-2,\xe4\n")
    assert check_catalog(source).rejected[0][:2] == (ELEMENTS, 3)


def test_a_missing_file_is_named(source: Path) -> None:
    (source / "igniter.csv").unlink()
    assert check_catalog(source).rejected == (
        ("igniter.csv", 0, "the file is missing; add it, with its header row at least"),
    )


def test_a_folder_that_is_not_there(tmp_path: Path) -> None:
    with pytest.raises(
        CatalogTrouble, match=r"The folder of catalog files is not there in .*where"
    ):
        build_catalog(tmp_path / "nowhere", tmp_path / "catalogs")


def test_byte_order_mark_semicolons_and_column_order_change_nothing(
    source: Path, tmp_path: Path
) -> None:
    version = build_catalog(source, tmp_path / "one").version
    other = tmp_path / "other"
    shutil.copytree(source, other)
    lines = [line.split(",") for line in (source / ELEMENTS).read_text().splitlines()]
    turned = "\r\n".join(";".join(reversed(cells)) for cells in lines) + "\r\n"
    (other / ELEMENTS).write_bytes(b"\xef\xbb\xbf" + turned.encode())
    report = build_catalog(other, tmp_path / "two")
    assert report.version == version
    assert report.notes == (f"{ELEMENTS} is parted by semicolons",)


def test_a_loop_of_replacements_is_named(tmp_path: Path) -> None:
    shelf = SmallCatalog()
    shelf.part(SE, "SE-1", replaced_by="SE-2")
    shelf.part(SE, "SE-2", replaced_by="SE-3")
    shelf.part(SE, "SE-3", replaced_by="SE-2")
    report = check_catalog(shelf.write(tmp_path / "source"))
    assert report.rejected == (
        (ELEMENTS, 3, "the replaced-by chain runs in a loop: SE-2 → SE-3 → SE-2"),
    )


def test_a_part_replaced_by_itself_is_a_loop(tmp_path: Path) -> None:
    shelf = SmallCatalog()
    shelf.part(SE, "SE-1", replaced_by="SE-1")
    report = check_catalog(shelf.write(tmp_path / "source"))
    assert report.rejected[0][2] == "the replaced-by chain runs in a loop: SE-1 → SE-1"


def test_a_part_replaced_by_one_of_another_family(tmp_path: Path) -> None:
    shelf = SmallCatalog()
    shelf.part(SE, "SE-1", replaced_by="GC-1")
    shelf.part(PartFamily.GAS_CONTROL, "GC-1")
    report = check_catalog(shelf.write(tmp_path / "source"))
    assert "is replaced by GC-1, a gas_control" in report.rejected[0][2]


def test_the_end_of_a_chain_that_nobody_sells_is_noted(tmp_path: Path) -> None:
    shelf = SmallCatalog()
    shelf.part(SE, "SE-1", discontinued=True)
    report = check_catalog(shelf.write(tmp_path / "source"))
    assert report.sound
    assert report.notes == ("1 parts are no longer sold and nothing replaces them: SE-1",)


def test_all_rejected_rows_are_reported_and_the_first_are_shown(
    source: Path, tmp_path: Path
) -> None:
    rows = "".join(f"SE-1001,S{n} (invented),cheap,,2025-01-01,,2\n" for n in range(50))
    edit(source / OFFERS, lambda text: text + rows)
    assert len(check_catalog(source).rejected) == 50
    with pytest.raises(CatalogTrouble) as told:
        build_catalog(source, tmp_path / "catalogs")
    assert "for 50 rows cannot be taken" in str(told.value)
    assert "and 30 more" in str(told.value)


@pytest.mark.parametrize(
    ("old", "new", "reason"),
    [
        ("SE-", "SE!", "holds other signs; use letters, digits, spaces, points, slashes, dashes"),
        (",threaded_right_11_32_32", ",Push-in", "use small letters, digits, underscores"),
    ],
)
def test_a_word_spelled_in_other_signs_is_said_in_words(
    source: Path, old: str, new: str, reason: str
) -> None:
    path = source / ELEMENTS
    header, first, *rest = path.read_text(encoding="utf-8").splitlines()
    path.write_text("\n".join([header, first.replace(old, new), *rest]), encoding="utf-8")
    said = {row: why for file, row, why in check_catalog(source).rejected if file == ELEMENTS}
    assert reason in said[2]
    assert "pattern" not in said[2]


def test_a_row_parted_otherwise_does_not_refuse_what_names_its_part(source: Path) -> None:
    path = source / "sensing_element.csv"
    header, first, *rest = path.read_text(encoding="utf-8").splitlines()
    path.write_text("\n".join([header, first.replace(",", ";"), *rest]) + "\n", encoding="utf-8")
    [only] = check_catalog(source).rejected
    assert only[:2] == ("sensing_element.csv", 2)
    assert "the row has 1 fields" in only[2]


def test_a_refused_part_does_not_refuse_what_names_it(source: Path) -> None:
    edit(source / ELEMENTS, replaced(",24", ",long"))
    assert len(check_catalog(source).rejected) == 1


RULES = Path(__file__).parents[2] / "catalog" / "fit_rules.toml"


@pytest.mark.parametrize(
    ("old", "new", "says"),
    [
        ('rule = "keeps"', 'rule = "note"', 'a safety feature, for which rule "note" is too lax'),
        ('rule = "keeps"\nsafety = true', 'rule = "note"',
         "sensing_element must keep cut_off_built_in as a safety feature"),
        ('rule = "no_higher"', 'rule = "equal"', 'limit.opens_at_f must keep the rule "no_higher"'),
        ("spare = 0.03\nsafety", "spare = 0.2\nsafety",
         "gas_control.manifold_in_wc is a safety feature and may spare at most 0.1, not 0.2"),
        ("spare = 0.01\nsafety = true", "spare = 0.01",
         "orifice must keep bore_in as a safety feature"),
        ('listed_kinds = ["gasket"]', "listed_kinds = []",
         "sundry must keep gasket among its listed_kinds"),
        ('listed_only = "always"', 'listed_only = "never"',
         'gas_control must keep listed_only = "always"'),
        ('rule = "equal"', 'rule = "same"', "it must be equal, keeps"),
        ('feature = "tip_style"', 'feature = "tip_stile"', 'name the feature "tip_stile"'),
        ('values = "fuel"', 'values = "fuels"', 'takes its values from "fuels"'),
        ('unit = "mV"', "unit = mV", "The fit rules cannot be read: Invalid value (at line"),
        ('kind = "gasket"', 'kind = "gaskit"', 'companion kind "gaskit" is not under'),
        ("\nsafety = true", "\nsafty = true", 'did you mean "safety"?'),
    ],
)  # fmt: skip
def test_rules_that_an_owner_spoiled(
    source: Path, tmp_path: Path, old: str, new: str, says: str
) -> None:
    text = RULES.read_text(encoding="utf-8")
    assert old in text
    (source / "fit_rules.toml").write_text(text.replace(old, new, 1), encoding="utf-8")
    with pytest.raises(CatalogTrouble) as told:
        build_catalog(source, tmp_path / "catalogs")
    assert says in str(told.value)
    assert "fit_rules.toml" in str(told.value)


def test_a_bad_rule_is_named_with_its_line(source: Path) -> None:
    text = RULES.read_text(encoding="utf-8").replace('rule = "at_least"', 'rule = "at_most"', 1)
    (source / "fit_rules.toml").write_text(text, encoding="utf-8")
    before = text[: text.index('rule = "at_most"')]
    line = before[: before.rindex("[[families")].count("\n") + 1
    with pytest.raises(CatalogTrouble, match=rf"fit_rules.toml line {line};"):
        check_catalog(source)


@pytest.mark.parametrize(
    ("old", "new", "header", "nth"),
    [
        ('rule = "keeps"\nsafety = true', 'rule = "note"', "[[families.sensing_element.features]]",
         1),
        ('rule = "no_higher"', 'rule = "equal"', "[[families.limit.features]]", 0),
        ('listed_only = "always"', 'listed_only = "never"', "[families.gas_control]", 0),
        ('values = "fuel"', 'values = "fuels"', "[[families.pilot_assembly.features]]", 0),
        ('kind = "gasket"', 'kind = "gaskit"', "[[companions]]", 2),
        ('rule = "keeps"', 'rule = "keeps"\nonly_if = "length_in"',
         "[[families.sensing_element.features]]", 1),
        ('safety = true\nplate = "output_class_mv"\nonly_if = "includes_element"',
         'plate = "output_class_mv"\nonly_if = "includes_element"',
         "[[families.pilot_assembly.features]]", 1),
    ],
)  # fmt: skip
def test_a_rule_wrong_beside_the_rest_is_named_with_its_line(
    source: Path, old: str, new: str, header: str, nth: int
) -> None:
    text = RULES.read_text(encoding="utf-8")
    assert old in text
    text = text.replace(old, new, 1)
    (source / "fit_rules.toml").write_text(text, encoding="utf-8")
    line = [n for n, row in enumerate(text.splitlines(), 1) if row == header][nth]
    with pytest.raises(CatalogTrouble, match=rf"fit_rules.toml line {line}\."):
        check_catalog(source)


def test_an_owner_adds_a_kind_of_connection_without_code(source: Path, tmp_path: Path) -> None:
    text = RULES.read_text(encoding="utf-8")
    text = text.replace('push_in = "push-in"', 'push_in = "push-in"\nbayonet = "bayonet"', 1)
    edit(source / ELEMENTS, replaced("threaded_right_11_32_32", "bayonet"))
    assert not check_catalog(source).sound
    (source / "fit_rules.toml").write_text(text, encoding="utf-8")
    assert build_catalog(source, tmp_path / "catalogs").parts == 2
