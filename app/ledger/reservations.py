"""Reservations: pieces of a part set aside at a place for a quote, so that no two count on them.

All of it happens in the transaction of what causes it: issuing sets aside, a revision moves,
declining gives back, accepting the repair keeps. What is past its day counts no longer.
"""

from __future__ import annotations

from datetime import date, datetime, timedelta
from typing import TYPE_CHECKING, Any

from sqlalchemy import func, insert, select, update

from app.ledger import counters, journal, seals
from app.ledger.columns import Row, moment_text
from app.ledger.entries import REPAIR, Reservation
from app.ledger.tables import quotes as quote_rows
from app.ledger.tables import reservations
from estimator.errors import QuoteNotFound

if TYPE_CHECKING:
    from collections.abc import Collection, Iterable, Mapping

    from sqlalchemy import ColumnElement, Connection

    from app.ledger.database import Database
    from app.ledger.entries import Wish

KEPT_AFTER_ACCEPTANCE_DAYS = 30
"""How long an accepted repair keeps its pieces; common practice, no source."""


class Reservations:
    """What is set aside in an open ledger.

    Parameters
    ----------
    database
        The open database.
    """

    def __init__(self, database: Database) -> None:
        self._database = database

    def taken(
        self,
        on: date,
        *,
        places: Collection[str] | None = None,
        besides_draft: str | None = None,
        besides: str = "",
    ) -> dict[tuple[str, str], int]:
        """Return the pieces that are not free on a day.

        Parameters
        ----------
        on
            The day, at the shop.
        places
            Only there; everywhere when ``None``.
        besides_draft
            Leave out what a quote issued from this draft holds: it takes nothing from itself.
        besides
            Leave out what the quote of this number holds: a revision of it takes its place.

        Returns
        -------
        (part, place) to pieces.
        """
        wanted = _counting(on)
        if places is not None:
            wanted &= reservations.c.place.in_(places)
        if besides_draft is not None:
            own = select(quote_rows.c.number).where(quote_rows.c.draft_id == besides_draft)
            wanted &= reservations.c.number.not_in(own)
        if besides:
            wanted &= reservations.c.number != besides
        key = (reservations.c.part, reservations.c.place)
        query = select(*key, func.sum(reservations.c.pieces)).where(wanted).group_by(*key)
        with self._database.reading() as connection:
            return {(row[0], row[1]): int(row[2]) for row in connection.execute(query)}

    def held(self, on: date) -> tuple[Reservation, ...]:
        """Return what is set aside on a day, by place, part and quote."""
        order = (reservations.c.place, reservations.c.part, reservations.c.number)
        query = select(reservations).where(_counting(on)).order_by(*order)
        with self._database.reading() as connection:
            return tuple(reservation_of(row) for row in connection.execute(query).mappings())

    def of(self, number: str, revision: int | None = None) -> tuple[Reservation, ...]:
        """Return what was asked to be set aside for a quote, let go or not, by revision."""
        wanted = reservations.c.number == number
        if revision is not None:
            wanted &= reservations.c.revision == revision
        order = (reservations.c.revision, reservations.c.part, reservations.c.place)
        with self._database.reading() as connection:
            rows = connection.execute(select(reservations).where(wanted).order_by(*order))
            return tuple(reservation_of(row) for row in rows.mappings())

    def release(self, number: str, by: str, at: datetime) -> int:
        """Let go what a quote holds, because the parts are used or no longer wanted.

        Parameters
        ----------
        number
            The quote's number.
        by, at
            Who lets it go, and when, with the zone.

        Returns
        -------
        How many pieces were let go.

        Raises
        ------
        QuoteNotFound
            If there is no such quote.
        """
        with self._database.writing() as connection:
            counters.hold(connection, counters.QUOTES)
            known = select(quote_rows.c.number).where(quote_rows.c.number == number).limit(1)
            if connection.scalar(known) is None:
                raise QuoteNotFound(
                    f"There is no quote {number}", "", "Check the number on the quote."
                )
            return release(connection, number, by, at, "by hand")


def set_aside(connection: Connection, quote: Row, wishes: Iterable[Wish], at: datetime) -> None:
    """Set aside what a quote just issued asks for, as far as it is free.

    Parameters
    ----------
    connection
        A connection that holds the count of quotes, so that no other quote takes between
        what is read here and the commit.
    quote
        The quote's row.
    wishes
        What it asks for; nothing where it is not to set anything aside.
    at
        The time, with its zone.
    """
    rows: list[dict[str, Any]] = []
    for wish in wishes:
        held = _counting(at.date()) & (reservations.c.part == wish.part)
        query = select(reservations.c.place, func.sum(reservations.c.pieces)).where(held)
        found = connection.execute(query.group_by(reservations.c.place))
        taken = {place: int(pieces) for place, pieces in found}
        rows += [
            {
                "number": quote["number"],
                "revision": quote["revision"],
                "part": wish.part,
                "place": place,
                "wanted": wanted,
                "pieces": pieces,
                "held_until": quote["valid_until"],
                "released_at": None,
            }
            for place, wanted, pieces in shares(wish, taken)
        ]
    for row in rows:
        connection.execute(insert(reservations).values(**row))
    short = sum(row["wanted"] - row["pieces"] for row in rows)
    more = {"revision": quote["revision"], "short": short}
    _tell(connection, at, quote["issued_by"], "reserve", quote["number"], rows, more)


def shares(wish: Wish, taken: Mapping[str, int]) -> tuple[tuple[str, int, int], ...]:
    """Return what a wish gets at which place.

    Parameters
    ----------
    wish
        What is asked for.
    taken
        Place to pieces of that part that are set aside there.

    Returns
    -------
    Place, pieces wanted and pieces got, the nearest place first. What is counted somewhere
    but free nowhere is wanted where it lies; what is not there at all is wanted nowhere.
    """
    left, got = wish.pieces, []
    for place, counted in wish.counted:
        got.append(min(left, max(counted - taken.get(place, 0), 0)))
        left -= got[-1]
    made = []
    for (place, counted), pieces in zip(wish.counted, got, strict=True):
        short = min(left, counted - pieces)
        left -= short
        if pieces + short:
            made.append((place, pieces + short, pieces))
    return tuple(made)


def holds(connection: Connection, number: str) -> bool:
    """Return whether a quote has asked for anything that was not let go."""
    query = select(reservations.c.part).where(_of_quote(number)).limit(1)
    return connection.scalar(query) is not None


def release(connection: Connection, number: str, by: str, at: datetime, why: str) -> int:
    """Let go all that a quote holds inside the caller's transaction; return the pieces."""
    return _change(connection, number, by, at, "release", why, released_at=moment_text(at))


def answered(connection: Connection, quote: Row, choice: str, by: str, at: datetime) -> None:
    """Keep what an accepted repair holds for the work; let go what another answer leaves.

    Inside the caller's transaction, which holds the count of quotes.
    """
    number = quote["number"]
    if choice != REPAIR:
        release(connection, number, by, at, "not repaired")
        return
    kept = at.date() + timedelta(days=KEPT_AFTER_ACCEPTANCE_DAYS)
    until = max(kept.isoformat(), quote["valid_until"])
    _change(connection, number, by, at, "keep reserved", "accepted", held_until=until)


def reservation_of(row: Row) -> Reservation:
    """Read a row back."""
    values = dict(row) | {"held_until": date.fromisoformat(row["held_until"])}
    if row["released_at"] is not None:
        values["released_at"] = datetime.fromisoformat(row["released_at"])
    return Reservation(**values)


def _counting(on: date) -> ColumnElement[bool]:
    held = reservations.c.held_until >= on.isoformat()
    return held & reservations.c.released_at.is_(None) & (reservations.c.pieces > 0)


def _of_quote(number: str) -> ColumnElement[bool]:
    return (reservations.c.number == number) & reservations.c.released_at.is_(None)


def _change(
    connection: Connection, number: str, by: str, at: datetime, action: str, why: str, **to: str
) -> int:
    query = select(reservations).where(_of_quote(number))
    rows = [dict(row) | to for row in connection.execute(query).mappings()]
    if rows:
        connection.execute(update(reservations).where(_of_quote(number)).values(**to))
        _tell(connection, at, by, action, number, rows, {"why": why})
    return sum(row["pieces"] for row in rows)


def _tell(
    connection: Connection, at: datetime, by: str, action: str, number: str,
    rows: list[dict[str, Any]], more: dict[str, Any],
) -> None:  # fmt: skip
    if not rows:
        return
    sealed: dict[str, str | None] = {}
    for row in rows:
        sealed |= seals.sealed(reservations, row)
    detail = {"pieces": sum(row["pieces"] for row in rows), **more}
    journal.append(connection, at, by, action, number, detail, sealed)
