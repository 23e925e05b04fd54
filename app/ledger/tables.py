"""The ledger's tables as the program sees them today.

The tables are made by `migrations`, whose statements never change once released; a test
holds the two together. Moments are ISO text in UTC with microseconds, days ISO text, so
that they sort and hash the same in every database; prices are whole cents.
"""

from __future__ import annotations

from sqlalchemy import (
    BigInteger,
    Column,
    ForeignKey,
    ForeignKeyConstraint,
    Integer,
    LargeBinary,
    MetaData,
    Table,
    Text,
)

metadata = MetaData()

schema_version = Table(
    "schema_version",
    metadata,
    Column("version", Integer, primary_key=True, autoincrement=False),
    Column("title", Text, nullable=False),
    Column("applied_at", Text, nullable=False),
)

counters = Table(
    "counters",
    metadata,
    Column("name", Text, primary_key=True),
    Column("value", Integer, nullable=False),
)

drafts = Table(
    "drafts",
    metadata,
    Column("draft_id", Text, primary_key=True),
    Column("person", Text, nullable=False),
    Column("step", Text, nullable=False),
    Column("payload_json", Text, nullable=False),
    Column("made_at", Text, nullable=False),
    Column("saved_at", Text, nullable=False),
)

rate_sheets = Table(
    "rate_sheets",
    metadata,
    Column("version", Integer, primary_key=True, autoincrement=False),
    Column("holds_from", Text, nullable=False),
    Column("published_by", Text, nullable=False),
    Column("published_at", Text, nullable=False),
    Column("sheet_json", Text, nullable=False),
    Column("previous_hash", Text, nullable=False),
    Column("hash", Text, nullable=False),
)

quotes = Table(
    "quotes",
    metadata,
    Column("sequence", Integer, primary_key=True, autoincrement=False),
    Column("number", Text, nullable=False),
    Column("revision", Integer, nullable=False),
    Column("issued_at", Text, nullable=False),
    Column("issued_by", Text, nullable=False),
    Column("valid_until", Text, nullable=False),
    Column("customer_name", Text, nullable=False),
    Column("title", Text, nullable=False),
    Column("rate_sheet_version", Integer, ForeignKey("rate_sheets.version"), nullable=False),
    Column("rate_sheet_hash", Text, nullable=False),
    Column("catalog_version", Text, nullable=False),
    Column("verdict", Text, nullable=False),
    Column("repair_price_cents", BigInteger),
    Column("replace_price_cents", BigInteger),
    Column("inputs_json", Text, nullable=False),
    Column("supply_json", Text, nullable=False),
    Column("results_json", Text, nullable=False),
    Column("draft_id", Text),
    Column("personal_salt", Text, nullable=False),
    Column("personal_digest", Text, nullable=False),
    Column("previous_hash", Text, nullable=False),
    Column("hash", Text, nullable=False),
    Column("program_version", Text, nullable=False),
    Column("erased_at", Text),
)

journal = Table(
    "journal",
    metadata,
    Column("sequence", Integer, primary_key=True, autoincrement=False),
    Column("done_at", Text, nullable=False),
    Column("person", Text, nullable=False),
    Column("action", Text, nullable=False),
    Column("subject", Text, nullable=False),
    Column("detail_json", Text, nullable=False),
    Column("previous_hash", Text, nullable=False),
    Column("hash", Text, nullable=False),
)

people = Table(
    "people",
    metadata,
    Column("person_id", Text, primary_key=True),
    Column("name", Text, nullable=False),
    Column("folded_name", Text, nullable=False),
    Column("email", Text, nullable=False),
    Column("role", Text, nullable=False),
    Column("password_hash", Text, nullable=False),
    Column("demo", Integer, nullable=False),
    Column("made_at", Text, nullable=False),
    Column("removed_at", Text),
    Column("salt", Text, nullable=False),
)

sessions = Table(
    "sessions",
    metadata,
    Column("token_hash", Text, primary_key=True),
    Column("person_id", Text, ForeignKey("people.person_id"), nullable=False),
    Column("made_at", Text, nullable=False),
    Column("seen_at", Text, nullable=False),
    Column("ends_at", Text, nullable=False),
)

sign_in_failures = Table(
    "sign_in_failures",
    metadata,
    Column("name_key", Text, primary_key=True),
    Column("failures", Integer, nullable=False),
    Column("last_at", Text, nullable=False),
    Column("locked_until", Text, nullable=False),
)

quote_facts = Table(
    "quote_facts",
    metadata,
    Column("sequence", Integer, ForeignKey("quotes.sequence"), primary_key=True),
    Column("number", Text, nullable=False),
    Column("revision", Integer, nullable=False),
    Column("issued_on", Text, nullable=False),
    Column("issued_by", Text, nullable=False),
    Column("rate_sheet_version", Integer, nullable=False),
    Column("verdict", Text, nullable=False),
    Column("finding", Text),
    Column("remedy", Text),
    Column("fuel", Text),
    Column("family", Text),
    Column("heater_age_months", Integer),
    Column("part_number", Text),
    Column("replace_slug", Text),
    Column("repair_price_cents", BigInteger),
    Column("replace_price_cents", BigInteger),
    Column("repair_cost_cents", BigInteger),
    Column("repair_revenue_cents", BigInteger),
    Column("replace_cost_cents", BigInteger),
    Column("replace_revenue_cents", BigInteger),
    Column("answered_on", Text),
    Column("chosen_path", Text),
    Column("cost_cents", BigInteger),
    Column("revenue_cents", BigInteger),
    Column("valid_until", Text, nullable=False),
)

answers = Table(
    "answers",
    metadata,
    Column("number", Text, primary_key=True),
    Column("revision", Integer, primary_key=True, autoincrement=False),
    Column("choice", Text, nullable=False),
    Column("typed_name", Text, nullable=False),
    Column("agreed_text", Text, nullable=False),
    Column("text_hash", Text, nullable=False),
    Column("answered_at", Text, nullable=False),
    Column("taken_by", Text, nullable=False),
    Column("via", Text, nullable=False),
    Column("salt", Text, nullable=False),
    ForeignKeyConstraint(["number", "revision"], ["quotes.number", "quotes.revision"]),
)

allowances = Table(
    "allowances",
    metadata,
    Column("allowance_id", Text, primary_key=True),
    Column("job_digest", Text, nullable=False),
    Column("draft_id", Text),
    Column("title", Text, nullable=False),
    Column("jobs_json", Text, nullable=False),
    Column("note", Text, nullable=False),
    Column("asked_by", Text, nullable=False),
    Column("asked_at", Text, nullable=False),
    Column("decision", Text, nullable=False),
    Column("reason", Text, nullable=False),
    Column("decided_by", Text),
    Column("decided_at", Text),
    Column("used_by", Text),
    Column("salt", Text, nullable=False),
)

links = Table(
    "links",
    metadata,
    Column("link_hash", Text, primary_key=True),
    Column("number", Text, nullable=False),
    Column("made_by", Text, nullable=False),
    Column("made_at", Text, nullable=False),
    Column("ends_at", Text, nullable=False),
    Column("revoked_by", Text),
    Column("revoked_at", Text),
    Column("salt", Text, nullable=False),
)

outcomes = Table(
    "outcomes",
    metadata,
    Column("outcome_id", Text, primary_key=True),
    Column("number", Text, nullable=False),
    Column("seen_on", Text, nullable=False),
    Column("repair_held", Integer),
    Column("failed_on", Text),
    Column("note", Text, nullable=False),
    Column("recorded_by", Text, nullable=False),
    Column("recorded_at", Text, nullable=False),
    Column("salt", Text, nullable=False),
)

reservations = Table(
    "reservations",
    metadata,
    Column("number", Text, primary_key=True),
    Column("revision", Integer, primary_key=True, autoincrement=False),
    Column("part", Text, primary_key=True),
    Column("place", Text, primary_key=True),
    Column("wanted", Integer, nullable=False),
    Column("pieces", Integer, nullable=False),
    Column("held_until", Text, nullable=False),
    Column("released_at", Text),
    ForeignKeyConstraint(["number", "revision"], ["quotes.number", "quotes.revision"]),
)

photos = Table(
    "photos",
    metadata,
    Column("photo_id", Text, primary_key=True),
    Column("draft_id", Text, nullable=False),
    Column("kind", Text, nullable=False),
    Column("taken_by", Text, nullable=False),
    Column("taken_at", Text, nullable=False),
    Column("width_px", Integer, nullable=False),
    Column("height_px", Integer, nullable=False),
    Column("content_hash", Text, nullable=False),
    Column("jpeg", LargeBinary, nullable=False),
    Column("salt", Text, nullable=False),
)
