"""A customer's personal data: found, given out, and erased without breaking the books.

What names a customer stands in few places: name, title and inputs of quotes; the typed name
and the text of answers; notes; photos; drafts. Erasing empties these and nothing else: the
chain of quotes rests on salted digests of them, each quote still replays to the cent, and
the journal keeps the seal of what is left.
"""

from __future__ import annotations

import json
from collections.abc import Sequence
from dataclasses import asdict, dataclass
from datetime import datetime
from typing import TYPE_CHECKING, Any

from sqlalchemy import delete, select, update

from app.ledger import counters, drafts, journal, links, photos, seals
from app.ledger.answers import answer_of
from app.ledger.canonical import canonical_json, digest
from app.ledger.columns import Row, moment_text
from app.ledger.outcomes import outcome_of
from app.ledger.quote_rows import quote_of
from app.ledger.tables import allowances, answers, outcomes, quotes
from app.ledger.tables import drafts as draft_rows
from app.ledger.tables import photos as photo_rows

if TYPE_CHECKING:
    from sqlalchemy import Connection, Table

    from app.ledger.database import Database

PERSONAL_KEYS = ("customer_name", "customer_address", "note")
"""Keys of the section `visit` of a quote's inputs that may name the customer."""


@dataclass(frozen=True)
class Erased:
    """How much was emptied or taken away."""

    quotes: int
    answers: int
    notes: int
    photos: int
    drafts: int
    links: int


class Customers:
    """The customers of an open ledger.

    Parameters
    ----------
    database
        The open database.
    """

    def __init__(self, database: Database) -> None:
        self._database = database

    def numbers(self, name: str) -> tuple[str, ...]:
        """Return the numbers of the quotes to customers of exactly this name, capitals aside."""
        with self._database.reading() as connection:
            return _numbers(connection, name)

    def export(self, numbers: Sequence[str]) -> dict[str, Any]:
        """Return all that is kept about the customer of some quotes, as plain values.

        Parameters
        ----------
        numbers
            The numbers of the quotes.

        Returns
        -------
        Quotes with their inputs, answers, outcomes, photos (without their bytes) and links.
        What the job costs the shop is no personal data and is left out.
        """
        found: dict[str, Any] = {"quotes": [], "answers": [], "outcomes": [], "photos": []}
        with self._database.reading() as connection:
            for row in _rows(connection, quotes, numbers):
                found["quotes"].append(_given_out(row))
                found["photos"] += _photos(connection, row["draft_id"])
            for row in _rows(connection, answers, numbers):
                found["answers"].append(asdict(answer_of(row)))
            for row in _rows(connection, outcomes, numbers):
                found["outcomes"].append(asdict(outcome_of(row)))
        plain: dict[str, Any] = json.loads(canonical_json(found))
        return plain

    def erase(self, numbers: Sequence[str], names: Sequence[str], by: str, at: datetime) -> Erased:
        """Empty all that may name the customer of some quotes.

        Parameters
        ----------
        numbers
            The numbers of the quotes.
        names
            The customer's name as it was typed; drafts to exactly this name go too.
        by, at
            Who erases it, and when, with the zone.
        """
        with self._database.writing() as connection:
            counters.hold(connection, counters.QUOTES)
            counters.hold(connection, counters.JOURNAL)
            revoked = sum(links.revoke(connection, each, by, at) for each in numbers)
            rows = [row for row in _rows(connection, quotes, numbers) if row["erased_at"] is None]
            drafted = {row["draft_id"] for row in rows if row["draft_id"]}
            gone = _discard_drafts(connection, names)
            shown = photo_rows.c.draft_id.in_([*drafted, *gone])
            removed = photos.remove(connection, shown, by, at)
            changed: dict[str, str | None] = {}
            for row in rows:
                changed |= _empty_quote(connection, row, at)
            kept = _rows(connection, answers, numbers)
            for row in kept:
                empty = {"typed_name": "", "agreed_text": "", "text_hash": ""}
                changed |= _empty(connection, answers, row, empty)
            noted = _empty_notes(connection, numbers, drafted | set(gone), changed)
            said = {"quotes": len(rows), "answers": len(kept)}
            journal.append(connection, at, by, "erase customer", "", said, changed)
        self._database.forget_log()
        return Erased(len(rows), len(kept), noted, removed, len(gone), revoked)


def erased_key(row: Row) -> str:
    """Return what names an erased quote among the seals."""
    return f"erased {row['number']} {row['revision']}"


def erased_seal(row: Row) -> str:
    """Return the seal over what is left of an erased quote's personal content."""
    return digest(row["customer_name"], row["title"], row["inputs_json"], row["personal_salt"])


def _numbers(connection: Connection, name: str) -> tuple[str, ...]:
    wanted = " ".join(name.casefold().split())
    query = select(quotes.c.number, quotes.c.customer_name).order_by(quotes.c.sequence)
    return tuple(
        dict.fromkeys(
            row.number
            for row in connection.execute(query)
            if wanted and " ".join(row.customer_name.casefold().split()) == wanted
        )
    )


def _rows(connection: Connection, table: Table, numbers: Sequence[str]) -> list[dict[str, Any]]:
    query = select(table).where(table.c.number.in_(list(numbers)))
    return [dict(row) for row in connection.execute(query).mappings()]


def _given_out(row: Row) -> dict[str, Any]:
    quote = asdict(quote_of(row))
    inputs = json.loads(quote.pop("inputs_json"))
    for name in ("supply_json", "results_json", "personal_salt", "personal_digest", "draft_id"):
        quote.pop(name)
    return quote | {"inputs": inputs}


def _photos(connection: Connection, draft_id: str | None) -> list[dict[str, Any]]:
    query = select(photo_rows).where(photo_rows.c.draft_id == draft_id)
    return [asdict(photos.photo_of(row)) for row in connection.execute(query).mappings()]


def _discard_drafts(connection: Connection, names: Sequence[str]) -> list[str]:
    wanted = {" ".join(name.casefold().split()) for name in names} - {""}
    gone = []
    for draft in drafts.every(connection, None):
        visit = draft.payload.get("visit")
        name = visit.get("customer_name") if isinstance(visit, dict) else None
        if isinstance(name, str) and " ".join(name.casefold().split()) in wanted:
            gone.append(draft.draft_id)
    if gone:
        connection.execute(delete(draft_rows).where(draft_rows.c.draft_id.in_(gone)))
    return gone


def _empty_quote(connection: Connection, row: Row, at: datetime) -> dict[str, str | None]:
    inputs = json.loads(row["inputs_json"])
    visit = inputs.get("visit")
    for section in (visit if isinstance(visit, dict) else {}, inputs):
        for name in PERSONAL_KEYS:
            if name in section:
                section[name] = ""
    if "title" in inputs:
        inputs["title"] = ""
    changed = {
        "customer_name": "",
        "title": "",
        "inputs_json": canonical_json(inputs),
        "personal_salt": "",
        "erased_at": moment_text(at),
    }
    same = quotes.c.sequence == row["sequence"]
    connection.execute(update(quotes).where(same).values(**changed))
    left = {**row, **changed}
    return {erased_key(left): erased_seal(left)}


def _empty(
    connection: Connection, table: Table, row: Row, emptied: dict[str, Any]
) -> dict[str, str | None]:
    changed = {**emptied, "salt": seals.new_salt()}
    statement = update(table)
    for column in table.primary_key:
        statement = statement.where(column == row[column.name])
    connection.execute(statement.values(**changed))
    return seals.sealed(table, {**row, **changed})


def _empty_notes(
    connection: Connection,
    numbers: Sequence[str],
    drafted: set[str],
    changed: dict[str, str | None],
) -> int:
    noted = [row for row in _rows(connection, outcomes, numbers) if row["note"]]
    for row in noted:
        changed.update(_empty(connection, outcomes, row, {"note": ""}))
    query = select(allowances).where(allowances.c.draft_id.in_(sorted(drafted)))
    asked = [dict(row) for row in connection.execute(query).mappings()]
    for row in asked:
        empty = {"title": "", "note": "", "reason": ""}
        changed.update(_empty(connection, allowances, row, empty))
    return len(noted) + len(asked)
