"""Outcomes: what was seen later of the heaters that quotes were for."""

from __future__ import annotations

import secrets
from datetime import date, datetime
from typing import TYPE_CHECKING

from sqlalchemy import insert, select

from app.ledger import counters, journal, quote_rows, seals
from app.ledger.canonical import refuse_unstorable
from app.ledger.columns import Row, moment_text
from app.ledger.entries import Outcome
from app.ledger.tables import outcomes
from estimator.errors import LedgerTrouble

if TYPE_CHECKING:
    from app.ledger.database import Database


class Outcomes:
    """What came of the quotes of an open ledger.

    Parameters
    ----------
    database
        The open database.
    """

    def __init__(self, database: Database) -> None:
        self._database = database

    def record(
        self,
        number: str,
        seen_on: date,
        by: str,
        at: datetime,
        *,
        repair_held: bool | None = None,
        failed_on: date | None = None,
        note: str = "",
    ) -> Outcome:
        """Record what was seen later of the heater that a quote was for.

        The same word said twice by the same person is kept once.

        Parameters
        ----------
        number
            The quote's number.
        seen_on
            The day on which it was seen.
        by, at
            Who records it, and when, with the zone.
        repair_held
            Whether the repair held until then; ``None`` where there was none or it is
            not known.
        failed_on
            The day on which the heater failed for good, if it did.
        note
            What else there is to say.
        """
        refuse_unstorable(note, "the note")
        with self._database.writing() as connection:
            quote = quote_rows.first_row(connection, number)
            _refuse_early(quote, seen_on, failed_on)
            said = {
                "number": number,
                "seen_on": seen_on.isoformat(),
                "repair_held": None if repair_held is None else int(repair_held),
                "failed_on": None if failed_on is None else failed_on.isoformat(),
                "note": note,
                "recorded_by": by,
            }
            counters.hold(connection, counters.JOURNAL)
            same = (outcomes.c[name].is_not_distinct_from(word) for name, word in said.items())
            there = connection.execute(select(outcomes).where(*same)).mappings().first()
            if there is not None:
                return outcome_of(there)
            row = {
                "outcome_id": secrets.token_hex(8),
                **said,
                "recorded_at": moment_text(at),
                "salt": seals.new_salt(),
            }
            connection.execute(insert(outcomes).values(**row))
            sealed = seals.sealed(outcomes, row)
            journal.append(connection, at, by, "record outcome", number, {}, sealed)
            return outcome_of(row)

    def every(self, number: str | None = None) -> tuple[Outcome, ...]:
        """Return what was recorded of one quote, or of all, the first record first."""
        query = select(outcomes).order_by(outcomes.c.recorded_at, outcomes.c.outcome_id)
        if number is not None:
            query = query.where(outcomes.c.number == number)
        with self._database.reading() as connection:
            return tuple(outcome_of(row) for row in connection.execute(query).mappings())


def outcome_of(row: Row) -> Outcome:
    """Read a row back."""
    values = {name: row[name] for name in row if name != "salt"}
    values["seen_on"] = date.fromisoformat(row["seen_on"])
    if row["failed_on"] is not None:
        values["failed_on"] = date.fromisoformat(row["failed_on"])
    if row["repair_held"] is not None:
        values["repair_held"] = bool(row["repair_held"])
    values["recorded_at"] = datetime.fromisoformat(row["recorded_at"])
    return Outcome(**values)


def _refuse_early(quote: Row, seen_on: date, failed_on: date | None) -> None:
    issued_on = quote_rows.issued_on(quote)
    if seen_on < issued_on or (failed_on is not None and failed_on > seen_on):
        raise LedgerTrouble(
            f"The outcome was seen on {seen_on.isoformat()}; it cannot be before the quote"
            f" ({issued_on.isoformat()}) or before the failure",
            "",
            "Correct the days.",
        )
