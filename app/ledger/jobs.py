"""What many issued quotes keep of their jobs, read in bulk and without their results."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from itertools import islice
from typing import TYPE_CHECKING

from sqlalchemy import select

from app.ledger.entries import REPAIR
from app.ledger.records import QuoteJob
from app.ledger.tables import quote_facts, quotes

if TYPE_CHECKING:
    from datetime import date

    from app.ledger.database import Database

_CHUNK = 500


class Jobs:
    """The jobs of the quotes in an open ledger.

    Parameters
    ----------
    database
        The open database.
    """

    def __init__(self, database: Database) -> None:
        self._database = database

    def of(self, sequences: Iterable[int]) -> Iterator[QuoteJob]:
        """Yield the jobs of some revisions of quotes, in the order of issue.

        Parameters
        ----------
        sequences
            Places among all revisions, each one larger than the one before.

        Yields
        ------
        Each revision's inputs and supply; a place where nothing is gives nothing.

        Notes
        -----
        The results, which make up most of a quote, stay where they are. A chunk is one
        transaction, so nothing is held open between two of them; what is read never changes
        but by an erasure.
        """
        read = [quotes.c[name] for name in QuoteJob.__dataclass_fields__]
        every = iter(sequences)
        while chunk := list(islice(every, _CHUNK)):
            query = select(*read).where(quotes.c.sequence.in_(chunk))
            with self._database.reading() as connection:
                found = connection.execute(query.order_by(quotes.c.sequence)).all()
            yield from (QuoteJob(*row) for row in found)

    def repairs_between(self, after: date, last: date) -> tuple[int, ...]:
        """Return the quotes of some days whose repair is open and not turned down.

        Parameters
        ----------
        after, last
            Quotes issued after the first of these days, up to the last.

        Returns
        -------
        The sequences of the last revision of each quote, in the order of issue; without those
        that the customer declined or took a replacement of.
        """
        names = ("sequence", "number", "repair_price_cents", "chosen_path")
        query = select(*(quote_facts.c[name] for name in names)).where(
            quote_facts.c.issued_on > after.isoformat(),
            quote_facts.c.issued_on <= last.isoformat(),
        )
        with self._database.reading() as connection:
            rows = connection.execute(query.order_by(quote_facts.c.sequence)).all()
        last_ones = {row.number: row for row in rows}  # a later revision was issued later
        return tuple(
            sorted(
                row.sequence
                for row in last_ones.values()
                if row.repair_price_cents is not None and row.chosen_path in (None, REPAIR)
            )
        )
