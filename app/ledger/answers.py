"""Customers' answers to quotes, links by which they see them, and what came of it later."""

from __future__ import annotations

import hashlib
import secrets
from datetime import date, datetime
from typing import TYPE_CHECKING

from sqlalchemy import func, insert, select, update

from app.ledger import counters, facts, journal, quotes, reservations, seals
from app.ledger.canonical import refuse_unstorable
from app.ledger.columns import Row, moment_text
from app.ledger.entries import DECLINED, Answer, Link, Outcome
from app.ledger.tables import answers, links, outcomes
from app.ledger.tables import quotes as quote_rows
from estimator.errors import LedgerTrouble, QuoteNotFound

if TYPE_CHECKING:
    from sqlalchemy import Connection

    from app.ledger.database import Database

ISSUED = "issued"
ACCEPTED = "accepted"
DECLINED_STATE = "declined"
LAPSED = "lapsed"
SUPERSEDED = "superseded"


class Answers:
    """Answers, links and outcomes of an open ledger.

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
            quote = _quote(connection, number, revision)
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
            quote = _quote(connection, number, revision)
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
        columns = [quote_rows.c[name] for name in ("sequence", "number", "revision", "valid_until")]
        newest = (
            select(quote_rows.c.number, func.max(quote_rows.c.revision).label("last"))
            .where(quote_rows.c.sequence >= since)  # a later revision was issued later
            .group_by(quote_rows.c.number)
            .subquery()
        )
        same = (answers.c.number == quote_rows.c.number) & (
            answers.c.revision == quote_rows.c.revision
        )
        query = select(*columns, newest.c.last, answers.c.choice)
        query = query.join(newest, newest.c.number == quote_rows.c.number).outerjoin(answers, same)
        query = query.where(quote_rows.c.sequence >= since)
        query = query.order_by(quote_rows.c.sequence.desc()).limit(limit)
        with self._database.reading() as connection:
            rows = connection.execute(query).mappings().all()
        return {
            row["sequence"]: _state(row["revision"], row["last"], row["choice"], row, day)
            for row in rows
        }

    def make_link(
        self, number: str, link_hash: str, ends_at: datetime, by: str, at: datetime
    ) -> Link:
        """Keep a new link to a quote under the hash of its token.

        Parameters
        ----------
        number
            The quote's number; the link shows its last revision.
        link_hash
            The hash of the token.
        ends_at
            When the link ends.
        by, at
            Who makes it, and when, with the zone.
        """
        with self._database.writing() as connection:
            _quote(connection, number, None)
            row = {
                "link_hash": link_hash,
                "number": number,
                "made_by": by,
                "made_at": moment_text(at),
                "ends_at": moment_text(ends_at),
                "revoked_by": None,
                "revoked_at": None,
                "salt": seals.new_salt(),
            }
            connection.execute(insert(links).values(**row))
            detail = {"ends_at": row["ends_at"]}
            sealed = seals.sealed(links, row)
            journal.append(connection, at, by, "make link", number, detail, sealed)
            return link_of(row)

    def link(self, link_hash: str) -> Link | None:
        """Return a link by the hash of its token, or ``None``."""
        query = select(links).where(links.c.link_hash == link_hash)
        with self._database.reading() as connection:
            row = connection.execute(query).mappings().one_or_none()
        return None if row is None else link_of(row)

    def links(self, number: str) -> tuple[Link, ...]:
        """Return the links to a quote, the last made first."""
        query = select(links).where(links.c.number == number).order_by(links.c.made_at.desc())
        with self._database.reading() as connection:
            return tuple(link_of(row) for row in connection.execute(query).mappings())

    def revoke_links(self, number: str, by: str, at: datetime) -> int:
        """Revoke every link to a quote; return how many were open.

        Parameters
        ----------
        number
            The quote's number.
        by, at
            Who revokes them, and when, with the zone.
        """
        with self._database.writing() as connection:
            return revoke_links(connection, number, by, at)

    def record_outcome(
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
            quote = _quote(connection, number, None)
            _refuse_early(quote, seen_on, failed_on)
            row = {
                "outcome_id": secrets.token_hex(8),
                "number": number,
                "seen_on": seen_on.isoformat(),
                "repair_held": None if repair_held is None else int(repair_held),
                "failed_on": None if failed_on is None else failed_on.isoformat(),
                "note": note,
                "recorded_by": by,
                "recorded_at": moment_text(at),
                "salt": seals.new_salt(),
            }
            connection.execute(insert(outcomes).values(**row))
            sealed = seals.sealed(outcomes, row)
            journal.append(connection, at, by, "record outcome", number, {}, sealed)
            return outcome_of(row)

    def outcomes(self, number: str | None = None) -> tuple[Outcome, ...]:
        """Return what was recorded of one quote, or of all, the first record first."""
        query = select(outcomes).order_by(outcomes.c.recorded_at, outcomes.c.outcome_id)
        if number is not None:
            query = query.where(outcomes.c.number == number)
        with self._database.reading() as connection:
            return tuple(outcome_of(row) for row in connection.execute(query).mappings())


def revoke_links(connection: Connection, number: str, by: str, at: datetime) -> int:
    """Revoke every open link to a quote inside the caller's transaction."""
    counters.hold(connection, counters.JOURNAL)
    query = select(links).where(links.c.number == number, links.c.revoked_at.is_(None))
    rows = [dict(row) for row in connection.execute(query).mappings()]
    sealed: dict[str, str | None] = {}
    for row in rows:
        changed = {"revoked_by": by, "revoked_at": moment_text(at)}
        same = links.c.link_hash == row["link_hash"]
        connection.execute(update(links).where(same).values(**changed))
        sealed |= seals.sealed(links, row | changed)
    if rows:
        detail = {"links": len(rows)}
        journal.append(connection, at, by, "revoke links", number, detail, sealed)
    return len(rows)


def answer_of(row: Row) -> Answer:
    """Read a row back."""
    values = {name: row[name] for name in row if name != "salt"}
    return Answer(**values | {"answered_at": datetime.fromisoformat(row["answered_at"])})


def link_of(row: Row) -> Link:
    """Read a row back."""
    values = {name: row[name] for name in row if name != "salt"}
    for name in ("made_at", "ends_at", "revoked_at"):
        if values[name] is not None:
            values[name] = datetime.fromisoformat(values[name])
    return Link(**values)


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


def _quote(connection: Connection, number: str, revision: int | None) -> Row:
    query = select(quote_rows).where(quote_rows.c.number == number)
    if revision is not None:
        query = query.where(quote_rows.c.revision == revision)
    query = query.order_by(quote_rows.c.revision).limit(1)
    row = connection.execute(query).mappings().one_or_none()
    if row is None:
        raise QuoteNotFound(f"There is no quote {number}", "", "Check the number on the quote.")
    return row


def _last_revision(connection: Connection, number: str) -> int:
    query = select(func.max(quote_rows.c.revision)).where(quote_rows.c.number == number)
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


def _refuse_early(quote: Row, seen_on: date, failed_on: date | None) -> None:
    issued_on = quotes.issued_on(quote)
    if seen_on < issued_on or (failed_on is not None and failed_on > seen_on):
        raise LedgerTrouble(
            f"The outcome was seen on {seen_on.isoformat()}; it cannot be before the quote"
            f" ({issued_on.isoformat()}) or before the failure",
            "",
            "Correct the days.",
        )
