"""The check of the books' facts: whether each says what its quote and its answer say."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from datetime import date, datetime
from typing import TYPE_CHECKING, Any

from sqlalchemy import select

from app.ledger import facts
from app.ledger.columns import Row
from app.ledger.records import Problem
from app.ledger.tables import answers, quote_facts, quotes

if TYPE_CHECKING:
    from sqlalchemy import Connection


def fact_problems(connection: Connection, rows: Sequence[Row]) -> dict[int, list[Problem]]:
    """Work the facts of some quotes out again and hold them against those of the books.

    Parameters
    ----------
    connection
        A connection in the transaction in which the rows were read.
    rows
        Rows of quotes, the first issued first.

    Returns
    -------
    Sequence → what differs, or is not there; nothing for a quote whose facts are right.
    """
    if not rows:
        return {}
    between = quote_facts.c.sequence.between(rows[0]["sequence"], rows[-1]["sequence"])
    kept = {
        row["sequence"]: row
        for row in connection.execute(select(quote_facts).where(between)).mappings()
    }
    answered = _answers(connection, rows)
    found = {}
    for row in rows:
        sequence = row["sequence"]
        answer = answered.get((row["number"], row["revision"]))
        problems = list(_differences(row, kept.get(sequence), answer))
        if problems:
            found[sequence] = problems
    return found


def strange_facts(connection: Connection) -> Iterator[Problem]:
    """Yield the facts that no quote has."""
    strange = select(quote_facts.c.sequence).outerjoin(
        quotes, quotes.c.sequence == quote_facts.c.sequence
    )
    for (sequence,) in connection.execute(strange.where(quotes.c.sequence.is_(None)).limit(5)):
        yield Problem(f"The books tell of a quote, number {sequence} of them, that is not there")


def _answers(connection: Connection, rows: Sequence[Row]) -> dict[tuple[str, int], Row]:
    same = (answers.c.number == quotes.c.number) & (answers.c.revision == quotes.c.revision)
    between = quotes.c.sequence.between(rows[0]["sequence"], rows[-1]["sequence"])
    query = select(answers).join(quotes, same).where(between)
    found = connection.execute(query).mappings()
    return {(row["number"], row["revision"]): row for row in found}


def _differences(row: Row, kept: Row | None, answer: Row | None) -> Iterator[Problem]:
    number, revision = row["number"], row["revision"]
    if kept is None:
        yield Problem("the books know nothing of it", number, revision)
        return
    wanted = facts.facts_from(row)
    if answer is not None:
        wanted |= facts.facts_of_answer(row, answer["choice"], kept["answered_on"])
        if not _same_day(kept["answered_on"], answer["answered_at"]):
            wanted["answered_on"] = answer["answered_at"][:10]
    for name, value in wanted.items():
        if kept[name] != value:
            yield Problem(
                f"the books say {_said(kept[name])} for {name} where the quote says {_said(value)}",
                number,
                revision,
                f"facts.{name}",
            )


def _same_day(told: Any, answered_at: str) -> bool:
    """Say whether a day is that of a moment in UTC, in some place of the world."""
    try:
        apart = date.fromisoformat(str(told)) - datetime.fromisoformat(answered_at).date()
    except ValueError:
        return False
    return abs(apart.days) <= 1


def _said(value: Any) -> str:
    return "nothing" if value is None else str(value)
