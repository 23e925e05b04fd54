"""The ledger's tables as the program sees them today.

The tables are made by `migrations`, whose statements never change once released; a test
holds the two together. Moments are ISO text in UTC with microseconds, days ISO text, so
that they sort and hash the same in every database; prices are whole cents.
"""

from __future__ import annotations

from sqlalchemy import BigInteger, Column, ForeignKey, Integer, MetaData, Table, Text

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
)
