"""The numbered steps by which the ledger's tables came to be what they are.

A released step never changes; the next change of the tables is the next number at the end
of `STEPS`.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import TYPE_CHECKING

from app.ledger import step_tables
from app.ledger.facts import fill_facts
from app.ledger.step_guards import (
    postgresql_erasure,
    postgresql_guards,
    sqlite_erasure,
    sqlite_guards,
)

if TYPE_CHECKING:
    from sqlalchemy import Connection


@dataclass(frozen=True)
class Migration:
    """One step forward: its number, what it does, its statements, what is filled in after.

    `tables` are the statements that every database takes; `guards` those by dialect.
    """

    version: int
    title: str
    tables: tuple[str, ...]
    guards: dict[str, tuple[str, ...]]
    fill: Callable[[Connection], None] | None = None


STEPS: tuple[Migration, ...] = (
    Migration(
        1,
        "drafts, rate sheets and quotes",
        step_tables.TABLES_1,
        {
            "sqlite": (
                *sqlite_guards("rate_sheets", "version = NEW.version", "a published rate sheet"),
                *sqlite_guards(
                    "quotes",
                    "sequence = NEW.sequence OR (number = NEW.number AND revision = NEW.revision)",
                    "an issued quote",
                ),
            ),
            "postgresql": (
                *postgresql_guards("rate_sheets", "a published rate sheet"),
                *postgresql_guards("quotes", "an issued quote"),
            ),
        },
    ),
    Migration(
        2,
        "a journal chained by hashes",
        step_tables.TABLES_2,
        {
            "sqlite": sqlite_guards("journal", "sequence = NEW.sequence", "the journal"),
            "postgresql": postgresql_guards("journal", "the journal"),
        },
    ),
    Migration(
        3, "people and their sessions", step_tables.TABLES_3, {"sqlite": (), "postgresql": ()}
    ),
    Migration(
        4,
        "the program's version, erasure, and facts of quotes for the books",
        step_tables.TABLES_4,
        {"sqlite": sqlite_erasure(), "postgresql": postgresql_erasure()},
        fill_facts,
    ),
    Migration(
        5,
        "answers, allowances, links and outcomes",
        step_tables.TABLES_5,
        {"sqlite": (), "postgresql": ()},
    ),
    Migration(
        6,
        "photos",
        (),
        {
            "sqlite": step_tables.photo_tables("BLOB"),
            "postgresql": step_tables.photo_tables("BYTEA"),
        },
    ),
    Migration(
        7, "stock set aside for quotes", step_tables.TABLES_7, {"sqlite": (), "postgresql": ()}
    ),
    Migration(
        8,
        "how long each quote holds among the facts for the books",
        step_tables.TABLES_8,
        {"sqlite": (), "postgresql": ()},
    ),
)
