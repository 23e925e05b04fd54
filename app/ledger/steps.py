"""The numbered steps by which the ledger's tables came to be what they are.

A released step never changes; the next change of the tables is the next number at the end
of `STEPS`.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import TYPE_CHECKING

from app.ledger.facts import fill_facts

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


_TABLES_1 = (
    """CREATE TABLE counters (
        name TEXT PRIMARY KEY,
        value INTEGER NOT NULL
    )""",
    """CREATE TABLE drafts (
        draft_id TEXT PRIMARY KEY,
        person TEXT NOT NULL,
        step TEXT NOT NULL,
        payload_json TEXT NOT NULL,
        made_at TEXT NOT NULL,
        saved_at TEXT NOT NULL
    )""",
    "CREATE INDEX drafts_by_person ON drafts (person, saved_at)",
    """CREATE TABLE rate_sheets (
        version INTEGER PRIMARY KEY CHECK (version >= 1),
        holds_from TEXT NOT NULL,
        published_by TEXT NOT NULL,
        published_at TEXT NOT NULL,
        sheet_json TEXT NOT NULL,
        previous_hash TEXT NOT NULL,
        hash TEXT NOT NULL
    )""",
    """CREATE TABLE quotes (
        sequence INTEGER PRIMARY KEY CHECK (sequence >= 1),
        number TEXT NOT NULL,
        revision INTEGER NOT NULL CHECK (revision >= 1),
        issued_at TEXT NOT NULL,
        issued_by TEXT NOT NULL,
        valid_until TEXT NOT NULL,
        customer_name TEXT NOT NULL,
        title TEXT NOT NULL,
        rate_sheet_version INTEGER NOT NULL REFERENCES rate_sheets (version),
        rate_sheet_hash TEXT NOT NULL,
        catalog_version TEXT NOT NULL,
        verdict TEXT NOT NULL,
        repair_price_cents BIGINT,
        replace_price_cents BIGINT,
        inputs_json TEXT NOT NULL,
        supply_json TEXT NOT NULL,
        results_json TEXT NOT NULL,
        draft_id TEXT,
        personal_salt TEXT NOT NULL,
        personal_digest TEXT NOT NULL,
        previous_hash TEXT NOT NULL,
        hash TEXT NOT NULL,
        UNIQUE (number, revision)
    )""",
    "CREATE INDEX quotes_by_draft ON quotes (draft_id)",
)


def _sqlite_guards(table: str, same: str, word: str) -> tuple[str, ...]:
    """Refuse UPDATE, DELETE, and INSERT OR REPLACE, which would skip the DELETE guard."""
    refuse = f"SELECT RAISE(ABORT, '{word} never changes')"
    return (
        f"CREATE TRIGGER {table}_no_update BEFORE UPDATE ON {table} BEGIN {refuse}; END",
        f"CREATE TRIGGER {table}_no_delete BEFORE DELETE ON {table} BEGIN {refuse}; END",
        f"CREATE TRIGGER {table}_no_replace BEFORE INSERT ON {table}"
        f" WHEN EXISTS (SELECT 1 FROM {table} WHERE {same}) BEGIN {refuse}; END",
    )


def _postgresql_guards(table: str, word: str) -> tuple[str, ...]:
    return (
        f"""CREATE FUNCTION {table}_never_change() RETURNS trigger LANGUAGE plpgsql AS $$
        BEGIN
            RAISE EXCEPTION '{word} never changes' USING ERRCODE = 'restrict_violation';
        END $$""",
        f"CREATE TRIGGER {table}_no_change BEFORE UPDATE OR DELETE ON {table}"
        f" FOR EACH ROW EXECUTE FUNCTION {table}_never_change()",
        f"CREATE TRIGGER {table}_no_truncate BEFORE TRUNCATE ON {table}"
        f" FOR EACH STATEMENT EXECUTE FUNCTION {table}_never_change()",
    )


_TABLES_2 = (
    """CREATE TABLE journal (
        sequence INTEGER PRIMARY KEY CHECK (sequence >= 1),
        done_at TEXT NOT NULL,
        person TEXT NOT NULL,
        action TEXT NOT NULL,
        subject TEXT NOT NULL,
        detail_json TEXT NOT NULL,
        previous_hash TEXT NOT NULL,
        hash TEXT NOT NULL
    )""",
    "CREATE INDEX journal_by_action ON journal (action, sequence)",
    "CREATE INDEX journal_by_subject ON journal (subject, sequence)",
)

_TABLES_3 = (
    """CREATE TABLE people (
        person_id TEXT PRIMARY KEY,
        name TEXT NOT NULL,
        folded_name TEXT NOT NULL,
        email TEXT NOT NULL,
        role TEXT NOT NULL,
        password_hash TEXT NOT NULL,
        demo INTEGER NOT NULL,
        made_at TEXT NOT NULL,
        removed_at TEXT,
        salt TEXT NOT NULL
    )""",
    "CREATE UNIQUE INDEX people_by_name ON people (folded_name) WHERE removed_at IS NULL",
    "CREATE UNIQUE INDEX people_by_email ON people (email)"
    " WHERE removed_at IS NULL AND email <> ''",
    """CREATE TABLE sessions (
        token_hash TEXT PRIMARY KEY,
        person_id TEXT NOT NULL REFERENCES people (person_id),
        made_at TEXT NOT NULL,
        seen_at TEXT NOT NULL,
        ends_at TEXT NOT NULL
    )""",
    "CREATE INDEX sessions_by_person ON sessions (person_id)",
    """CREATE TABLE sign_in_failures (
        name_key TEXT PRIMARY KEY,
        failures INTEGER NOT NULL,
        last_at TEXT NOT NULL,
        locked_until TEXT NOT NULL
    )""",
)

_TABLES_4 = (
    "ALTER TABLE quotes ADD COLUMN program_version TEXT NOT NULL DEFAULT ''",
    "ALTER TABLE quotes ADD COLUMN erased_at TEXT",
    """CREATE TABLE quote_facts (
        sequence INTEGER PRIMARY KEY REFERENCES quotes (sequence),
        number TEXT NOT NULL,
        revision INTEGER NOT NULL,
        issued_on TEXT NOT NULL,
        issued_by TEXT NOT NULL,
        rate_sheet_version INTEGER NOT NULL,
        verdict TEXT NOT NULL,
        finding TEXT,
        remedy TEXT,
        fuel TEXT,
        family TEXT,
        heater_age_months INTEGER,
        part_number TEXT,
        replace_slug TEXT,
        repair_price_cents BIGINT,
        replace_price_cents BIGINT,
        repair_cost_cents BIGINT,
        repair_revenue_cents BIGINT,
        replace_cost_cents BIGINT,
        replace_revenue_cents BIGINT,
        answered_on TEXT,
        chosen_path TEXT,
        cost_cents BIGINT,
        revenue_cents BIGINT
    )""",
)
# What an erasure leaves alone: all of an issued quote but what may name a person.
_KEPT_4 = (
    *("sequence", "number", "revision", "issued_at", "issued_by", "valid_until"),
    *("rate_sheet_version", "rate_sheet_hash", "catalog_version", "verdict"),
    *("repair_price_cents", "replace_price_cents", "supply_json", "results_json"),
    *("draft_id", "personal_digest", "previous_hash", "hash", "program_version"),
)


def _sqlite_erasure() -> tuple[str, ...]:
    same = " AND ".join(f"NEW.{column} IS OLD.{column}" for column in _KEPT_4)
    return (
        "DROP TRIGGER quotes_no_update",
        "CREATE TRIGGER quotes_no_update BEFORE UPDATE ON quotes"
        f" WHEN NOT (OLD.erased_at IS NULL AND NEW.erased_at IS NOT NULL AND {same})"
        " BEGIN SELECT RAISE(ABORT, 'an issued quote never changes'); END",
    )


def _postgresql_erasure() -> tuple[str, ...]:
    new = ", ".join(f"NEW.{column}" for column in _KEPT_4)
    old = ", ".join(f"OLD.{column}" for column in _KEPT_4)
    return (
        f"""CREATE OR REPLACE FUNCTION quotes_never_change() RETURNS trigger
        LANGUAGE plpgsql AS $$
        BEGIN
            IF TG_OP = 'UPDATE' THEN
                IF OLD.erased_at IS NULL AND NEW.erased_at IS NOT NULL
                    AND ROW({new}) IS NOT DISTINCT FROM ROW({old})
                THEN
                    RETURN NEW;
                END IF;
            END IF;
            RAISE EXCEPTION 'an issued quote never changes' USING ERRCODE = 'restrict_violation';
        END $$""",
    )


_TABLES_5 = (
    """CREATE TABLE answers (
        number TEXT NOT NULL,
        revision INTEGER NOT NULL,
        choice TEXT NOT NULL,
        typed_name TEXT NOT NULL,
        agreed_text TEXT NOT NULL,
        text_hash TEXT NOT NULL,
        answered_at TEXT NOT NULL,
        taken_by TEXT NOT NULL,
        via TEXT NOT NULL,
        salt TEXT NOT NULL,
        PRIMARY KEY (number, revision),
        FOREIGN KEY (number, revision) REFERENCES quotes (number, revision)
    )""",
    """CREATE TABLE allowances (
        allowance_id TEXT PRIMARY KEY,
        job_digest TEXT NOT NULL,
        draft_id TEXT,
        title TEXT NOT NULL,
        jobs_json TEXT NOT NULL,
        note TEXT NOT NULL,
        asked_by TEXT NOT NULL,
        asked_at TEXT NOT NULL,
        decision TEXT NOT NULL,
        reason TEXT NOT NULL,
        decided_by TEXT,
        decided_at TEXT,
        used_by TEXT,
        salt TEXT NOT NULL
    )""",
    "CREATE INDEX allowances_by_job ON allowances (job_digest)",
    """CREATE TABLE links (
        link_hash TEXT PRIMARY KEY,
        number TEXT NOT NULL,
        made_by TEXT NOT NULL,
        made_at TEXT NOT NULL,
        ends_at TEXT NOT NULL,
        revoked_by TEXT,
        revoked_at TEXT,
        salt TEXT NOT NULL
    )""",
    "CREATE INDEX links_by_number ON links (number)",
    """CREATE TABLE outcomes (
        outcome_id TEXT PRIMARY KEY,
        number TEXT NOT NULL,
        seen_on TEXT NOT NULL,
        repair_held INTEGER,
        failed_on TEXT,
        note TEXT NOT NULL,
        recorded_by TEXT NOT NULL,
        recorded_at TEXT NOT NULL,
        salt TEXT NOT NULL
    )""",
    "CREATE INDEX outcomes_by_number ON outcomes (number)",
)


def _photos(bytes_type: str) -> tuple[str, ...]:
    return (
        f"""CREATE TABLE photos (
        photo_id TEXT PRIMARY KEY,
        draft_id TEXT NOT NULL,
        kind TEXT NOT NULL,
        taken_by TEXT NOT NULL,
        taken_at TEXT NOT NULL,
        width_px INTEGER NOT NULL,
        height_px INTEGER NOT NULL,
        content_hash TEXT NOT NULL,
        jpeg {bytes_type} NOT NULL,
        salt TEXT NOT NULL
    )""",
        "CREATE INDEX photos_by_draft ON photos (draft_id)",
    )


_TABLES_7 = (
    """CREATE TABLE reservations (
        number TEXT NOT NULL,
        revision INTEGER NOT NULL,
        part TEXT NOT NULL,
        place TEXT NOT NULL,
        wanted INTEGER NOT NULL,
        pieces INTEGER NOT NULL,
        held_until TEXT NOT NULL,
        released_at TEXT,
        PRIMARY KEY (number, revision, part, place),
        FOREIGN KEY (number, revision) REFERENCES quotes (number, revision)
    )""",
    "CREATE INDEX reservations_by_day ON reservations (held_until)",
)


_TABLES_8 = (
    "ALTER TABLE quote_facts ADD COLUMN valid_until TEXT NOT NULL DEFAULT ''",
    "UPDATE quote_facts SET valid_until = (SELECT quotes.valid_until FROM quotes"
    " WHERE quotes.sequence = quote_facts.sequence)",
)

STEPS: tuple[Migration, ...] = (
    Migration(
        1,
        "drafts, rate sheets and quotes",
        _TABLES_1,
        {
            "sqlite": (
                *_sqlite_guards("rate_sheets", "version = NEW.version", "a published rate sheet"),
                *_sqlite_guards(
                    "quotes",
                    "sequence = NEW.sequence OR (number = NEW.number AND revision = NEW.revision)",
                    "an issued quote",
                ),
            ),
            "postgresql": (
                *_postgresql_guards("rate_sheets", "a published rate sheet"),
                *_postgresql_guards("quotes", "an issued quote"),
            ),
        },
    ),
    Migration(
        2,
        "a journal chained by hashes",
        _TABLES_2,
        {
            "sqlite": _sqlite_guards("journal", "sequence = NEW.sequence", "the journal"),
            "postgresql": _postgresql_guards("journal", "the journal"),
        },
    ),
    Migration(3, "people and their sessions", _TABLES_3, {"sqlite": (), "postgresql": ()}),
    Migration(
        4,
        "the program's version, erasure, and facts of quotes for the books",
        _TABLES_4,
        {"sqlite": _sqlite_erasure(), "postgresql": _postgresql_erasure()},
        fill_facts,
    ),
    Migration(
        5,
        "answers, allowances, links and outcomes",
        _TABLES_5,
        {"sqlite": (), "postgresql": ()},
    ),
    Migration(
        6,
        "photos",
        (),
        {"sqlite": _photos("BLOB"), "postgresql": _photos("BYTEA")},
    ),
    Migration(7, "stock set aside for quotes", _TABLES_7, {"sqlite": (), "postgresql": ()}),
    Migration(
        8,
        "how long each quote holds among the facts for the books",
        _TABLES_8,
        {"sqlite": (), "postgresql": ()},
    ),
)
