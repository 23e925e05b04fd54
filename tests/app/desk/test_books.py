"""The books against plain counting, kept up with the ledger, and exported."""

from __future__ import annotations

import csv
import io
import json
import sqlite3
import stat
from collections import Counter
from contextlib import closing
from datetime import UTC, date, datetime, timedelta
from decimal import Decimal
from pathlib import Path

import openpyxl
import pyarrow as pa
import pyarrow.parquet as pq
import pytest

from app import answering, outcomes
from app.desk import book_table as table_of_books
from app.desk.book_rows import EXPORTED, book_quotes, export_books, export_table, neutralized
from app.desk.book_table import book_table
from app.desk.books import BookFilter, books, count_books
from app.desk.heater_lives import heater_records, life_csv
from app.desk.part_costs import part_costs
from app.desk.tallies import AGE_BANDS, STATES, state_codes
from app.ledger.tables import quote_facts
from app.life_records import RecordSpan, read_life_records
from app.quoting import owner_results
from app.shop import Shop
from estimator.errors import InputTrouble, LedgerTrouble, Trouble
from estimator.heater import HeaterClass
from tests.acting import TESTER
from tests.app.desk.support import NOW, OWNER, TODAY, issue, technician
from tests.bench.book_facts import facts

DAY = date(2026, 11, 25)


def test_empty_books_have_no_shares_and_no_average(shop: Shop) -> None:
    found = books(shop, OWNER, BookFilter(), TODAY)
    total = found.total
    assert (total.quotes, total.open, total.accepted, total.revenue) == (0, 0, 0, 0)
    assert total.share_accepted is None
    assert total.share_repaired is None
    assert total.average_job is None
    assert total.gross_margin is None
    assert all(groups == () for groups in found.by.values())
    assert (found.parts, found.people, found.superseded) == ((), (), 0)
    assert book_quotes(shop, OWNER, BookFilter(), TODAY).rows == ()


def test_one_quote_through_its_life(shop: Shop) -> None:
    quote = issue(shop, "worn_element")
    assert books(shop, OWNER, BookFilter(), TODAY).total.open == 1
    later = quote.valid_until + timedelta(days=2)
    assert books(shop, OWNER, BookFilter(), later).total.lapsed == 1
    answering.accept(shop, OWNER, quote, "repair", "A. Sample", "I agree.", NOW)
    total = books(shop, OWNER, BookFilter(), later).total
    margin = owner_results(shop, TESTER, quote).repair_margin
    assert (total.quotes, total.accepted, total.repaired, total.open) == (1, 1, 1, 0)
    assert (total.revenue, total.cost) == (margin.revenue, margin.cost)
    assert total.average_job == margin.revenue
    assert total.gross_margin is not None
    assert total.gross_margin.quantize(Decimal("0.0001")) == margin.gross_margin
    assert total.share_accepted == total.share_repaired == 1


def test_jobs_are_held_against_the_target_of_the_rate_sheet_else_its_floor(shop: Shop) -> None:
    sheet = shop.ledger.rate_sheets.version(1).sheet
    found = books(shop, OWNER, BookFilter(), TODAY)
    assert (found.target, found.target_is_floor) == (sheet.quote.target_margin, False)
    given = books(shop, OWNER, BookFilter(), TODAY, target=Decimal("0.6"))
    assert (given.target, given.target_is_floor) == (Decimal("0.6"), False)
    aimless = sheet.model_copy(
        update={"quote": sheet.quote.model_copy(update={"target_margin": None})}
    )
    shop.ledger.rate_sheets.publish(aimless, TODAY, "owner", NOW)
    found = books(shop, OWNER, BookFilter(), TODAY)
    assert (found.target, found.target_is_floor) == (sheet.quote.margin_floor, True)


def test_a_revision_takes_the_place_of_the_one_before(shop: Shop) -> None:
    first = issue(shop, "worn_element")
    books(shop, OWNER, BookFilter(), TODAY)
    issue(shop, "worn_element", by="B. Other", revises=first.number)
    found = books(shop, OWNER, BookFilter(), TODAY)
    assert (found.total.quotes, found.superseded) == (1, 1)
    assert [it.key for it in found.by["person"]] == ["B. Other"]
    (row,) = book_quotes(shop, OWNER, BookFilter(states=("superseded",)), TODAY).rows
    assert (row.number, row.revision, row.state) == (first.number, 1, "superseded")


@pytest.mark.parametrize("small", [-1, 50_000], ids=["laid over", "written anew"])
def test_the_file_beside_the_ledger_keeps_up_and_is_only_a_copy(
    shop: Shop, monkeypatch: pytest.MonkeyPatch, small: int
) -> None:
    monkeypatch.setattr(table_of_books, "_SMALL", small)
    quotes = [issue(shop, name) for name in ("worn_element", "tank_leak")]
    path = shop.folder / table_of_books.FOLDER / table_of_books.FILE
    book_table(shop)
    assert stat.S_IMODE(path.stat().st_mode) == 0o600
    first = path.read_bytes()
    answering.accept(shop, OWNER, quotes[0], "repair", "A. Sample", "I agree.", NOW)
    answering.decline(shop, OWNER, quotes[1], "B. Sample", "Not now.", NOW)
    issue(shop, "young_heater", revises=quotes[1].number)
    issue(shop, "thermopile")
    some = book_table(shop, ("finding", "chosen_path", "superseded"))
    forward = book_table(shop)
    assert some.to_pylist() == forward.select(some.column_names).to_pylist()
    assert (path.read_bytes() == first) == (small < 0)
    path.unlink()
    anew = book_table(shop)
    assert forward.to_pylist() == anew.to_pylist()
    assert [STATES[code] for code in state_codes(anew, TODAY)] == [
        *("accepted", "superseded", "issued", "issued")
    ]
    path.write_bytes(b"PAR1 nothing of use PAR1")
    assert book_table(shop).to_pylist() == anew.to_pylist()


def test_a_file_of_another_ledger_is_not_believed(shop: Shop) -> None:
    issue(shop, "worn_element")
    path = shop.folder / table_of_books.FOLDER / table_of_books.FILE
    whole = book_table(shop)
    table = pq.read_table(path)
    mark = {
        b"heater_books": json.dumps(
            {"form": table_of_books.FORM, "sequence": 1, "hash": "other"}
        ).encode()
    }
    pq.write_table(table.slice(0, 0).replace_schema_metadata(mark), path)
    assert book_table(shop).to_pylist() == whole.to_pylist()


def test_the_columns_are_those_of_the_ledger_in_its_order() -> None:
    assert table_of_books.SCHEMA.names == list(quote_facts.columns.keys())


def test_words_of_any_kind_come_through_as_they_are(shop: Shop) -> None:
    names = ['It\'s, said "he"\nand went', "", "NULL", "  =1+1", "ю 水", "'", ","]
    for at, name in enumerate(names):
        issue(shop, "worn_element", by=name, at=NOW + timedelta(minutes=at))
    assert book_table(shop)["issued_by"].to_pylist() == names


def test_a_fact_that_cannot_be_is_said(shop: Shop) -> None:
    issue(shop, "worn_element")
    with closing(sqlite3.connect(shop.folder / "ledger.sqlite")) as past:
        past.execute("UPDATE quote_facts SET revenue_cents = 'much'")
        past.commit()
    with pytest.raises(LedgerTrouble) as told:
        books(shop, OWNER, BookFilter(), TODAY)
    assert str(told.value).startswith("The facts of the books cannot be read (")
    assert str(told.value).endswith(
        "Run the ledger's check; it says which quote's facts were changed."
    )


def test_what_is_kept_in_a_folder_that_cannot_be_written_is_read_each_time(shop: Shop) -> None:
    issue(shop, "worn_element")
    (shop.folder / table_of_books.FOLDER).write_text("a file where the folder would be")
    assert books(shop, OWNER, BookFilter(), TODAY).total.quotes == 1


@pytest.fixture(scope="module")
def invented() -> pa.Table:
    return facts(3000, seed=7)


FILTERS = [
    BookFilter(),
    BookFilter(first=date(2025, 3, 1), last=date(2026, 2, 28)),
    BookFilter(people=("Tech 3 (invented)", "Tech 8 (invented)")),
    BookFilter(findings=("element_worn", "tank_leak"), states=("accepted",)),
    BookFilter(states=("lapsed", "issued")),
    BookFilter(ages=("5 to 9", "20 or more"), verdicts=("repair",)),
]


@pytest.mark.parametrize("wanted", FILTERS)
def test_tallies_against_plain_counting(invented: pa.Table, wanted: BookFilter) -> None:
    found = count_books(invented, wanted, DAY, Decimal("0.4"), target_is_floor=False)
    rows = [plain for plain in invented.to_pylist() if let_through(plain, wanted)]
    current = [row for row in rows if not row["superseded"]]
    assert found.superseded == len(rows) - len(current)
    assert_tally(found.total, current)
    keys = {
        "person": lambda row: row["issued_by"],
        "finding": lambda row: row["finding"],
        "verdict": lambda row: row["verdict"],
        "age": band,
        "month": lambda row: row["issued_on"].strftime("%Y-%m"),
    }
    for way, key in keys.items():
        tallies = {it.key: it for it in found.by[way] if it.quotes}
        assert set(tallies) == {key(row) for row in current}
        for name, tally in tallies.items():
            assert_tally(tally, [row for row in current if key(row) == name])
    used = Counter(row["part_number"] for row in current if row["chosen_path"] == "repair")
    assert all(part.used == used[part.number] for part in found.parts)


def band(row: dict[str, object]) -> str | None:
    months = row["heater_age_months"]
    return None if months is None else AGE_BANDS[min(int(str(months)) // 60, 4)]


def state(row: dict[str, object]) -> str:
    if row["superseded"]:
        return "superseded"
    if row["chosen_path"] is not None:
        return "declined" if row["chosen_path"] == "declined" else "accepted"
    return "lapsed" if row["valid_until"] < DAY else "issued"  # type: ignore[operator]


def let_through(row: dict[str, object], wanted: BookFilter) -> bool:
    return (
        (wanted.first is None or row["issued_on"] >= wanted.first)  # type: ignore[operator]
        and (wanted.last is None or row["issued_on"] <= wanted.last)  # type: ignore[operator]
        and (not wanted.people or row["issued_by"] in wanted.people)
        and (not wanted.findings or row["finding"] in wanted.findings)
        and (not wanted.states or state(row) in wanted.states)
        and (not wanted.ages or band(row) in wanted.ages)
        and (not wanted.verdicts or row["verdict"] in wanted.verdicts)
    )


def assert_tally(tally: object, rows: list[dict[str, object]]) -> None:
    states = Counter(map(state, rows))
    sold = [row for row in rows if state(row) == "accepted"]
    assert tally.quotes == len(rows)  # type: ignore[attr-defined]
    assert tally.open == states["issued"]  # type: ignore[attr-defined]
    assert tally.accepted == states["accepted"]  # type: ignore[attr-defined]
    assert tally.declined == states["declined"]  # type: ignore[attr-defined]
    assert tally.lapsed == states["lapsed"]  # type: ignore[attr-defined]
    assert tally.repaired == sum(it["chosen_path"] == "repair" for it in sold)  # type: ignore[attr-defined]
    cents = sum(int(str(it["revenue_cents"])) for it in sold)
    assert tally.revenue == Decimal(cents).scaleb(-2)  # type: ignore[attr-defined]


def test_the_largest_amounts_add_up_exactly(invented: pa.Table) -> None:
    largest = 10**14 - 1  # cents; the ledger takes no larger price
    column = invented.schema.get_field_index("revenue_cents")
    huge = invented.set_column(column, "revenue_cents", pa.array([largest] * invented.num_rows))
    total = count_books(huge, BookFilter(), DAY, Decimal(0), target_is_floor=False).total
    assert total.revenue == total.accepted * Decimal(largest).scaleb(-2)


@pytest.mark.parametrize(
    ("wanted", "said"),
    [
        (BookFilter(people=("Nobody",)), 'The books know no person "Nobody". They know none yet.'),
        (BookFilter(findings=("worn",)), 'The books know no finding "worn". They know no_spark, '),
        (BookFilter(ages=("old",)), 'The books know no age "old". They know 0 to 4, 5 to 9, 10'),
        (BookFilter(states=("won",)), 'The books know no state "won". They know issued, accepted'),
        (
            BookFilter(first=date(2026, 2, 1), last=date(2026, 1, 1)),
            "The last day 2026-01-01 lies before the first 2026-02-01. Exchange the two.",
        ),
    ],
)
def test_a_filter_of_what_is_not_there_is_refused(
    shop: Shop, wanted: BookFilter, said: str
) -> None:
    with pytest.raises(InputTrouble) as told:
        books(shop, OWNER, wanted, TODAY)
    assert str(told.value).startswith(said)


def test_a_technician_sees_no_books(shop: Shop, tmp_path: Path) -> None:
    for attempt in (
        lambda: books(shop, technician(), BookFilter(), TODAY),
        lambda: book_quotes(shop, technician(), BookFilter(), TODAY),
        lambda: export_books(shop, technician(), BookFilter(), TODAY, tmp_path / "a.csv", NOW),
        lambda: part_costs(shop, technician(), BookFilter(), TODAY),
        lambda: heater_records(shop, technician()),
    ):
        with pytest.raises(Trouble, match="You may not see the books"):
            attempt()
    assert not (tmp_path / "a.csv").exists()


def test_a_page_of_quotes_is_the_last_issued_first(shop: Shop) -> None:
    numbers = [issue(shop, "worn_element", at=NOW + timedelta(hours=i)).number for i in range(5)]
    first = book_quotes(shop, OWNER, BookFilter(), TODAY, limit=2)
    then = book_quotes(shop, OWNER, BookFilter(), TODAY, limit=2, skip=2)
    last = book_quotes(shop, OWNER, BookFilter(), TODAY, limit=2, skip=4)
    assert [row.number for page in (first, then, last) for row in page.rows] == numbers[::-1]
    assert first.count == 5
    assert book_quotes(shop, OWNER, BookFilter(), TODAY, skip=9).rows == ()


FORMULAS = ("=1+1", "+49", "-2", "@SUM(A1)", "\t=1", "\r=1", "  =1", "\n=1")


@pytest.mark.parametrize("text", FORMULAS)
def test_text_like_a_formula_is_neutralized(text: str) -> None:
    assert neutralized(text) == f"'{text}"


@pytest.mark.parametrize("value", ["A = B", "Tech 1", "", None, Decimal("-3.20"), -5, "'=1"])
def test_other_cells_stay_as_they_are(value: object) -> None:
    assert neutralized(value) is value


@pytest.fixture
def by_formulas(shop: Shop) -> Shop:
    for at, name in enumerate(FORMULAS):
        issue(shop, "worn_element", by=name, at=NOW + timedelta(minutes=at))
    return shop


def test_no_cell_of_an_excel_file_is_a_formula(by_formulas: Shop, tmp_path: Path) -> None:
    path = tmp_path / "books.xlsx"
    assert export_books(by_formulas, OWNER, BookFilter(), TODAY, path, NOW) == len(FORMULAS)
    sheet = openpyxl.load_workbook(path).active
    assert sheet is not None
    rows = list(sheet.iter_rows())
    assert [cell.value for cell in rows[0]] == list(EXPORTED)
    assert all(cell.data_type != "f" for row in rows for cell in row)
    people = [row[EXPORTED.index("issued_by")].value for row in rows[1:]]
    assert all(str(name).startswith("'") for name in people)
    price = rows[1][EXPORTED.index("repair_price_usd")]
    assert price.data_type == "n"


def test_no_cell_of_a_csv_file_begins_as_a_formula(by_formulas: Shop, tmp_path: Path) -> None:
    path = tmp_path / "books.csv"
    export_books(by_formulas, OWNER, BookFilter(), TODAY, path, NOW)
    rows = list(csv.reader(io.StringIO(path.read_text(encoding="utf-8-sig"), newline="")))
    assert len(rows) == 1 + len(FORMULAS)
    assert not any(cell.lstrip(" ").startswith(tuple("=+-@\t\r\n")) for row in rows for cell in row)


def test_a_parquet_file_holds_texts_unchanged_and_exact_money(
    by_formulas: Shop, tmp_path: Path
) -> None:
    path = tmp_path / "books.parquet"
    export_books(by_formulas, OWNER, BookFilter(), TODAY, path, NOW)
    rows = pq.read_table(path).to_pylist()
    assert [row["issued_by"] for row in rows] == list(FORMULAS)
    kept = by_formulas.ledger.quotes.get(rows[0]["number"])
    assert rows[0]["repair_price_usd"] == kept.repair_price
    assert rows[0]["state"] == "issued"
    (line,) = by_formulas.ledger.journal.lines(1)
    assert (line.action, line.detail) == ("export books", {"rows": len(FORMULAS)})


def test_an_export_names_no_customer(by_formulas: Shop, tmp_path: Path) -> None:
    path = tmp_path / "books.csv"
    export_books(by_formulas, OWNER, BookFilter(), TODAY, path, NOW)
    customer = by_formulas.ledger.quotes.listed(1)[0].customer_name
    assert customer
    assert customer not in path.read_text(encoding="utf-8-sig")


def test_another_ending_is_refused(shop: Shop, tmp_path: Path) -> None:
    with pytest.raises(InputTrouble, match=r'The ending ".ods" is not one of .csv, .parquet'):
        export_books(shop, OWNER, BookFilter(), TODAY, tmp_path / "books.ods", NOW)


def test_the_largest_price_is_exported_to_the_cent(invented: pa.Table) -> None:
    column = invented.schema.get_field_index("revenue_cents")
    huge = invented.set_column(column, "revenue_cents", pa.array([10**14 - 1] * invented.num_rows))
    table = export_table(huge, DAY)
    assert table["revenue_usd"][0].as_py() == Decimal("999999999999.99")


def test_costs_of_parts_against_offers_of_today(shop: Shop) -> None:
    quote = issue(shop, "worn_element")
    answering.accept(shop, OWNER, quote, "repair", "A. Sample", "I agree.", NOW)
    (cost,) = part_costs(shop, OWNER, BookFilter(), TODAY)
    supplied = json.loads(quote.supply_json)["parts"][0]
    assert (cost.number, cost.used) == (supplied["number"], 1)
    assert cost.cost_then == Decimal(supplied["unit_cost"])
    assert (cost.cost_now, cost.change, cost.variance) == (cost.cost_then, 0, 0)
    past = part_costs(shop, OWNER, BookFilter(), date(2020, 1, 1))
    assert (past[0].cost_now, past[0].change, past[0].suppliers) == (None, None, 0)


def test_what_became_of_heaters_feeds_the_life_fit(shop: Shop, tmp_path: Path) -> None:
    failed = issue(shop, "worn_element", at=datetime(2026, 1, 10, 12, tzinfo=UTC))
    ran = issue(shop, "young_heater", at=datetime(2026, 1, 11, 12, tzinfo=UTC))
    replaced = issue(shop, "thermopile", at=datetime(2026, 11, 10, 12, tzinfo=UTC))
    slug = next(choice for choice in answering.choices(replaced) if choice != "repair")
    answering.accept(shop, OWNER, replaced, slug, "A. Sample", "I agree.", NOW)
    at = datetime(2026, 11, 20, 12, tzinfo=UTC)
    seen = date(2026, 11, 19)
    outcomes.record_outcome(shop, OWNER, failed.number, seen, at, failed_on=date(2026, 8, 1))
    outcomes.record_outcome(shop, OWNER, failed.number, seen, at, repair_held=True)
    outcomes.record_outcome(shop, OWNER, ran.number, seen, at, repair_held=True)
    outcomes.record_outcome(shop, OWNER, replaced.number, seen, at)
    found = heater_records(shop, OWNER)
    assert [it.number for it in found.records] == [failed.number, ran.number]
    assert found.left_out == (
        (replaced.number, "the heater was replaced; what was seen later is of the new one"),
    )
    path = tmp_path / "lives.csv"
    path.write_bytes(life_csv(found))
    records = read_life_records(path, RecordSpan(None, seen), HeaterClass.GAS_STORAGE)
    assert [it.failed for it in records] == [True, False]
    for record, number in zip(records, (failed.number, ran.number), strict=True):
        begun = (failed if number == failed.number else ran).issued_at.date()
        made = next(it.installed for it in found.records if it.number == number)
        assert record.began_years == pytest.approx((begun - made).days / 365.25, abs=0.003)
        until = date(2026, 8, 1) if number == failed.number else seen
        watched = (until - begun).days / 365.25
        assert record.ended_years - record.began_years == pytest.approx(watched, abs=0.003)
