from __future__ import annotations

import csv
import stat

import pytest
from sqlalchemy import inspect

from app.ledger import migrations
from app.ledger.ledger import Ledger
from app.ledger.migrations import MIGRATIONS
from app.ledger.steps import Migration
from app.ledger.tables import metadata, quote_facts
from estimator.errors import LedgerTrouble
from tests.app.ledger.support import NOW, published, quote_to_issue, raw, replay


def test_migrations_make_the_tables_that_the_program_sees(ledger):
    with ledger._database.reading() as connection:
        found = inspect(connection)
        assert set(found.get_table_names()) == set(metadata.tables)
        for name, table in metadata.tables.items():
            made = {column["name"]: column for column in found.get_columns(name)}
            assert list(made) == [column.name for column in table.columns]
            for column in table.columns:
                dialect = connection.dialect
                assert made[column.name]["type"].compile(dialect) == column.type.compile(dialect)
                if not column.primary_key:
                    assert made[column.name]["nullable"] == column.nullable
            keys = found.get_pk_constraint(name)["constrained_columns"]
            assert keys == [column.name for column in table.primary_key]


def test_numbers_of_migrations_run_from_one_without_gaps():
    assert [step.version for step in MIGRATIONS] == list(range(1, len(MIGRATIONS) + 1))


def test_opening_again_changes_nothing(ledger, ledger_url):
    published(ledger)
    kept = ledger.quotes.issue(quote_to_issue())
    with Ledger.open(ledger_url) as again:
        assert again.quotes.get(kept.number) == kept
        assert again.verify(replay).sound


def test_a_newer_ledger_is_refused_and_left_alone(ledger, ledger_url):
    newer = len(MIGRATIONS) + 1
    raw(ledger_url, f"INSERT INTO schema_version VALUES ({newer}, 'later', '2030-01-01')")
    with pytest.raises(LedgerTrouble) as refused:
        Ledger.open(ledger_url)
    assert str(refused.value) == (
        f"The ledger is of a newer program (tables {newer}, this program knows {newer - 1})"
        f" in {ledger.where}. Update this program; the ledger was not touched."
    )


def _second(*statements):
    return Migration(
        len(MIGRATIONS) + 1, "a second step", statements, {"sqlite": (), "postgresql": ()}
    )


def test_an_older_ledger_is_taken_forward_with_its_content(
    ledger, ledger_url, monkeypatch, tmp_path
):
    published(ledger)
    kept = ledger.quotes.issue(quote_to_issue())
    step = _second("CREATE TABLE vans (name TEXT PRIMARY KEY)")
    monkeypatch.setattr(migrations, "MIGRATIONS", (*MIGRATIONS, step))
    if not ledger_url.startswith("sqlite"):
        with pytest.raises(LedgerTrouble, match="no folder for a copy of the ledger first"):
            Ledger.open(ledger_url, create=False)
    with Ledger.open(ledger_url, create=False, copies=tmp_path) as forward:
        assert forward.quotes.get(kept.number) == kept
        with forward._database.reading() as connection:
            assert migrations.version_of(connection, "") == len(MIGRATIONS) + 1


def test_a_migration_that_fails_half_way_leaves_no_trace(ledger, ledger_url, monkeypatch, tmp_path):
    draft = ledger.drafts.start("Tech 1", {}, NOW)
    step = _second("CREATE TABLE vans (name TEXT PRIMARY KEY)", "CREATE TABLE broken (")
    with monkeypatch.context() as patch:
        patch.setattr(migrations, "MIGRATIONS", (*MIGRATIONS, step))
        with pytest.raises(LedgerTrouble, match="The database refused"):
            Ledger.open(ledger_url, copies=tmp_path)
    with Ledger.open(ledger_url) as after:
        assert after.drafts.of(draft.draft_id) == draft
        with after._database.reading() as connection:
            assert "vans" not in inspect(connection).get_table_names()


def _as_first_made(ledger_url, tmp_path, monkeypatch):
    """A ledger as the first released program made it, with two quotes in it."""
    import sqlite3  # noqa: PLC0415 - only here

    with monkeypatch.context() as patch:
        patch.setattr(migrations, "MIGRATIONS", MIGRATIONS[:1])
        Ledger.open(ledger_url).close()
    newer = f"sqlite:///{tmp_path / 'newer.db'}"
    with Ledger.open(newer) as ledger:
        published(ledger)
        for _ in range(2):
            ledger.quotes.issue(quote_to_issue(results=RESULTS, inputs=INPUTS))
    old = sqlite3.connect(ledger_url.removeprefix("sqlite:///"), isolation_level=None)
    old.execute("ATTACH ? AS newer", (str(tmp_path / "newer.db"),))
    for table in ("counters", "rate_sheets", "quotes"):
        names = ", ".join(row[1] for row in old.execute(f"PRAGMA main.table_info({table})"))
        kept = " WHERE name <> 'journal'" if table == "counters" else ""
        old.execute(f"INSERT INTO {table} SELECT {names} FROM newer.{table}{kept}")
    old.close()


def test_before_a_step_a_copy_is_kept_that_the_older_program_opens(
    ledger, ledger_url, tmp_path, monkeypatch
):
    published(ledger)
    kept = [ledger.quotes.issue(quote_to_issue()) for _ in range(3)]
    ledger.photos.attach("draft", "plate", b"\x00\xff bytes", (2, 1), "T", NOW)
    copies = tmp_path if ledger_url.startswith("sqlite") else tmp_path / "copies"
    copies.mkdir(exist_ok=True)
    ledger.close()
    step = _second("ALTER TABLE quotes ADD COLUMN van TEXT")
    with monkeypatch.context() as patch:
        patch.setattr(migrations, "MIGRATIONS", (*MIGRATIONS, step))
        Ledger.open(ledger_url, copies=copies).close()
    (copy,) = copies.glob(f"ledger*.tables-{len(MIGRATIONS)}.*.backup")
    assert stat.S_IMODE(copy.stat().st_mode) == 0o600
    with Ledger.open(f"sqlite:///{copy}", create=False) as older:
        assert [older.quotes.get(each.number) for each in kept] == kept
        assert older.verify(replay).problems == ()
        assert older.quotes.issue(quote_to_issue()).number == "2026-000004"
    assert {each.name for each in copies.iterdir()} <= {copy.name, "ledger.db"}


INPUTS = {
    "work": {"finding": "element_worn", "remedy": "replace_element"},
    "heater": {"fuel": "natural_gas"},
    "family": "a-40",
}
RESULTS = {
    "estimate": {
        "heater": {"age_years": 11.25},
        "parts": [
            {"number": "INV-2", "needed_because": "a gasket"},
            {"number": "INV-1", "needed_because": None},
        ],
        "replacements": [
            {"slug": "closed", "closed_reason": "no circuit"},
            {"slug": "tank-40", "closed_reason": None},
        ],
    },
    "repair_margin": {"cost": "50.10", "revenue": "200.00"},
    "replacement_margins": {"tank-40": {"cost": "900.00", "revenue": "1500.00"}},
}


def test_a_ledger_of_the_first_program_is_backed_up_and_its_facts_filled_in(tmp_path, monkeypatch):
    url = f"sqlite:///{tmp_path / 'ledger.db'}"
    _as_first_made(url, tmp_path, monkeypatch)
    with Ledger.open(url) as ledger:
        facts = ledger.facts.after()
        assert len(facts) == 2
        first = facts[0]
        assert (first.finding, first.remedy, first.fuel, first.family) == (
            *("element_worn", "replace_element", "natural_gas", "a-40"),
        )
        assert (first.heater_age_months, first.part_number, first.replace_slug) == (
            *(135, "INV-1", "tank-40"),
        )
        assert (str(first.repair_cost), str(first.replace_revenue)) == ("50.10", "1500.00")
        assert (first.chosen_path, first.gross_margin) == (None, None)
        assert first.valid_until.isoformat() == "2026-06-03"
        assert ledger.verify(None).problems == ()
        assert ledger.quotes.get("2026-000001").program_version == ""
        assert ledger.quotes.issue(quote_to_issue()).number == "2026-000003"
    (backup,) = tmp_path.glob("ledger.db.tables-1.*.backup")
    with monkeypatch.context() as patch:
        patch.setattr(migrations, "MIGRATIONS", MIGRATIONS[:1])
        with pytest.raises(LedgerTrouble, match="is of a newer program"):
            Ledger.open(url)
    raw(f"sqlite:///{backup}", "SELECT number FROM quotes")
    with Ledger.open(f"sqlite:///{backup}") as again:
        assert len(again.quotes.listed()) == 2


def test_facts_one_by_one_and_as_lines_tell_the_same(ledger):
    published(ledger)
    for _ in range(3):
        ledger.quotes.issue(quote_to_issue(results=RESULTS, inputs=INPUTS))
    lines = b"".join(ledger.facts.as_csv()).decode().splitlines()
    rows = list(csv.reader(lines, quotechar="'"))
    names = list(quote_facts.columns.keys())
    assert [row[names.index("sequence")] for row in rows] == ["1", "2", "3"]
    assert {row[names.index("repair_cost_cents")] for row in rows} == {"5010"}
    assert {row[names.index("answered_on")] for row in rows} == {"NULL"}
    assert [facts.sequence for facts in ledger.facts.after(1, 1)] == [2]
    for asked, told in (({"after": 2}, ["3"]), ({"sequences": [1, 3]}, ["1", "3"])):
        some = b"".join(ledger.facts.as_csv(**asked)).decode().splitlines()
        assert [line.partition(",")[0] for line in some] == told
    assert list(ledger.facts.as_csv(sequences=[])) == []


def test_what_changed_between_two_lines_of_the_journal(ledger):
    published(ledger)
    for _ in range(3):
        ledger.quotes.issue(quote_to_issue(results=RESULTS, inputs=INPUTS))
    known = ledger.journal.head().sequence
    assert ledger.facts.changed(0, known) == (1, 2, 3)
    assert ledger.facts.changed(known, known) == ()
    ledger.answers.keep("2026-000002", 1, "declined", "A. Sample", "text", "Tech 1", "door", NOW)
    ledger.quotes.issue(quote_to_issue(results=RESULTS, inputs=INPUTS, revises="2026-000003"))
    ledger.journal.note(NOW, "Tech 1", "refused", "2026-000001")
    assert ledger.facts.changed(known, ledger.journal.head().sequence) == (2, 3, 4)


def test_jobs_in_bulk_are_what_the_quotes_keep(ledger):
    published(ledger)
    kept = [ledger.quotes.issue(quote_to_issue(title=f"No. {n}")) for n in range(4)]
    (second, fourth) = ledger.jobs.of([2, 4, 7])
    assert [second.number, fourth.number] == [kept[1].number, kept[3].number]
    assert (second.inputs_json, second.supply_json) == (kept[1].inputs_json, kept[1].supply_json)
