"""Published rate sheets: versions that never change, chained by hash."""

from __future__ import annotations

from datetime import date, datetime
from typing import TYPE_CHECKING, Any

from sqlalchemy import func, insert, select

from app.ledger import counters, journal
from app.ledger.canonical import canonical_json, digest, refuse_unstorable
from app.ledger.columns import Row, moment_text
from app.ledger.tables import rate_sheets
from estimator.errors import LedgerTrouble
from estimator.rates import RateSheet, RateSheetVersion

if TYPE_CHECKING:
    from sqlalchemy import Connection

    from app.ledger.database import Database

_HASHED = ("version", "holds_from", "published_by", "published_at", "sheet_json", "previous_hash")


class RateSheets:
    """The rate sheets of an open ledger.

    Parameters
    ----------
    database
        The open database.
    """

    def __init__(self, database: Database) -> None:
        self._database = database

    def publish(
        self, sheet: RateSheet, holds_from: date, by: str, at: datetime
    ) -> RateSheetVersion:
        """Publish a rate sheet as the next version; it never changes from then on.

        Parameters
        ----------
        sheet
            The sheet.
        holds_from
            The first day on which it holds.
        by
            Who publishes it.
        at
            The time, with its zone.

        Returns
        -------
        The version as it was kept; the last one where it holds the same from the same day.
        """
        refuse_unstorable(by, "the publisher's name")
        said = {"holds_from": holds_from.isoformat(), "sheet_json": canonical_json(sheet)}
        with self._database.writing() as connection:
            version = counters.next_value(connection, counters.RATE_SHEETS)
            before = select(rate_sheets).where(rate_sheets.c.version == version - 1)
            last = connection.execute(before).mappings().first()
            if last is not None and all(last[name] == word for name, word in said.items()):
                counters.give_back(connection, counters.RATE_SHEETS)
                return version_of_row(last)
            row: dict[str, Any] = {
                "version": version,
                **said,
                "published_by": by,
                "published_at": moment_text(at),
                "previous_hash": last["hash"] if last is not None else "",
            }
            row["hash"] = sheet_hash(row)
            connection.execute(insert(rate_sheets).values(**row))
            said = {"holds_from": row["holds_from"], "hash": row["hash"]}
            journal.append(connection, at, by, "publish rates", f"rate sheet {version}", said)
            return version_of_row(row)

    def on(self, day: date) -> RateSheetVersion:
        """Return the rate sheet that holds on a day.

        Parameters
        ----------
        day
            The day.

        Returns
        -------
        Of the versions that hold from that day or earlier, the one with the latest
        start; of several with the same start, the last published.

        Raises
        ------
        LedgerTrouble
            If none holds on that day.
        """
        query = (
            select(rate_sheets)
            .where(rate_sheets.c.holds_from <= day.isoformat())
            .order_by(rate_sheets.c.holds_from.desc(), rate_sheets.c.version.desc())
            .limit(1)
        )
        with self._database.reading() as connection:
            row = connection.execute(query).mappings().one_or_none()
            if row is not None:
                return version_of_row(row)
            first = connection.scalar(select(func.min(rate_sheets.c.holds_from)))
        known = f"the first holds from {first}" if first else "none was published yet"
        raise LedgerTrouble(
            f"No rate sheet holds on {day.isoformat()} ({known})",
            self._database.where,
            "Publish a rate sheet that holds from that day or earlier.",
        )

    def version(self, version: int) -> RateSheetVersion:
        """Return one version of the rate sheet.

        Parameters
        ----------
        version
            Its number, from 1.

        Raises
        ------
        LedgerTrouble
            If there is no such version.
        """
        with self._database.reading() as connection:
            return version_of_row(row_of(connection, version, self._database.where))

    def every(self) -> tuple[RateSheetVersion, ...]:
        """Return every version of the rate sheet, the first one first."""
        with self._database.reading() as connection:
            return tuple(version_of_row(row) for row in rows(connection))


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
