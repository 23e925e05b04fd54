"""Issued quotes as they stand: rows read back, and the hashes that chain them."""

from __future__ import annotations

from datetime import date, datetime
from typing import TYPE_CHECKING, Any

from sqlalchemy import func, select

from app.ledger.canonical import canonical_json, digest
from app.ledger.columns import Row, dollars
from app.ledger.records import IssuedQuote, QuoteSummary
from app.ledger.tables import quotes
from estimator.errors import QuoteNotFound

if TYPE_CHECKING:
    from sqlalchemy import ColumnElement, Connection

# The list is part of what a hash means. Quotes issued before the program's version was kept
# have none, and their hash does not cover it.
_HASHED = (
    "sequence",
    "number",
    "revision",
    "issued_at",
    "issued_by",
    "valid_until",
    "rate_sheet_version",
    "rate_sheet_hash",
    "catalog_version",
    "verdict",
    "repair_price_cents",
    "replace_price_cents",
    "supply_json",
    "results_json",
    "draft_id",
    "personal_digest",
    "previous_hash",
)
_HASHED_WITH_VERSION = (*_HASHED, "program_version")
_PERSONAL = ("customer_name", "title", "inputs_json")


def wanted(connection: Connection, number: str, revision: int | None, where: str) -> IssuedQuote:
    """Return one revision of a quote, the last unless told."""
    query = select(quotes).where(quotes.c.number == number)
    if revision is not None:
        query = query.where(quotes.c.revision == revision)
    query = query.order_by(quotes.c.revision.desc()).limit(1)
    row = connection.execute(query).mappings().one_or_none()
    if row is None:
        which = f"quote {number}" + ("" if revision is None else f" revision {revision}")
        raise QuoteNotFound(f"There is no {which}", where, "Check the number on the quote.")
    return quote_of(row)


def row_of(connection: Connection, number: str, revision: int) -> Row:
    """Return the row of one revision of a quote."""
    return _lowest(connection, number, quotes.c.revision == revision)


def first_row(connection: Connection, number: str) -> Row:
    """Return the row of a quote's first revision."""
    return _lowest(connection, number)


def rows_between(connection: Connection, after: int, last: int, limit: int) -> list[Row]:
    """Return the next rows after one sequence up to another, in the order of issue."""
    query = select(quotes).where(quotes.c.sequence > after, quotes.c.sequence <= last)
    found = connection.execute(query.order_by(quotes.c.sequence).limit(limit))
    return list(found.mappings())


def last_sequence(connection: Connection) -> int:
    """Return the last sequence that is there; 0 when there is none."""
    return connection.scalar(select(func.max(quotes.c.sequence))) or 0


def quote_of(row: Row) -> IssuedQuote:
    """Read a row back."""
    return IssuedQuote(**_values(row))


def summary_of(row: Row) -> QuoteSummary:
    """Read a row of a list back."""
    return QuoteSummary(**_values(row))


def quote_hash(row: Row) -> str:
    """Return the hash over a row's content and, through it, over all quotes before."""
    covered = _HASHED_WITH_VERSION if row["program_version"] else _HASHED
    return digest(canonical_json({column: row[column] for column in covered}))


def personal_digest(row: Row) -> str:
    """Return the salted digest of what in a row may name a person."""
    return digest(row["personal_salt"], *(row[column] for column in _PERSONAL))


def issued_on(row: Row) -> date:
    """Return the day of issue, in UTC."""
    return datetime.fromisoformat(row["issued_at"]).date()


def _lowest(connection: Connection, number: str, *which: ColumnElement[bool]) -> Row:
    query = select(quotes).where(quotes.c.number == number, *which)
    query = query.order_by(quotes.c.revision).limit(1)
    row = connection.execute(query).mappings().one_or_none()
    if row is None:
        raise QuoteNotFound(f"There is no quote {number}", "", "Check the number on the quote.")
    return row


def _values(row: Row) -> dict[str, Any]:
    values = dict(row)
    values["issued_at"] = datetime.fromisoformat(row["issued_at"])
    if values.get("erased_at") is not None:
        values["erased_at"] = datetime.fromisoformat(values["erased_at"])
    values["valid_until"] = date.fromisoformat(row["valid_until"])
    values["repair_price"] = dollars(values.pop("repair_price_cents"))
    values["replace_price"] = dollars(values.pop("replace_price_cents"))
    return values
