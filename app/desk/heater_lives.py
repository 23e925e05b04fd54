"""What became of the heaters that were quoted, as records that a fit of lives takes."""

from __future__ import annotations

import csv
import io
from dataclasses import dataclass
from datetime import date
from typing import TYPE_CHECKING

from app.ledger.entries import DECLINED, REPAIR
from app.people.guard import Actor, require
from app.people.roles import Action
from app.quoting import quote_visit
from estimator.heater import HeaterClass

if TYPE_CHECKING:
    from app.ledger.entries import Outcome
    from app.shop import Shop

COLUMNS = ("installed", "failed", "heater_class", "records_from", "last_seen", "note")


@dataclass(frozen=True)
class HeaterRecord:
    """One heater: made, first seen at its quote, and failed or last seen at work.

    The day of manufacture stands for the day of installation, which nobody wrote down.
    """

    number: str
    heater_class: HeaterClass
    installed: date
    records_from: date
    failed: date | None
    last_seen: date | None


@dataclass(frozen=True)
class HeaterRecords:
    """The records, and each quote whose outcome is no use to a fit, with the reason."""

    records: tuple[HeaterRecord, ...]
    left_out: tuple[tuple[str, str], ...]


def heater_records(shop: Shop, actor: Actor) -> HeaterRecords:
    """Gather what was seen later of the heaters quoted.

    Parameters
    ----------
    shop
        The shop.
    actor
        The owner.

    Returns
    -------
    One record for each quote with an outcome of its own heater.

    Raises
    ------
    Trouble
        If it is not the actor's to see.

    Notes
    -----
    A heater whose customer took a replacement left before it failed; what was seen later is
    of the new one, so it makes no record. The years before the quote are not counted as
    watched: `records_from` is the day of the quote.
    """
    require(shop, actor, Action.SEE_BOOKS)
    last: dict[str, Outcome] = {}
    for outcome in shop.ledger.outcomes.every():
        before = last.get(outcome.number)
        if before is None or _tells_more(outcome, before):
            last[outcome.number] = outcome
    records, left_out = [], []
    for number, outcome in sorted(last.items()):
        found = _record(shop, number, outcome)
        if isinstance(found, str):
            left_out.append((number, found))
        else:
            records.append(found)
    return HeaterRecords(tuple(records), tuple(left_out))


def life_csv(records: HeaterRecords) -> bytes:
    """Write records as the CSV file that `heater life fit` reads.

    Parameters
    ----------
    records
        The records.

    Returns
    -------
    The file's content; the quote's number is in the note.
    """
    text = io.StringIO(newline="")
    writer = csv.writer(text)
    writer.writerow(COLUMNS)
    for it in records.records:
        days = (it.installed, it.failed, it.heater_class.value, it.records_from, it.last_seen)
        writer.writerow([*days, f"quote {it.number}"])
    return text.getvalue().encode()


def _tells_more(outcome: Outcome, before: Outcome) -> bool:
    if (outcome.failed_on is None) != (before.failed_on is None):
        return outcome.failed_on is not None
    return (outcome.seen_on, outcome.recorded_at) >= (before.seen_on, before.recorded_at)


def _record(shop: Shop, number: str, outcome: Outcome) -> HeaterRecord | str:
    choices = [
        answer.choice
        for quote in shop.ledger.quotes.revisions(number)
        if (answer := shop.ledger.answers.of(number, quote.revision)) is not None
    ]
    if any(choice not in (REPAIR, DECLINED) for choice in choices):
        return "the heater was replaced; what was seen later is of the new one"
    first = shop.ledger.quotes.get(number, 1)
    begun = first.issued_at.date()
    end = outcome.failed_on or outcome.seen_on
    if end <= begun:
        return "it was not seen after the day of the quote"
    return HeaterRecord(
        number=number,
        heater_class=HeaterClass.GAS_STORAGE,
        installed=quote_visit(first).heater.manufactured,
        records_from=begun,
        failed=outcome.failed_on,
        last_seen=None if outcome.failed_on is not None else outcome.seen_on,
    )
