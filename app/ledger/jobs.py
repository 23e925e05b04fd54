"""What many issued quotes keep of their jobs, read in bulk and without their results."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from decimal import Decimal
from itertools import islice
from typing import TYPE_CHECKING, Any

from sqlalchemy import JSON, cast, func, select, true

from app.ledger.entries import REPAIR
from app.ledger.records import PartTaken, QuoteJob
from app.ledger.tables import quote_facts, quotes

if TYPE_CHECKING:
    from datetime import date

    from sqlalchemy import ColumnElement, Select

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

    def parts_between(self, after: date, last: date) -> tuple[PartTaken, ...]:
        """Count the parts in the repairs of the quotes of some days, companions among them.

        Parameters
        ----------
        after, last
            As for `repairs_between`, and the same quotes count.

        Returns
        -------
        Each part by its number, with the pieces quoted and those in accepted repairs.

        Notes
        -----
        The database reads the quotes itself and hands over one row for each part.
        """
        taken: dict[str, list[Decimal]] = {}
        with self._database.reading() as connection:
            query = _parts_query(connection.dialect.name, after, last)
            for number, quantity, quoted, used in connection.execute(query):
                pieces = Decimal(quantity or 1)
                so_far = taken.setdefault(number, [Decimal(0), Decimal(0)])
                so_far[0] += pieces * quoted
                so_far[1] += pieces * used
        return tuple(PartTaken(number, *taken[number]) for number in sorted(taken))


def _parts_query(dialect: str, after: date, last: date) -> Select[Any]:
    """Return part, quantity as written, lines of quotes, and lines of accepted repairs."""
    issued_on = quote_facts.c.issued_on
    days = (issued_on > after.isoformat()) & (issued_on <= last.isoformat())
    # A later revision was issued later.
    ends = select(func.max(quote_facts.c.sequence)).where(days).group_by(quote_facts.c.number)
    number: ColumnElement[str]
    quantity: ColumnElement[str | None]
    if dialect == "postgresql":
        supply = cast(quotes.c.supply_json, JSON)
        parts = func.json_array_elements(supply["parts"]).table_valued("value").lateral()
        number, quantity = (parts.c.value.op("->>")(key) for key in ("number", "quantity"))
    else:
        parts = func.json_each(quotes.c.supply_json, "$.parts").table_valued("value")
        number, quantity = (
            func.json_extract(parts.c.value, f"$.{key}") for key in ("number", "quantity")
        )
    accepted = func.count().filter(quote_facts.c.chosen_path == REPAIR)
    return (
        select(number.label("part"), quantity.label("pieces"), func.count(), accepted)
        .select_from(quote_facts.join(quotes, quotes.c.sequence == quote_facts.c.sequence))
        .join(parts, true())
        .where(
            quote_facts.c.sequence.in_(ends),
            quote_facts.c.repair_price_cents.is_not(None),
            func.coalesce(quote_facts.c.chosen_path, REPAIR) == REPAIR,
        )
        .group_by("part", "pieces")
    )
