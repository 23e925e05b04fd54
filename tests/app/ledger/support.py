"""What the ledger's tests share: fresh databases, invented content, a replay that computes."""

from __future__ import annotations

import json
import os
import secrets
import sqlite3
import subprocess
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import replace
from datetime import UTC, date, datetime
from decimal import Decimal
from pathlib import Path
from typing import Any

from app.ledger.canonical import canonical_json
from app.ledger.ledger import Ledger
from app.ledger.records import IssuedQuote, QuoteToIssue
from estimator.economics import FuelPrices
from estimator.rates import LaborRates, PartPricing, RateSheet, RateSheetVersion, Shop, TripCharge

ROOT = Path(__file__).parents[3]
SERVER = os.environ.get("LEDGER_TEST_URL", "")
"""A PostgreSQL address whose user may create databases; the suite then runs on both."""

BACKENDS = ("sqlite", "postgresql") if SERVER.startswith("postgresql") else ("sqlite",)
NOW = datetime(2026, 5, 4, 15, 30, 1, 250, tzinfo=UTC)


@contextmanager
def fresh_url(backend: str, folder: Path) -> Iterator[str]:
    """Give the address of a database that nobody has used."""
    if backend == "sqlite":
        yield f"sqlite:///{folder / 'ledger.db'}"
        return
    name = f"ledger_test_{secrets.token_hex(6)}"
    on_server(SERVER, f"CREATE DATABASE {name}")
    try:
        yield f"{SERVER.rpartition('/')[0]}/{name}"
    finally:
        on_server(SERVER, f"DROP DATABASE {name} WITH (FORCE)")


def on_server(url: str, *statements: str) -> None:
    import psycopg  # noqa: PLC0415 - only where a server is tested

    with psycopg.connect(url, autocommit=True) as connection:
        for statement in statements:
            connection.execute(statement)


def raw(url: str, *statements: str) -> None:
    """Run statements past the program, as somebody at a database prompt would."""
    if not url.startswith("sqlite"):
        on_server(url, *statements)
        return
    connection = sqlite3.connect(url.removeprefix("sqlite:///"), isolation_level=None)
    try:
        for statement in statements:
            connection.execute(statement)
    finally:
        connection.close()


def tamper(url: str, *statements: str) -> None:
    """Run statements with the guards taken off first."""
    if not url.startswith("sqlite"):
        raw(url, "SET session_replication_role = replica", *statements)
        return
    connection = sqlite3.connect(url.removeprefix("sqlite:///"), isolation_level=None)
    try:
        named = "SELECT name FROM sqlite_master WHERE type = 'trigger'"
        for (name,) in connection.execute(named).fetchall():
            connection.execute(f"DROP TRIGGER {name}")
        for statement in statements:
            connection.execute(statement)
    finally:
        connection.close()


@contextmanager
def locked(url: str) -> Iterator[None]:
    """Hold what every writer needs, as another program in mid-transaction does."""
    if url.startswith("sqlite"):
        other = sqlite3.connect(url.removeprefix("sqlite:///"), isolation_level=None)
        other.execute("BEGIN IMMEDIATE")
        try:
            yield
        finally:
            other.close()
        return
    import psycopg  # noqa: PLC0415 - only where a server is tested

    with psycopg.connect(url) as server:
        server.execute("LOCK TABLE drafts, counters, sessions IN EXCLUSIVE MODE")
        yield
        server.rollback()


def rate_sheet(regular_per_h: str = "145.00") -> RateSheet:
    return RateSheet(
        shop=Shop(name="Invented Water Heater Shop", invented=True),
        labor=LaborRates(
            regular_per_h=Decimal(regular_per_h),
            after_hours_per_h=Decimal("217.50"),
            cost_per_h=Decimal("62.10"),
        ),
        trip=TripCharge(amount=Decimal("89.00")),
        parts=PartPricing(target_margin=Decimal("0.45")),
        fuel_prices=FuelPrices(
            natural_gas_per_therm=1.37, propane_per_gal=2.9, electricity_per_kwh=0.1
        ),
    )


def published(ledger: Ledger, regular_per_h: str = "145.00") -> RateSheetVersion:
    return ledger.rate_sheets.publish(
        rate_sheet(regular_per_h), date(2026, 1, 1), "Owner (invented)", NOW
    )


def worked(inputs: dict[str, Any], sheet: RateSheet) -> dict[str, Any]:
    """Price hours at the sheet's rate: small, but it computes, so that a change shows."""
    total = (Decimal(inputs["hours"]) * sheet.labor.regular_per_h).quantize(Decimal("0.01"))
    return {"repair": {"priced": {"total": total}}, "energy": [inputs["therms"] * 1.37, 0.1]}


def replay(quote: IssuedQuote, sheet: RateSheetVersion) -> str:
    return canonical_json(worked(json.loads(quote.inputs_json), sheet.sheet))


def quote_to_issue(**changes: Any) -> QuoteToIssue:
    inputs = {"hours": "1.50", "therms": 196.111, "customer_name": "Ana Muñoz (invented)"}
    results = worked(inputs, rate_sheet())
    quote = QuoteToIssue(
        issued_at=NOW,
        issued_by="Tech 1 (invented)",
        valid_until=date(2026, 6, 3),
        customer_name="Ana Muñoz (invented)",
        title="Pilot will not hold",
        rate_sheet_version=1,
        catalog_version="catalog-0f1e",
        verdict="repair",
        inputs=inputs,
        supply={"parts": [{"number": "INV-1", "unit_cost": Decimal("11.20")}]},
        results=results,
        repair_price=results["repair"]["priced"]["total"],
        replace_price=Decimal("2145.10"),
    )
    return replace(quote, **changes)


def start_worker(*arguments: str) -> subprocess.Popen[str]:
    """Start a second program on the ledger; it says on stdout what was acknowledged."""
    return subprocess.Popen(
        [sys.executable, "-m", "tests.app.ledger.worker", *arguments],
        cwd=ROOT,
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
    )
