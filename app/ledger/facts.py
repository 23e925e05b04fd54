"""Facts of each quote for the books: worked out of what the quote keeps, never the other way.

They are a convenience for counting; the quote's own JSON is what holds. A quote whose JSON
lacks something has an empty fact there.
"""

from __future__ import annotations

import json
from collections.abc import Iterator, Sequence
from datetime import date
from decimal import Decimal, InvalidOperation
from typing import TYPE_CHECKING, Any

from sqlalchemy import func, insert, select, update

from app.ledger.columns import Row, dollars
from app.ledger.entries import DECLINED, REPAIR, QuoteFacts
from app.ledger.fact_lines import fact_lines
from app.ledger.tables import journal, quote_facts, quotes

if TYPE_CHECKING:
    from sqlalchemy import Connection

    from app.ledger.database import Database

MONEY = (
    "repair_price",
    "replace_price",
    "repair_cost",
    "repair_revenue",
    "replace_cost",
    "replace_revenue",
    "cost",
    "revenue",
)
"""Amounts among the facts of a quote; each column ends in ``_cents``."""

_CHUNK = 500


class Facts:
    """The facts of an open ledger.

    Parameters
    ----------
    database
        The open database.
    """

    def __init__(self, database: Database) -> None:
        self._database = database

    def after(self, sequence: int = 0, limit: int = 10_000) -> tuple[QuoteFacts, ...]:
        """Return the facts of the quotes issued after one, the first one first.

        Parameters
        ----------
        sequence
            The last sequence that is known already.
        limit
            How many at most.
        """
        query = select(quote_facts).where(quote_facts.c.sequence > sequence)
        query = query.order_by(quote_facts.c.sequence).limit(max(limit, 0))
        with self._database.reading() as connection:
            return tuple(facts_of_row(row) for row in connection.execute(query).mappings())

    def as_csv(self, after: int = 0, sequences: Sequence[int] | None = None) -> Iterator[bytes]:
        """Yield facts as text, many rows at a time: a million of them are read in seconds.

        Parameters
        ----------
        after
            Only facts of the quotes issued after this sequence.
        sequences
            Only these; all unless given.

        Yields
        ------
        Whole lines in UTF-8, in the order of issue, without a head. The columns are those of
        the table, money in whole cents, days as ISO text. Texts stand in single quotes,
        doubled inside; ``NULL`` or nothing stands for what is not known.

        Raises
        ------
        LedgerTrouble
            As every method of the ledger does.
        """
        where = f"sequence > {int(after)}"
        last = select(func.max(quote_facts.c.sequence))
        if sequences is not None:
            where += f" AND sequence IN ({', '.join(str(int(it)) for it in sequences) or 'NULL'})"
        with self._database.reading() as connection:
            if (connection.scalar(last) or 0) > after:
                yield from fact_lines(connection, where)

    def changed(self, after: int, until: int) -> tuple[int, ...]:
        """Return the quotes whose facts may differ from what they were at a line of the journal.

        Parameters
        ----------
        after, until
            The line up to which all is known, and the last line.

        Returns
        -------
        The sequences of every revision of every quote that was issued, revised or answered in
        between, the first one first.
        """
        what = journal.c.action.in_(("accept", "decline", "issue"))
        lines = journal.c.sequence.between(after + 1, until)
        told = select(journal.c.subject).where(what & lines).distinct()
        query = select(quotes.c.sequence).where(quotes.c.number.in_(told))
        with self._database.reading() as connection:
            return tuple(connection.execute(query.order_by(quotes.c.sequence)).scalars())


def keep(connection: Connection, row: Row) -> None:
    """Keep the facts of a quote just issued."""
    connection.execute(insert(quote_facts).values(**facts_from(row)))


def keep_answer(connection: Connection, row: Row, choice: str, answered_on: date) -> None:
    """Note in a quote's facts what the customer chose and what that path costs and brings."""
    connection.execute(
        update(quote_facts)
        .where(quote_facts.c.sequence == row["sequence"])
        .values(**facts_of_answer(row, choice, answered_on.isoformat()))
    )


def facts_of_answer(row: Row, choice: str, answered_on: str | None) -> dict[str, Any]:
    """Work out what an answer to a quote's row adds to its facts."""
    cost, revenue = _margin(_parsed(row["results_json"]), choice)
    return {
        "answered_on": answered_on,
        "chosen_path": choice,
        "cost_cents": cost,
        "revenue_cents": revenue,
    }


def fill_facts(connection: Connection) -> None:
    """Work out the facts of every quote that was issued before facts were kept."""
    after = 0
    # Only what was there at this step of the migrations is asked for.
    columns = [quotes.c[name] for name in _READ]
    while True:
        query = select(*columns).where(quotes.c.sequence > after).order_by(quotes.c.sequence)
        rows = list(connection.execute(query.limit(_CHUNK)).mappings())
        if not rows:
            return
        found = [facts_from({**row, "valid_until": ""}) for row in rows]
        for each in found:
            del each["valid_until"]  # a later step adds it
        connection.execute(insert(quote_facts), found)
        after = rows[-1]["sequence"]


_READ = (
    "sequence",
    "number",
    "revision",
    "issued_at",
    "issued_by",
    "rate_sheet_version",
    "verdict",
    "repair_price_cents",
    "replace_price_cents",
    "inputs_json",
    "results_json",
)


def facts_from(row: Row) -> dict[str, Any]:
    """Work out the facts of one quote's row."""
    inputs, results = _parsed(row["inputs_json"]), _parsed(row["results_json"])
    estimate = _section(results, "estimate")
    slug = _cheapest_open(estimate)
    repair_cost, repair_revenue = _margin(results, REPAIR)
    replace_cost, replace_revenue = _margin(results, slug)
    return {
        **{name: row[name] for name in _READ[:3]},
        "issued_on": row["issued_at"][:10],
        "issued_by": row["issued_by"],
        "rate_sheet_version": row["rate_sheet_version"],
        "verdict": row["verdict"],
        "finding": _text(_section(inputs, "work"), "finding"),
        "remedy": _text(_section(inputs, "work"), "remedy"),
        "fuel": _text(_section(inputs, "heater"), "fuel"),
        "family": _text(inputs, "family"),
        "heater_age_months": _months(_section(estimate, "heater").get("age_years")),
        "part_number": _part(estimate),
        "replace_slug": slug,
        "repair_price_cents": row["repair_price_cents"],
        "replace_price_cents": row["replace_price_cents"],
        "repair_cost_cents": repair_cost,
        "repair_revenue_cents": repair_revenue,
        "replace_cost_cents": replace_cost,
        "replace_revenue_cents": replace_revenue,
        "answered_on": None,
        "chosen_path": None,
        "cost_cents": None,
        "revenue_cents": None,
        "valid_until": row["valid_until"],
    }


def open_paths(results_json: str) -> dict[str, str]:
    """Return the paths that a quote leaves open to the customer, and their names.

    ``repair`` for the repair, else the slug of a replacement.
    """
    estimate = _section(_parsed(results_json), "estimate")
    repair = _section(estimate, "repair")
    found = {}
    if repair.get("open"):
        found[REPAIR] = str(_section(repair, "priced").get("name") or REPAIR)
    for path in _open_replacements(estimate):
        found[path["slug"]] = str(path.get("name") or path["slug"])
    return found


def facts_of_row(row: Row) -> QuoteFacts:
    """Read a row back."""
    values = dict(row)
    for name in MONEY:
        values[name] = dollars(values.pop(f"{name}_cents"))
    for name in ("issued_on", "valid_until"):
        values[name] = date.fromisoformat(values[name])
    if values["answered_on"] is not None:
        values["answered_on"] = date.fromisoformat(values["answered_on"])
    return QuoteFacts(**values)


def _parsed(text: str) -> dict[str, Any]:
    try:
        found = json.loads(text)
    except ValueError:
        return {}
    return found if isinstance(found, dict) else {}


def _section(values: dict[str, Any], name: str) -> dict[str, Any]:
    found = values.get(name)
    return found if isinstance(found, dict) else {}


def _text(values: dict[str, Any], name: str) -> str | None:
    found = values.get(name)
    return found if isinstance(found, str) else None


def _open_replacements(estimate: dict[str, Any]) -> list[dict[str, Any]]:
    found = estimate.get("replacements")
    paths = found if isinstance(found, list) else []
    return [
        path
        for path in paths
        if isinstance(path, dict) and path.get("closed_reason") is None and "slug" in path
    ]


def _cheapest_open(estimate: dict[str, Any]) -> str | None:
    # The estimate lists them by life-cycle cost; the first open one is the one compared.
    return next((str(path["slug"]) for path in _open_replacements(estimate)), None)


def _part(estimate: dict[str, Any]) -> str | None:
    parts = estimate.get("parts")
    for part in parts if isinstance(parts, list) else []:
        if isinstance(part, dict) and part.get("needed_because") is None:
            return _text(part, "number")
    return None


def _months(age_years: object) -> int | None:
    known = isinstance(age_years, int | float) and not isinstance(age_years, bool)
    return int(age_years * 12) if known else None  # type: ignore[operator]


def _margin(results: dict[str, Any], path: str | None) -> tuple[int | None, int | None]:
    """Return cost and revenue of a path in whole cents; none where it is not there."""
    if path is None or path == DECLINED:
        return None, None
    if path == REPAIR:
        margin = _section(results, "repair_margin")
    else:
        margin = _section(_section(results, "replacement_margins"), path)
    return _whole_cents(margin.get("cost")), _whole_cents(margin.get("revenue"))


def _whole_cents(amount: object) -> int | None:
    if not isinstance(amount, str | int):
        return None
    try:
        return int((Decimal(amount) * 100).to_integral_value())
    except InvalidOperation:
        return None
