"""A job under the margin floor: asked for by who quotes it, allowed once by the owner."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from app.job import job_digest
from app.notes import checked_note
from app.people.guard import Actor, require
from app.people.roles import Action
from app.quoting import jobs_under_floor
from estimator.errors import InputTrouble, Trouble

if TYPE_CHECKING:
    from datetime import datetime

    from app.ledger.entries import Allowance
    from app.shop import Shop
    from app.visiting import PricedVisit


@dataclass(frozen=True)
class AllowanceShown:
    """A request as its asker may see it: no figure of cost, margin or floor in it."""

    allowance_id: str
    title: str
    asked_by: str
    asked_at: datetime
    decision: str
    reason: str
    decided_by: str | None


def ask_allowance(
    shop: Shop,
    actor: Actor,
    priced: PricedVisit,
    at: datetime,
    *,
    note: str = "",
    draft_id: str | None = None,
) -> AllowanceShown:
    """Ask the owner to allow a job under the floor once.

    Parameters
    ----------
    shop
        The shop.
    actor
        Who asks.
    priced
        The visit exactly as it is to be issued; any change of the job needs a new request.
    at
        Now, with its zone.
    note
        Why.
    draft_id
        The draft, for the owner to look at.

    Raises
    ------
    Trouble
        If the job needs no allowance, or asking is not the actor's to do.
    """
    require(shop, actor, Action.ASK_ALLOWANCE, at)
    jobs = jobs_under_floor(priced)
    if not jobs:
        raise Trouble("This job needs no allowance", "", "Issue it.")
    kept = shop.ledger.allowances.ask(
        job_digest(priced),
        priced.visit.title or priced.visit.work.finding.value,
        jobs,
        actor.name,
        at,
        note=checked_note(note, "note"),
        draft_id=draft_id,
    )
    return _shown(kept)


def allowance_of(shop: Shop, actor: Actor, priced: PricedVisit) -> AllowanceShown | None:
    """Return how a request for this very job stands, or ``None`` where none was made."""
    require(shop, actor, Action.ASK_ALLOWANCE)
    found = shop.ledger.allowances.of_job(job_digest(priced))
    return None if found is None else _shown(found)


def allowances(shop: Shop, actor: Actor, *, undecided: bool = True) -> tuple[Allowance, ...]:
    """Return the requests with their figures, for the owner."""
    require(shop, actor, Action.DECIDE_ALLOWANCE)
    return shop.ledger.allowances.every(undecided=undecided)


def decide_allowance(
    shop: Shop, actor: Actor, allowance_id: str, *, allow: bool, reason: str, at: datetime
) -> Allowance:
    """Allow a job under the floor once, or deny it.

    Parameters
    ----------
    shop
        The shop.
    actor
        The owner.
    allowance_id
        Which request.
    allow
        Whether it is allowed.
    reason
        Why; it must be given.
    at
        Now, with its zone.

    Raises
    ------
    Trouble
        If it is not the actor's to decide, no reason is given, or it was decided already.
    """
    require(shop, actor, Action.DECIDE_ALLOWANCE, at)
    why = checked_note(reason, "reason")
    if not why:
        raise InputTrouble("There is no reason", "", "Say why, for the books.", field="reason")
    decision = "allowed" if allow else "denied"
    return shop.ledger.allowances.decide(allowance_id, decision, why, actor.name, at)


def _shown(kept: Allowance) -> AllowanceShown:
    return AllowanceShown(
        kept.allowance_id,
        kept.title,
        kept.asked_by,
        kept.asked_at,
        kept.decision,
        kept.reason,
        kept.decided_by,
    )
