"""Published rate sheets: versions that never change, chained by hash."""

from __future__ import annotations

from datetime import date, datetime
from typing import TYPE_CHECKING

from sqlalchemy import func, insert, select

from app.ledger import counters, journal
from app.ledger.canonical import canonical_json, digest, refuse_unstorable
from app.ledger.columns import Row, moment_text
from app.ledger.tables import rate_sheets
from estimator.errors import LedgerTrouble
from estimator.rates import RateSheet, RateSheetVersion

if TYPE_CHECKING:
    from sqlalchemy import Connection

_HASHED = ("version", "holds_from", "published_by", "published_at", "sheet_json", "previous_hash")


def publish(
    connection: Connection, sheet: RateSheet, holds_from: date, by: str, at: datetime
) -> RateSheetVersion:
    """Keep a sheet as the next version."""
    refuse_unstorable(by, "the publisher's name")
    version = counters.next_value(connection, counters.RATE_SHEETS)
    before = select(rate_sheets.c.hash).where(rate_sheets.c.version == version - 1)
    row = {
        "version": version,
        "holds_from": holds_from.isoformat(),
        "published_by": by,
        "published_at": moment_text(at),
        "sheet_json": canonical_json(sheet),
        "previous_hash": connection.scalar(before) or "",
    }
    row["hash"] = sheet_hash(row)
    connection.execute(insert(rate_sheets).values(**row))
    said = {"holds_from": row["holds_from"], "hash": row["hash"]}
    journal.append(connection, at, by, "publish rates", f"rate sheet {version}", said)
    return version_of_row(row)


def on(connection: Connection, day: date, where: str) -> RateSheetVersion:
    """Return the version that holds on a day: the latest start, then the latest version."""
    query = (
        select(rate_sheets)
        .where(rate_sheets.c.holds_from <= day.isoformat())
        .order_by(rate_sheets.c.holds_from.desc(), rate_sheets.c.version.desc())
        .limit(1)
    )
    row = connection.execute(query).mappings().one_or_none()
    if row is not None:
        return version_of_row(row)
    first = connection.scalar(select(func.min(rate_sheets.c.holds_from)))
    known = f"the first holds from {first}" if first else "none was published yet"
    raise LedgerTrouble(
        f"No rate sheet holds on {day.isoformat()} ({known})",
        where,
        "Publish a rate sheet that holds from that day or earlier.",
    )


def get(connection: Connection, version: int, where: str) -> RateSheetVersion:
    """Return one version."""
    return version_of_row(row_of(connection, version, where))


def row_of(connection: Connection, version: int, where: str) -> Row:
    """Return the row of one version, its hash with it."""
    query = select(rate_sheets).where(rate_sheets.c.version == version)
    row = connection.execute(query).mappings().one_or_none()
    if row is None:
        raise LedgerTrouble(
            f"There is no rate sheet version {version}", where, "Check the version, or publish one."
        )
    return dict(row)


def rows(connection: Connection) -> list[Row]:
    """Return every row, the first version first."""
    return list(connection.execute(select(rate_sheets).order_by(rate_sheets.c.version)).mappings())


def version_of_row(row: Row) -> RateSheetVersion:
    """Read a row back into the type that the estimator takes."""
    return RateSheetVersion(
        version=row["version"],
        holds_from=date.fromisoformat(row["holds_from"]),
        sheet=RateSheet.model_validate_json(row["sheet_json"]),
    )


def sheet_hash(row: Row) -> str:
    """Return the hash over a row's content and, through it, over all versions before."""
    return digest(canonical_json({column: row[column] for column in _HASHED}))
