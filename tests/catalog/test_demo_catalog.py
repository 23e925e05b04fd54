"""The demo catalog: dense, sound, invented, and the same on every run."""

from __future__ import annotations

import csv
import re
from pathlib import Path

import duckdb
import pytest

from catalog.fit_rules import read_rules, rules_that_ship
from catalog.importing import check_catalog
from catalog.part_rows import COMMON, FEATURES
from catalog.rows import OTHER_FILES, PART_FILES
from catalog.snapshots import query
from demo_data.make_catalog import make
from estimator.supply import PartFamily

PROJECT = Path(__file__).parents[2]
DEMO = PROJECT / "demo_data" / "catalog"
SCHEMA = sorted((PROJECT / "catalog" / "schema").glob("*.sql"))


def rows(name: str) -> list[dict[str, str]]:
    with (DEMO / f"{name}.csv").open(encoding="utf-8", newline="") as held:
        return list(csv.DictReader(held))


def parts() -> list[dict[str, str]]:
    return [row for file in PART_FILES for row in rows(file.name)]


def test_it_is_sound() -> None:
    report = check_catalog(DEMO)
    assert report.rejected == ()
    assert sum(report.rows[file.name] for file in PART_FILES) >= 400
    assert report.rows["heater_family"] >= 20


BY_HAND = {"operation.csv", "site_item.csv", "incentive.csv"}


def test_it_is_made_by_its_script(tmp_path: Path) -> None:
    make(tmp_path)
    assert {path.name for path in DEMO.glob("*.csv")} == BY_HAND | {
        path.name for path in tmp_path.glob("*.csv")
    }
    for path in tmp_path.glob("*.csv"):
        assert path.read_bytes() == (DEMO / path.name).read_bytes(), path.name


def test_every_row_is_marked_as_invented() -> None:
    for file in (*PART_FILES, *OTHER_FILES):
        assert {row["notice"] for row in rows(file.name)} == {"invented"}, file.name
    makers = {row["maker"] for row in (*parts(), *rows("heater_family"))}
    assert makers <= {f"Maker {letter} (invented)" for letter in "ABCD"}


def test_wrong_choices_are_near() -> None:
    """Most parts have a neighbor that differs in one feature alone."""
    for family in ("sensing_element", "pilot_assembly", "gas_control", "limit", "igniter"):
        names = FEATURES[PartFamily(family)]
        held = [tuple(row[name] for name in names) for row in rows(family)]
        near = sum(
            any(sum(a != b for a, b in zip(one, other, strict=True)) == 1 for other in held)
            for one in held
        )
        assert near / len(held) > 0.8, family


def test_it_holds_what_the_job_meets() -> None:
    every = parts()
    assert sum(bool(row["replaced_by"]) for row in every) >= 15
    assert sum(row["universal"] == "yes" for row in every) >= 8
    assert any(row["discontinued"] == "yes" and not row["replaced_by"] for row in every)
    offers: dict[str, int] = {}
    for row in rows("offer"):
        offers[row["part"]] = offers.get(row["part"], 0) + 1
    assert min(offers[row["number"]] for row in every) >= 2
    places = {(row["place"], row["place_kind"]) for row in rows("stock")}
    assert places == {("van-1", "van"), ("van-2", "van"), ("branch-1", "branch")}
    stocked = {row["part"] for row in rows("stock") if row["pieces"] != "0"}
    assert any(row["number"] not in stocked for row in every if row["discontinued"] == "no")


def test_numbers_are_of_our_own_scheme() -> None:
    assert all(re.fullmatch(r"[A-Z]{2}-\d{5}", row["number"]) for row in parts())


IN_PLACE_OF_ANOTHER = ("price_2_none",)


@pytest.fixture(scope="module")
def empty() -> duckdb.DuckDBPyConnection:
    connection = duckdb.connect(":memory:")
    connection.execute("ATTACH ':memory:' AS base")
    connection.execute("USE base")
    for path in SCHEMA:
        connection.execute(path.read_text(encoding="utf-8"))
    return connection


def test_row_models_and_tables_agree(empty: duckdb.DuckDBPyConnection) -> None:
    def columns(table: str) -> list[str]:
        return [row[0] for row in empty.execute(f'DESCRIBE "{table}"').fetchall()]

    common = {name for name in COMMON if name != "notice"}
    assert set(columns("part")) == common | {"folded", "family", "sold_as", "notice"}
    for file in PART_FILES:
        assert columns(file.name) == ["number", *FEATURES[PartFamily(file.name)], "sold"]
    for file in OTHER_FILES:
        assert set(columns(file.name)) == set(file.model.model_fields), file.name


def test_rules_judge_every_feature_of_a_family() -> None:
    rules = read_rules(rules_that_ship(), "fit_rules.toml")
    for family in PartFamily:
        judged = {rule.feature for rule in rules.families[family].features}
        assert judged == set(FEATURES[family]), family


def test_one_statement_a_file_and_every_query_can_be_planned(
    empty: duckdb.DuckDBPyConnection,
) -> None:
    queries = sorted((PROJECT / "catalog" / "sql").glob("*.sql"))
    assert len(queries) >= 30
    for path in (*SCHEMA, *queries):
        assert len(empty.extract_statements(path.read_text(encoding="utf-8"))) == 1, path.name
    empty.execute(
        "CREATE TEMP TABLE price_text (number VARCHAR, cost VARCHAR, list_price VARCHAR, "
        "order_days VARCHAR, supplier_number VARCHAR)"
    )
    empty.execute(
        "CREATE TEMP TABLE price_line (line BIGINT, place BIGINT, number VARCHAR, cost "
        "DECIMAL(10, 2), list_price DECIMAL(10, 2), order_days INTEGER, supplier_number VARCHAR, "
        "reason VARCHAR)"
    )
    empty.execute("CREATE TEMP TABLE price_refused (line BIGINT, errors BIGINT, reason VARCHAR)")
    # what a part is sold at comes from the rate sheet: catalog.price_effects makes these
    empty.execute("CREATE TEMP MACRO price_at(cents, list_cents) AS cents::BIGINT")
    empty.execute("CREATE TEMP MACRO share_of(part, whole) AS (part // whole)::BIGINT")
    empty.execute("SET VARIABLE supplier = 'A'")
    empty.execute("SET VARIABLE holds_from = DATE '2026-01-01'")
    for path in sorted(queries, key=lambda each: each.stem in IN_PLACE_OF_ANOTHER):
        if path.stem in IN_PLACE_OF_ANOTHER:
            empty.execute("DROP TABLE price_compared")
        (statement,) = empty.extract_statements(query(path.stem))
        values = dict.fromkeys(statement.named_parameters)
        told = {
            "numbers": ["A"],
            "positions": ["limit"],
            "most": 3,
            "letters": [1],
            "kind": "new",
            "supplier": "A",
            "holds_from": "2026-01-01",
        }
        told |= {"version": "0", "layout": 1, "rules": ""} if path.stem.startswith("fill") else {}
        values |= told
        empty.execute(query(path.stem), {name: values[name] for name in statement.named_parameters})


def test_every_query_is_used() -> None:
    source = "\n".join(path.read_text() for path in (PROJECT / "catalog").glob("*.py"))
    for path in (PROJECT / "catalog" / "sql").glob("*.sql"):
        by_family = path.stem.startswith(("candidates_", "features_"))
        assert by_family or f'"{path.stem}"' in source, path.name
