"""Links by which customers see their quotes: made, found by their hash, revoked."""

from __future__ import annotations

from datetime import datetime
from typing import TYPE_CHECKING

from sqlalchemy import insert, select, update

from app.ledger import counters, journal, quote_rows, seals
from app.ledger.columns import Row, moment_text
from app.ledger.entries import Link
from app.ledger.tables import links

if TYPE_CHECKING:
    from sqlalchemy import Connection

    from app.ledger.database import Database


class Links:
    """The links to quotes of an open ledger.

    Parameters
    ----------
    database
        The open database.
    """

    def __init__(self, database: Database) -> None:
        self._database = database

    def make(self, number: str, link_hash: str, ends_at: datetime, by: str, at: datetime) -> Link:
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
            quote_rows.first_row(connection, number)  # refuses where there is no such quote
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

    def by_hash(self, link_hash: str) -> Link | None:
        """Return a link by the hash of its token, or ``None``."""
        query = select(links).where(links.c.link_hash == link_hash)
        with self._database.reading() as connection:
            row = connection.execute(query).mappings().one_or_none()
        return None if row is None else link_of(row)

    def of(self, number: str) -> tuple[Link, ...]:
        """Return the links to a quote, the last made first."""
        query = select(links).where(links.c.number == number).order_by(links.c.made_at.desc())
        with self._database.reading() as connection:
            return tuple(link_of(row) for row in connection.execute(query).mappings())

    def revoke(self, number: str, by: str, at: datetime) -> int:
        """Revoke every link to a quote; return how many were open.

        Parameters
        ----------
        number
            The quote's number.
        by, at
            Who revokes them, and when, with the zone.
        """
        with self._database.writing() as connection:
            return revoke(connection, number, by, at)


def revoke(connection: Connection, number: str, by: str, at: datetime) -> int:
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


def link_of(row: Row) -> Link:
    """Read a row back."""
    values = {name: row[name] for name in row if name != "salt"}
    for name in ("made_at", "ends_at", "revoked_at"):
        if values[name] is not None:
            values[name] = datetime.fromisoformat(values[name])
    return Link(**values)
