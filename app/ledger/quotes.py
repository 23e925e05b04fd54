"""The quotes of a ledger: issued, found again, listed."""

from __future__ import annotations

from typing import TYPE_CHECKING

from sqlalchemy import func, select

from app.ledger.issuing import issue
from app.ledger.quote_rows import quote_of, summary_of, wanted
from app.ledger.records import IssuedQuote, QuoteSummary, QuoteToIssue
from app.ledger.tables import quotes
from estimator.errors import QuoteNotFound

if TYPE_CHECKING:
    from app.ledger.database import Database

_LISTED = (
    "sequence",
    "number",
    "revision",
    "issued_at",
    "issued_by",
    "valid_until",
    "customer_name",
    "title",
    "rate_sheet_version",
    "verdict",
    "repair_price_cents",
    "replace_price_cents",
)


class Quotes:
    """The quotes of an open ledger.

    Parameters
    ----------
    database
        The open database.
    """

    def __init__(self, database: Database) -> None:
        self._database = database

    def issue(self, quote: QuoteToIssue) -> IssuedQuote:
        """Issue a quote, and discard its draft in the same transaction.

        Parameters
        ----------
        quote
            The quote; with `revises` it becomes the next revision of that number, else it
            gets the next number of its year, such as ``2026-000123``.

        Returns
        -------
        The quote as it was kept. When the same content was already issued from the same
        draft (a second tap, a retry after a lost answer), that quote and no second one.

        Raises
        ------
        QuoteNotFound
            If `revises` names no quote.
        LedgerTrouble
            If the rate sheet is not published, the draft was issued with other content,
            a price is not in whole cents, or a time has no zone.
        """
        with self._database.writing() as connection:
            return issue(connection, quote, self._database.where)

    def get(self, number: str, revision: int | None = None) -> IssuedQuote:
        """Return a quote.

        Parameters
        ----------
        number
            Its number.
        revision
            Its revision, from 1; the last when ``None``.

        Raises
        ------
        QuoteNotFound
            If there is no such quote.
        """
        with self._database.reading() as connection:
            return wanted(connection, number, revision, self._database.where)

    def revisions(self, number: str) -> tuple[IssuedQuote, ...]:
        """Return every revision of a quote, the first one first.

        Parameters
        ----------
        number
            Its number.

        Raises
        ------
        QuoteNotFound
            If there is no such quote.
        """
        query = select(quotes).where(quotes.c.number == number).order_by(quotes.c.revision)
        with self._database.reading() as connection:
            found = tuple(quote_of(row) for row in connection.execute(query).mappings())
        if not found:
            raise QuoteNotFound(
                f"There is no quote {number}",
                self._database.where,
                "Check the number on the quote.",
            )
        return found

    def listed(
        self,
        limit: int = 50,
        *,
        before: int | None = None,
        issued_by: str | None = None,
        customer: str | None = None,
        every_revision: bool = False,
    ) -> tuple[QuoteSummary, ...]:
        """Return quotes for a list, the last issued first.

        Parameters
        ----------
        limit
            How many at most.
        before
            Only what was issued before this `sequence`; the last one of a page gives the
            next page.
        issued_by
            Only what this person issued.
        customer
            Only names that hold this text, in small or capital letters.
        every_revision
            Whether earlier revisions are listed too.
        """
        query = select(*(quotes.c[column] for column in _LISTED)).order_by(quotes.c.sequence.desc())
        if not every_revision:
            later = quotes.alias("later")
            newer = (later.c.number == quotes.c.number) & (later.c.revision > quotes.c.revision)
            query = query.where(~select(later.c.sequence).where(newer).exists())
        if before is not None:
            query = query.where(quotes.c.sequence < before)
        if issued_by is not None:
            query = query.where(quotes.c.issued_by == issued_by)
        if customer:
            name = func.lower(quotes.c.customer_name)
            query = query.where(name.contains(customer.lower(), autoescape=True))
        with self._database.reading() as connection:
            found = connection.execute(query.limit(max(limit, 0))).mappings()
            return tuple(summary_of(row) for row in found)
