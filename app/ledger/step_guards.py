"""Triggers that keep what was issued as it is, in both databases; released, they never change."""

from __future__ import annotations

# What an erasure leaves alone: all of an issued quote but what may name a person.
_KEPT_4 = (
    *("sequence", "number", "revision", "issued_at", "issued_by", "valid_until"),
    *("rate_sheet_version", "rate_sheet_hash", "catalog_version", "verdict"),
    *("repair_price_cents", "replace_price_cents", "supply_json", "results_json"),
    *("draft_id", "personal_digest", "previous_hash", "hash", "program_version"),
)


def sqlite_guards(table: str, same: str, word: str) -> tuple[str, ...]:
    """Refuse UPDATE, DELETE, and INSERT OR REPLACE, which would skip the DELETE guard."""
    refuse = f"SELECT RAISE(ABORT, '{word} never changes')"
    return (
        f"CREATE TRIGGER {table}_no_update BEFORE UPDATE ON {table} BEGIN {refuse}; END",
        f"CREATE TRIGGER {table}_no_delete BEFORE DELETE ON {table} BEGIN {refuse}; END",
        f"CREATE TRIGGER {table}_no_replace BEFORE INSERT ON {table}"
        f" WHEN EXISTS (SELECT 1 FROM {table} WHERE {same}) BEGIN {refuse}; END",
    )


def postgresql_guards(table: str, word: str) -> tuple[str, ...]:
    """Refuse UPDATE, DELETE and TRUNCATE."""
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


def sqlite_erasure() -> tuple[str, ...]:
    """Let a quote be emptied once of what may name a person, and nothing else of it change."""
    same = " AND ".join(f"NEW.{column} IS OLD.{column}" for column in _KEPT_4)
    return (
        "DROP TRIGGER quotes_no_update",
        "CREATE TRIGGER quotes_no_update BEFORE UPDATE ON quotes"
        f" WHEN NOT (OLD.erased_at IS NULL AND NEW.erased_at IS NOT NULL AND {same})"
        " BEGIN SELECT RAISE(ABORT, 'an issued quote never changes'); END",
    )


def postgresql_erasure() -> tuple[str, ...]:
    """Let a quote be emptied once of what may name a person, and nothing else of it change."""
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
