from __future__ import annotations

import subprocess
import sys

from tests.app.ledger.support import ROOT


def loaded(module: str) -> set[str]:
    script = f"import {module}, sys; print(*sys.modules)"
    said = subprocess.run(
        [sys.executable, "-c", script], cwd=ROOT, capture_output=True, text=True, check=True
    )
    return {name.partition(".")[0] for name in said.stdout.split()}


def test_records_and_canonical_json_load_no_database():
    assert "sqlalchemy" not in loaded("app.ledger.records, app.ledger.canonical")


def test_the_ledger_loads_no_page_no_tables_and_no_server_driver():
    heavy = {"streamlit", "pandas", "duckdb", "plotly", "psycopg"}
    assert loaded("app.ledger.ledger").isdisjoint(heavy)
