"""Seals: what the journal keeps of a row in another table, so that a change shows.

A row of a sealed table may change only together with a journal line that holds its new seal.
The salt in the row keeps a seal from being guessed at once the row's words are erased.
"""

from __future__ import annotations

import secrets
from typing import TYPE_CHECKING

from app.ledger import tables
from app.ledger.canonical import canonical_json, digest
from app.ledger.columns import Row

if TYPE_CHECKING:
    from sqlalchemy import Table

SEALED: dict[str, Table] = {
    table.name: table
    for table in (
        tables.people,
        tables.answers,
        tables.allowances,
        tables.links,
        tables.outcomes,
        tables.photos,
        tables.reservations,
    )
}
"""The sealed tables by name."""

# Bytes are sealed by their hash, which is a column beside them.
_LEFT_OUT = frozenset({"jpeg"})


def new_salt() -> str:
    """Return a salt that nobody can guess [hex]."""
    return secrets.token_hex(16)


def sealed_columns(table: Table) -> list[str]:
    """Return the columns that a table's seals cover."""
    return [column.name for column in table.columns if column.name not in _LEFT_OUT]


def key_of(table: Table, row: Row) -> str:
    """Return what names a row in the journal: its table and its key."""
    return " ".join([table.name, *(str(row[column.name]) for column in table.primary_key)])


def seal_of(table: Table, row: Row) -> str:
    """Return the seal of a row."""
    return digest(table.name, canonical_json({name: row[name] for name in sealed_columns(table)}))


def sealed(table: Table, row: Row) -> dict[str, str | None]:
    """Return a row's key and seal, as a journal line takes them."""
    return {key_of(table, row): seal_of(table, row)}
