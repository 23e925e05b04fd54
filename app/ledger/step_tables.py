"""The tables of the ledger as each step makes or changes them; released, they never change."""

from __future__ import annotations

TABLES_1 = (
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

TABLES_2 = (
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

TABLES_3 = (
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

TABLES_4 = (
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
TABLES_5 = (
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


def photo_tables(bytes_type: str) -> tuple[str, ...]:
    """Return the table of photos; a database has its own word for bytes."""
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


TABLES_7 = (
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

TABLES_8 = (
    "ALTER TABLE quote_facts ADD COLUMN valid_until TEXT NOT NULL DEFAULT ''",
    "UPDATE quote_facts SET valid_until = (SELECT quotes.valid_until FROM quotes"
    " WHERE quotes.sequence = quote_facts.sequence)",
)
