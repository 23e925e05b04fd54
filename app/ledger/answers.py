"""Customers' answers to quotes, and the state that a quote is in by them and by the day."""

from __future__ import annotations

import hashlib
from datetime import date, datetime
from typing import TYPE_CHECKING

from sqlalchemy import func, insert, select

from app.ledger import counters, facts, journal, quote_rows, reservations, seals
from app.ledger.canonical import refuse_unstorable
from app.ledger.columns import Row, moment_text
from app.ledger.entries import DECLINED, Answer
from app.ledger.tables import answers, quotes
from estimator.errors import LedgerTrouble

if TYPE_CHECKING:
    from sqlalchemy import Connection

    from app.ledger.database import Database

ISSUED = "issued"
ACCEPTED = "accepted"
DECLINED_STATE = "declined"
LAPSED = "lapsed"
SUPERSEDED = "superseded"


class Answers:
    """The answers to quotes of an open ledger.

    Parameters
    ----------
    database
        The open database.
    """

    def __init__(self, database: Database) -> None:
        self._database = database

    def keep(
        self,
        number: str,
        revision: int,
        choice: str,
        typed_name: str,
        agreed_text: str,
        by: str,
        via: str,
        at: datetime,
    ) -> Answer:
        """Keep a customer's answer to a quote, once for each revision.

        Parameters
        ----------
        number, revision
            Which quote.
        choice
            ``repair``, the slug of a replacement, or ``declined``.
        typed_name
            The name as the customer typed it.
        agreed_text
            The exact text that was on the screen.
        by
            Who took the answer: a person's name, or ``customer``.
        via
            ``door`` or ``link``.
        at
            The time, in the shop's zone: its day is held against the validity date.

        Returns
        -------
        The answer as it was kept; the same answer given twice is kept once.

        Raises
        ------
        LedgerTrouble
            If there is a later revision, the quote has lapsed, it was answered otherwise
            already, or the path is not one that the quote leaves open.
        """
        for word in (choice, typed_name, agreed_text, by):
            refuse_unstorable(word, "the answer")
        with self._database.writing() as connection:
            counters.hold(connection, counters.QUOTES)
            quote = quote_rows.row_of(connection, number, revision)
            said = _answer(connection, number, revision)
            if said is not None:
                return _same_or_refused(said, choice, typed_name)
            _refuse_unanswerable(connection, quote, choice, at)
            row = {
                "number": number,
                "revision": revision,
                "choice": choice,
                "typed_name": typed_name,
                "agreed_text": agreed_text,
                "text_hash": hashlib.sha256(agreed_text.encode()).hexdigest(),
                "answered_at": moment_text(at),
                "taken_by": by,
                "via": via,
                "salt": seals.new_salt(),
            }
            connection.execute(insert(answers).values(**row))
            facts.keep_answer(connection, quote, choice, at.date())
            action = "decline" if choice == DECLINED else "accept"
            detail = {"revision": revision, "choice": choice, "via": via}
            sealed = seals.sealed(answers, row)
            journal.append(connection, at, by, action, number, detail, sealed)
            reservations.answered(connection, quote, choice, by, at)
            return answer_of(row)

    def of(self, number: str, revision: int) -> Answer | None:
        """Return the answer to a revision, or ``None``."""
        with self._database.reading() as connection:
            row = _answer(connection, number, revision)
        return None if row is None else answer_of(row)

    def state(self, number: str, revision: int, day: date) -> str:
        """Return the state of a revision on a day.

        Parameters
        ----------
        number, revision
            Which quote.
        day
            The day, at the shop.

        Returns
        -------
        ``superseded`` where a later revision took its place, else ``accepted``,
        ``declined``, ``lapsed`` or ``issued``.
        """
        with self._database.reading() as connection:
            quote = quote_rows.row_of(connection, number, revision)
            last = _last_revision(connection, number)
            row = _answer(connection, number, revision)
        return _state(revision, last, None if row is None else row["choice"], quote, day)

    def states(self, day: date, *, limit: int = 1_000_000, since: int = 0) -> dict[int, str]:
        """Return the state of every revision on a day, by its sequence.

        Parameters
        ----------
        day
            The day, at the shop.
        limit
            How many at most, the last issued first.
        since
            Only what was issued at this sequence or later.
        """
        columns = [quotes.c[name] for name in ("sequence", "number", "revision", "valid_until")]
        newest = (
            select(quotes.c.number, func.max(quotes.c.revision).label("last"))
            .where(quotes.c.sequence >= since)  # a later revision was issued later
            .group_by(quotes.c.number)
            .subquery()
        )
        same = (answers.c.number == quotes.c.number) & (answers.c.revision == quotes.c.revision)
        query = select(*columns, newest.c.last, answers.c.choice)
        query = query.join(newest, newest.c.number == quotes.c.number).outerjoin(answers, same)
        query = query.where(quotes.c.sequence >= since)
        query = query.order_by(quotes.c.sequence.desc()).limit(limit)
        with self._database.reading() as connection:
            rows = connection.execute(query).mappings().all()
        return {
            row["sequence"]: _state(row["revision"], row["last"], row["choice"], row, day)
            for row in rows
        }


def answer_of(row: Row) -> Answer:
    """Read a row back."""
    values = {name: row[name] for name in row if name != "salt"}
    return Answer(**values | {"answered_at": datetime.fromisoformat(row["answered_at"])})


def _last_revision(connection: Connection, number: str) -> int:
    query = select(func.max(quotes.c.revision)).where(quotes.c.number == number)
    return int(connection.scalar(query) or 0)


def _answer(connection: Connection, number: str, revision: int) -> Row | None:
    same = (answers.c.number == number) & (answers.c.revision == revision)
    return connection.execute(select(answers).where(same)).mappings().one_or_none()


def _state(revision: int, last: int, choice: str | None, quote: Row, day: date) -> str:
    if revision < last:
        return SUPERSEDED
    if choice is not None:
        return DECLINED_STATE if choice == DECLINED else ACCEPTED
    return LAPSED if date.fromisoformat(quote["valid_until"]) < day else ISSUED


def _same_or_refused(said: Row, choice: str, typed_name: str) -> Answer:
    if (said["choice"], said["typed_name"]) == (choice, typed_name):
        return answer_of(said)
    what = "declined" if said["choice"] == DECLINED else "accepted"
    raise LedgerTrouble(
        f"This quote was {what} already on {said['answered_at'][:10]}",
        "",
        "Ask the shop for a revision to answer anew.",
    )


def _refuse_unanswerable(connection: Connection, quote: Row, choice: str, at: datetime) -> None:
    number, revision = quote["number"], quote["revision"]
    if _last_revision(connection, number) > revision:
        raise LedgerTrouble(
            f"Quote {number} was revised since; revision {revision} no longer holds",
            "",
            "Open the last revision.",
        )
    if date.fromisoformat(quote["valid_until"]) < at.date():
        raise LedgerTrouble(
            f"Quote {number} held until {quote['valid_until']}",
            "",
            "Ask the shop for a new one.",
        )
    paths = facts.open_paths(quote["results_json"])
    if choice != DECLINED and choice not in paths:
        raise LedgerTrouble(
            f"Quote {number} does not offer {choice or 'that'}", "", "Choose one of its paths."
        )
