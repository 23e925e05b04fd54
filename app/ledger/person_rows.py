"""How a person stands in the ledger: the one spelling of a name, and rows read back."""

from __future__ import annotations

import unicodedata
from datetime import datetime
from typing import TYPE_CHECKING, Any

from sqlalchemy import select

from app.ledger.columns import Row
from app.ledger.entries import Person
from app.ledger.tables import people
from estimator.errors import LedgerTrouble

if TYPE_CHECKING:
    from sqlalchemy import Connection


def folded(name: str) -> str:
    """Return a name in the one spelling by which names are held against each other."""
    return " ".join(unicodedata.normalize("NFKC", name).casefold().split())


def person_of(row: Row) -> Person:
    """Read a row back."""
    removed = row["removed_at"]
    return Person(
        person_id=row["person_id"],
        name=row["name"],
        email=row["email"],
        role=row["role"],
        demo=bool(row["demo"]),
        made_at=datetime.fromisoformat(row["made_at"]),
        removed_at=None if removed is None else datetime.fromisoformat(removed),
    )


def standing(connection: Connection, person_id: str) -> dict[str, Any]:
    """Return the row of a person who may sign in; refuse where there is none."""
    query = select(people).where(people.c.person_id == person_id, people.c.removed_at.is_(None))
    row = connection.execute(query).mappings().one_or_none()
    if row is None:
        raise LedgerTrouble("There is no such person (any more)", "", "Look at the list again.")
    return dict(row)
