"""What was seen later of a heater that was quoted."""

from __future__ import annotations

from typing import TYPE_CHECKING

from app.notes import checked_note
from app.people.guard import Actor, require
from app.people.roles import Action
from estimator.errors import InputTrouble

if TYPE_CHECKING:
    from datetime import date, datetime

    from app.ledger.entries import Outcome
    from app.shop import Shop


def record_outcome(
    shop: Shop,
    actor: Actor,
    number: str,
    seen_on: date,
    at: datetime,
    *,
    repair_held: bool | None = None,
    failed_on: date | None = None,
    note: str = "",
) -> Outcome:
    """Record what was seen later of the heater that a quote was for.

    Parameters
    ----------
    shop
        The shop.
    actor
        Who records it.
    number
        The quote's number.
    seen_on
        The day on which it was seen.
    at
        Now, with its zone.
    repair_held
        Whether the repair held until then, where there was one.
    failed_on
        The day on which the heater failed for good, if it did.
    note
        What else there is to say.
    """
    require(shop, actor, Action.RECORD_OUTCOME, at, number=number)
    if seen_on > at.date():
        raise InputTrouble(
            f"{seen_on.isoformat()} is still to come",
            "",
            "Give the day on which it was seen.",
            field="seen_on",
        )
    return shop.ledger.outcomes.record(
        number,
        seen_on,
        actor.name,
        at,
        repair_held=repair_held,
        failed_on=failed_on,
        note=checked_note(note, "note"),
    )


def outcomes(shop: Shop, actor: Actor, number: str | None = None) -> tuple[Outcome, ...]:
    """Return what was recorded of one quote, or of all."""
    require(shop, actor, Action.RECORD_OUTCOME, number=number)
    return shop.ledger.outcomes.every(number)
