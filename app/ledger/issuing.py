"""Issuing a quote: numbered, chained, its stock set aside, all in one transaction."""

from __future__ import annotations

import secrets
from collections.abc import Mapping
from typing import TYPE_CHECKING, Any

from sqlalchemy import insert, select

from app.ledger import allowances, counters, drafts, facts, journal, rate_sheets, reservations
from app.ledger.canonical import canonical_json, refuse_unstorable, without_stock
from app.ledger.columns import Row, cents, moment_text
from app.ledger.quote_rows import personal_digest, quote_hash, quote_of, wanted
from app.ledger.records import IssuedQuote, QuoteToIssue
from app.ledger.tables import quotes
from estimator.errors import LedgerTrouble

if TYPE_CHECKING:
    from sqlalchemy import Connection

_SAME = ("rate_sheet_version", "inputs_json", "supply_json", "results_json")


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
        return quote.revises, wanted(connection, quote.revises, None, where).revision + 1
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
