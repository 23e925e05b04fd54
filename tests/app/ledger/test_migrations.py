from __future__ import annotations

import pytest
from sqlalchemy import inspect

from app.ledger import migrations
from app.ledger.ledger import Ledger
from app.ledger.migrations import MIGRATIONS
from app.ledger.steps import Migration
from app.ledger.tables import metadata
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
    kept = ledger.issue(quote_to_issue())
    with Ledger.open(ledger_url) as again:
        assert again.quote(kept.number) == kept
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


def test_an_older_ledger_is_taken_forward_with_its_content(ledger, ledger_url, monkeypatch):
    published(ledger)
    kept = ledger.issue(quote_to_issue())
    step = _second("CREATE TABLE vans (name TEXT PRIMARY KEY)")
    monkeypatch.setattr(migrations, "MIGRATIONS", (*MIGRATIONS, step))
    with Ledger.open(ledger_url, create=False) as forward:
        assert forward.quote(kept.number) == kept
        with forward._database.reading() as connection:
            assert migrations.version_of(connection, "") == len(MIGRATIONS) + 1


def test_a_migration_that_fails_half_way_leaves_no_trace(ledger, ledger_url, monkeypatch):
    draft = ledger.new_draft("Tech 1", {}, NOW)
    step = _second("CREATE TABLE vans (name TEXT PRIMARY KEY)", "CREATE TABLE broken (")
    with monkeypatch.context() as patch:
        patch.setattr(migrations, "MIGRATIONS", (*MIGRATIONS, step))
        with pytest.raises(LedgerTrouble):
            Ledger.open(ledger_url)
    with Ledger.open(ledger_url) as after:
        assert after.draft(draft.draft_id) == draft
        with after._database.reading() as connection:
            assert "vans" not in inspect(connection).get_table_names()
