"""Issued quotes: append-only revisions, numbered and chained by hash."""

from __future__ import annotations

import secrets
from collections.abc import Mapping
from datetime import date, datetime
from typing import TYPE_CHECKING, Any

from sqlalchemy import func, insert, select

from app.ledger import allowances, counters, drafts, facts, journal, rate_sheets, reservations
from app.ledger.canonical import canonical_json, digest, refuse_unstorable, without_stock
from app.ledger.columns import Row, cents, dollars, moment_text
from app.ledger.records import IssuedQuote, QuoteSummary, QuoteToIssue
from app.ledger.tables import quotes
from estimator.errors import LedgerTrouble, QuoteNotFound

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
_SAME = ("rate_sheet_version", "inputs_json", "supply_json", "results_json")
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


def issue(connection: Connection, quote: QuoteToIssue, where: str) -> IssuedQuote:
    """Keep a quote under a new number, or as the next revision, and discard its draft."""
    content = _content_of(quote)
    # Counting first makes every other issuer wait, also in PostgreSQL.
    sequence = counters.next_value(connection, counters.QUOTES)
    again = _issued_before(connection, quote, content, where)
    if again is not None:
        counters.give_back(connection, counters.QUOTES)
        return again
    sheet = rate_sheets.row_of(connection, quote.rate_sheet_version, where)
    number, revision = _numbered(connection, quote, where)
    before = select(quotes.c.hash).where(quotes.c.sequence == sequence - 1)
    row = {
        "sequence": sequence,
        "number": number,
        "revision": revision,
        **content,
        "rate_sheet_hash": sheet["hash"],
        "personal_salt": secrets.token_hex(16),
        "erased_at": None,
        "previous_hash": connection.scalar(before) or "",
    }
    row["personal_digest"] = personal_digest(row)
    row["hash"] = quote_hash(row)
    connection.execute(insert(quotes).values(**row))
    facts.keep(connection, row)
    if quote.draft_id is not None:
        drafts.discard(connection, quote.draft_id)
    used = _use_allowance(connection, quote, row)
    said = {"revision": revision, "hash": row["hash"]}
    journal.append(connection, quote.issued_at, quote.issued_by, "issue", number, said, used)
    _set_aside(connection, quote, row)
    return quote_of(row)


def get(connection: Connection, number: str, revision: int | None, where: str) -> IssuedQuote:
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


def revisions(connection: Connection, number: str, where: str) -> tuple[IssuedQuote, ...]:
    """Return every revision of a quote, the first one first."""
    query = select(quotes).where(quotes.c.number == number).order_by(quotes.c.revision)
    found = tuple(quote_of(row) for row in connection.execute(query).mappings())
    if not found:
        raise QuoteNotFound(f"There is no quote {number}", where, "Check the number on the quote.")
    return found


def summaries(
    connection: Connection,
    limit: int,
    before: int | None,
    issued_by: str | None,
    customer: str | None,
    *,
    every_revision: bool,
) -> tuple[QuoteSummary, ...]:
    """Return quotes for a list, the last issued first."""
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
    found = connection.execute(query.limit(max(limit, 0))).mappings()
    return tuple(QuoteSummary(**_values(row)) for row in found)


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


def _content_of(quote: QuoteToIssue) -> dict[str, Any]:
    texts = ("issued_by", "customer_name", "title", "catalog_version", "verdict")
    for field in (*texts, "program_version"):
        refuse_unstorable(getattr(quote, field), f"{field} of the quote to issue")
    return {
        "issued_at": moment_text(quote.issued_at),
        "issued_by": quote.issued_by,
        "valid_until": quote.valid_until.isoformat(),
        "customer_name": quote.customer_name,
        "title": quote.title,
        "rate_sheet_version": quote.rate_sheet_version,
        "catalog_version": quote.catalog_version,
        "verdict": str(quote.verdict),
        "repair_price_cents": cents(quote.repair_price),
        "replace_price_cents": cents(quote.replace_price),
        "inputs_json": canonical_json(quote.inputs),
        "supply_json": canonical_json(quote.supply),
        "results_json": canonical_json(quote.results),
        "draft_id": quote.draft_id,
        "program_version": quote.program_version,
    }


def _use_allowance(connection: Connection, quote: QuoteToIssue, row: Row) -> dict[str, str | None]:
    if quote.needs_allowance is None:
        return {}
    name = f"{row['number']} revision {row['revision']}"
    return allowances.use(connection, quote.needs_allowance, name)


def _set_aside(connection: Connection, quote: QuoteToIssue, row: Row) -> None:
    """Move what the revision before held to this one, or set aside anew where that is wanted."""
    number, at = row["number"], quote.issued_at
    reserve = quote.reserve
    if quote.revises is not None:
        reserve = reservations.holds(connection, number) if reserve is None else reserve
        reservations.release(connection, number, quote.issued_by, at, "revised")
    if reserve:
        reservations.set_aside(connection, row, quote.wishes, at)


def _numbered(connection: Connection, quote: QuoteToIssue, where: str) -> tuple[str, int]:
    if quote.revises is not None:
        return quote.revises, get(connection, quote.revises, None, where).revision + 1
    year = quote.issued_at.year
    return f"{year}-{counters.next_value(connection, f'{counters.QUOTES} {year}'):06d}", 1


def _issued_before(
    connection: Connection, quote: QuoteToIssue, content: Mapping[str, Any], where: str
) -> IssuedQuote | None:
    """Return what a second tap, or a retry after a lost answer, would issue once more."""
    if quote.draft_id is None:
        return None
    query = select(quotes).where(quotes.c.draft_id == quote.draft_id)
    row = connection.execute(query.order_by(quotes.c.sequence.desc()).limit(1)).mappings().first()
    if row is None:
        return None
    if all(_same(row[column], content[column]) for column in _SAME):
        return quote_of(row)
    if quote.revises == row["number"]:
        return None
    raise LedgerTrouble(
        f"This draft was issued already, with other content, as quote {row['number']}",
        where,
        "Open that quote, and revise it if it must change.",
    )


def _same(kept: Any, again: Any) -> bool:
    """Whether two contents are one; where the parts lie may change between two taps."""
    texts = isinstance(kept, str) and isinstance(again, str)
    return kept == again or (texts and without_stock(kept) == without_stock(again))


def _values(row: Row) -> dict[str, Any]:
    values = dict(row)
    values["issued_at"] = datetime.fromisoformat(row["issued_at"])
    if values.get("erased_at") is not None:
        values["erased_at"] = datetime.fromisoformat(values["erased_at"])
    values["valid_until"] = date.fromisoformat(row["valid_until"])
    values["repair_price"] = dollars(values.pop("repair_price_cents"))
    values["replace_price"] = dollars(values.pop("replace_price_cents"))
    return values
