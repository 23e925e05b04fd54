"""Allowances: a job under the margin floor, asked for by one person and allowed once."""

from __future__ import annotations

import json
import secrets
from datetime import datetime
from typing import TYPE_CHECKING, Any

from sqlalchemy import insert, select, update

from app.ledger import counters, journal, seals
from app.ledger.canonical import canonical_json, refuse_unstorable
from app.ledger.columns import Row, moment_text
from app.ledger.entries import ALLOWED, Allowance
from app.ledger.tables import allowances
from estimator.errors import LedgerTrouble

if TYPE_CHECKING:
    from collections.abc import Sequence

    from sqlalchemy import Connection

    from app.ledger.database import Database


class Allowances:
    """The allowances of an open ledger.

    Parameters
    ----------
    database
        The open database.
    """

    def __init__(self, database: Database) -> None:
        self._database = database

    def ask(
        self,
        job_digest: str,
        title: str,
        jobs: Sequence[dict[str, Any]],
        by: str,
        at: datetime,
        *,
        note: str = "",
        draft_id: str | None = None,
    ) -> Allowance:
        """Keep a request; the same job asked for again while nobody decided is the same one.

        Parameters
        ----------
        job_digest
            What the job is: any change of it needs a new request.
        title
            What the visit is called.
        jobs
            What the owner needs to decide: name, price, cost and margin of each job.
        by, at
            Who asks, and when, with the zone.
        note
            Why.
        draft_id
            The draft to look at.
        """
        for word in (title, note, by):
            refuse_unstorable(word, "the request to the owner")
        with self._database.writing() as connection:
            counters.hold(connection, counters.JOURNAL)
            query = select(allowances).where(
                allowances.c.job_digest == job_digest, allowances.c.decision == ""
            )
            there = connection.execute(query.limit(1)).mappings().first()
            if there is not None:
                return allowance_of(there)
            row = {
                "allowance_id": secrets.token_hex(8),
                "job_digest": job_digest,
                "draft_id": draft_id,
                "title": title,
                "jobs_json": canonical_json(list(jobs)),
                "note": note,
                "asked_by": by,
                "asked_at": moment_text(at),
                "decision": "",
                "reason": "",
                "decided_by": None,
                "decided_at": None,
                "used_by": None,
                "salt": seals.new_salt(),
            }
            connection.execute(insert(allowances).values(**row))
            sealed = seals.sealed(allowances, row)
            journal.append(
                connection, at, by, "ask for allowance", row["allowance_id"] or "", {}, sealed
            )
            return allowance_of(row)

    def decide(
        self, allowance_id: str, decision: str, reason: str, by: str, at: datetime
    ) -> Allowance:
        """Allow a job once, or deny it.

        Parameters
        ----------
        allowance_id
            Which request.
        decision
            ``allowed`` or ``denied``.
        reason
            Why.
        by, at
            Who decides, and when, with the zone.

        Raises
        ------
        LedgerTrouble
            If there is no such request, or it was decided already.
        """
        refuse_unstorable(reason, "the reason")
        with self._database.writing() as connection:
            counters.hold(connection, counters.JOURNAL)
            row = _row(connection, allowance_id)
            if row["decision"]:
                raise LedgerTrouble(
                    f"This request was {row['decision']} already by {row['decided_by']}",
                    "",
                    "Ask again if it must be decided anew.",
                )
            changed = {
                "decision": decision,
                "reason": reason,
                "decided_by": by,
                "decided_at": moment_text(at),
            }
            row |= changed
            sealed = _store(connection, row, changed)
            action = "allow under the floor" if decision == ALLOWED else "deny under the floor"
            journal.append(connection, at, by, action, allowance_id, {}, sealed)
            return allowance_of(row)

    def get(self, allowance_id: str) -> Allowance:
        """Return one request.

        Raises
        ------
        LedgerTrouble
            If there is no such request.
        """
        with self._database.reading() as connection:
            return allowance_of(_row(connection, allowance_id))

    def of_job(self, job_digest: str) -> Allowance | None:
        """Return the last request for a job, or ``None``."""
        query = select(allowances).where(allowances.c.job_digest == job_digest)
        query = query.order_by(allowances.c.asked_at.desc(), allowances.c.allowance_id).limit(1)
        with self._database.reading() as connection:
            row = connection.execute(query).mappings().first()
        return None if row is None else allowance_of(row)

    def every(self, *, undecided: bool = False, limit: int = 200) -> tuple[Allowance, ...]:
        """Return the requests, the last one first.

        Parameters
        ----------
        undecided
            Whether only those are listed that nobody decided.
        limit
            How many at most.
        """
        query = select(allowances).order_by(allowances.c.asked_at.desc()).limit(max(limit, 0))
        if undecided:
            query = query.where(allowances.c.decision == "")
        with self._database.reading() as connection:
            return tuple(allowance_of(row) for row in connection.execute(query).mappings())


def use(connection: Connection, job_digest: str, quote: str) -> dict[str, str | None]:
    """Use an allowance up for a quote that is being issued; return its new seal."""
    query = select(allowances).where(
        allowances.c.job_digest == job_digest,
        allowances.c.decision == ALLOWED,
        allowances.c.used_by.is_(None),
    )
    row = connection.execute(query.order_by(allowances.c.decided_at).limit(1)).mappings().first()
    if row is None:
        raise LedgerTrouble(
            "The owner's allowance for this job is not there or was used up", "", "Ask again."
        )
    changed = {"used_by": quote}
    return _store(connection, dict(row) | changed, changed)


def allowance_of(row: Row) -> Allowance:
    """Read a row back."""
    values = {name: row[name] for name in row if name not in {"jobs_json", "salt"}}
    values["jobs"] = json.loads(row["jobs_json"])
    values["asked_at"] = datetime.fromisoformat(row["asked_at"])
    if row["decided_at"] is not None:
        values["decided_at"] = datetime.fromisoformat(row["decided_at"])
    return Allowance(**values)


def _store(
    connection: Connection, row: dict[str, Any], changed: dict[str, Any]
) -> dict[str, str | None]:
    same = allowances.c.allowance_id == row["allowance_id"]
    connection.execute(update(allowances).where(same).values(**changed))
    return seals.sealed(allowances, row)


def _row(connection: Connection, allowance_id: str) -> dict[str, Any]:
    query = select(allowances).where(allowances.c.allowance_id == allowance_id)
    row = connection.execute(query).mappings().one_or_none()
    if row is None:
        raise LedgerTrouble("There is no such request", "", "Look at the list again.")
    return dict(row)
