"""Use cases from a priced job to a customer's answer, each with who asks and whether he may.

Allowances for a job under the margin floor, acceptance, customers' links, outcomes.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from typing import TYPE_CHECKING

from app.actions import issued, jobs_under_floor, quote_results
from app.job import job_digest
from app.ledger.entries import DECLINED, REPAIR
from app.ledger.facts import open_paths
from app.links import new_token, token_hash
from app.people.guard import Actor, require
from app.people.roles import Action
from estimator.errors import InputTrouble, LedgerTrouble, Trouble

if TYPE_CHECKING:
    from app.actions import PricedVisit, Shop
    from app.ledger.entries import Allowance, Answer, Link, Outcome
    from app.ledger.records import IssuedQuote
    from estimator.estimate import OwnerEstimate

LINK_DAYS_AFTER_VALIDITY = 30
LONGEST_NAME = 200
LONGEST_TEXT = 20_000
LONGEST_REASON = 500
_FORGED_LINE_EVERY = timedelta(minutes=1)


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


@dataclass(frozen=True)
class LifeRecord:
    """A heater's age when it was last seen or failed [yr], and whether it failed.

    `age_at_start` is its age at the quote [yr]: before that, the shop knew nothing of it, so
    a fit must not count those years as years it was watched.
    """

    number: str
    age_at_start: float
    age: float
    failed: bool


# --- a job under the margin floor ---------------------------------------------------------


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
        note=_checked_text(note, "note", LONGEST_REASON),
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
    why = _checked_text(reason, "reason", LONGEST_REASON)
    if not why:
        raise InputTrouble("There is no reason", "", "Say why, for the books.")
    decision = "allowed" if allow else "denied"
    return shop.ledger.allowances.decide(allowance_id, decision, why, actor.name, at)


# --- what the customer says ---------------------------------------------------------------


def accept(
    shop: Shop,
    actor: Actor,
    quote: IssuedQuote,
    choice: str,
    typed_name: str,
    agreed_text: str,
    at: datetime,
) -> Answer:
    """Keep the customer's acceptance of one path of a quote.

    Parameters
    ----------
    shop
        The shop.
    actor
        Who has the screen in hand: the customer by his link, or the technician at the door.
    quote
        The revision that was on the screen.
    choice
        One of `choices`.
    typed_name
        The name as the customer typed it.
    agreed_text
        The exact text that was on the screen; it is kept with its SHA-256.
    at
        Now, in the shop's zone.

    Raises
    ------
    Trouble
        If the quote was revised, has lapsed, was answered already, or does not offer this.
    """
    name = " ".join(typed_name.split())
    if not name:
        raise InputTrouble("There is no name", "", "Type your name to agree.")
    if not agreed_text.strip():
        raise InputTrouble("There is no text to agree to", "", "Open the quote again.")
    if choice == DECLINED:
        raise InputTrouble("Declining is no path to accept", "", "Choose one of the paths.")
    return _answer(shop, actor, quote, choice, name, agreed_text, at)


def decline(shop: Shop, actor: Actor, quote: IssuedQuote, typed_name: str, at: datetime) -> Answer:
    """Keep that the customer wants neither path; see `accept`."""
    return _answer(shop, actor, quote, DECLINED, " ".join(typed_name.split()), "", at)


def choices(quote: IssuedQuote) -> dict[str, str]:
    """Return the paths that a quote leaves open: ``repair`` or a replacement's slug → name."""
    return open_paths(quote.results_json)


def answer_to(shop: Shop, quote: IssuedQuote) -> Answer | None:
    """Return the customer's answer to a revision, or ``None``."""
    return shop.ledger.answers.of(quote.number, quote.revision)


def quote_state(shop: Shop, quote: IssuedQuote, day: date) -> str:
    """Return a revision's state: issued, accepted, declined, lapsed or superseded."""
    return shop.ledger.answers.state(quote.number, quote.revision, day)


# --- the customer's link ------------------------------------------------------------------


def make_link(
    shop: Shop,
    actor: Actor,
    quote: IssuedQuote,
    at: datetime,
    *,
    ends_at: datetime | None = None,
) -> str:
    """Make a link by which the customer sees the last revision of a quote, and nothing else.

    Parameters
    ----------
    shop
        The shop.
    actor
        Who makes it.
    quote
        The quote.
    at
        Now, with its zone.
    ends_at
        When it ends; `LINK_DAYS_AFTER_VALIDITY` days after the validity date unless told.

    Returns
    -------
    The token for the link. It is kept nowhere; a lost one is made anew.
    """
    require(shop, actor, Action.MAKE_LINK, at, number=quote.number)
    if ends_at is None:
        last = quote.valid_until + timedelta(days=LINK_DAYS_AFTER_VALIDITY)
        ends_at = datetime.combine(last, time(23, 59, 59), at.tzinfo)
    token = new_token(shop.folder)
    kept = token_hash(token)
    assert kept is not None, "made just above"
    shop.ledger.answers.make_link(quote.number, kept, ends_at, actor.name, at)
    return token


def revoke_links(shop: Shop, actor: Actor, quote: IssuedQuote, at: datetime) -> int:
    """Revoke every link to a quote; return how many were open."""
    require(shop, actor, Action.REVOKE_LINK, at, number=quote.number)
    return shop.ledger.answers.revoke_links(quote.number, actor.name, at)


def links(shop: Shop, actor: Actor, quote: IssuedQuote) -> tuple[Link, ...]:
    """Return the links to a quote, the last made first."""
    require(shop, actor, Action.MAKE_LINK, number=quote.number)
    return shop.ledger.answers.links(quote.number)


def open_link(shop: Shop, token: str, at: datetime, *, again: bool = False) -> IssuedQuote:
    """Open a customer's link.

    Parameters
    ----------
    shop
        The shop.
    token
        What the address holds.
    at
        Now, with its zone.
    again
        Whether this visitor opened it a moment ago, so that no second line is written. The
        link is checked all the same.

    Returns
    -------
    The last revision of the quote. The actor for what the visitor may do with it is
    `guard.customer(quote.number)`.

    Raises
    ------
    Trouble
        The same words for a token that was guessed, altered, has ended or was revoked.
    """
    kept = token_hash(token, shop.folder)
    link = None if kept is None else shop.ledger.answers.link(kept)
    if link is None:
        _note_forged(shop, at)
        raise _opens_nothing()
    why = "revoked" if link.revoked_at is not None else "ended" if at >= link.ends_at else None
    if why is not None:
        if not again:
            shop.ledger.journal.note(at, "customer", "link refused", link.number, {"why": why})
        raise _opens_nothing()
    quote = issued(shop, link.number)
    if not again:
        detail = {"revision": quote.revision}
        shop.ledger.journal.note(at, "customer", "open link", link.number, detail)
    return quote


# --- what came of it ----------------------------------------------------------------------


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
            f"{seen_on.isoformat()} is still to come", "", "Give the day on which it was seen."
        )
    return shop.ledger.answers.record_outcome(
        number,
        seen_on,
        actor.name,
        at,
        repair_held=repair_held,
        failed_on=failed_on,
        note=_checked_text(note, "note", LONGEST_REASON),
    )


def outcomes(shop: Shop, actor: Actor, number: str | None = None) -> tuple[Outcome, ...]:
    """Return what was recorded of one quote, or of all."""
    require(shop, actor, Action.RECORD_OUTCOME, number=number)
    return shop.ledger.answers.outcomes(number)


def life_records(shop: Shop, actor: Actor) -> tuple[LifeRecord, ...]:
    """Return what the shop knows of its heaters' lives, for a fit of its own.

    Parameters
    ----------
    shop
        The shop.
    actor
        The owner.

    Returns
    -------
    One record for each quote whose heater was seen again: the age at the quote, and the age
    at which it failed, or was last seen at work.
    """
    require(shop, actor, Action.SEE_BOOKS)
    found: list[LifeRecord] = []
    last: dict[str, Outcome] = {}
    for outcome in shop.ledger.answers.outcomes():
        before = last.get(outcome.number)
        if before is None or (before.failed_on is None and outcome.seen_on >= before.seen_on):
            last[outcome.number] = outcome
    for number, outcome in last.items():
        quote = shop.ledger.quote(number, 1)
        start = quote_results(quote).estimate.heater.age_years
        until = outcome.failed_on or outcome.seen_on
        watched = (until - quote.issued_at.date()).days / 365.25
        found.append(LifeRecord(number, start, start + watched, outcome.failed_on is not None))
    return tuple(found)


# --- what only the owner sees -------------------------------------------------------------


def owner_results(shop: Shop, actor: Actor, quote: IssuedQuote) -> OwnerEstimate:
    """Return what an issued quote said, with its costs and margins, for the owner."""
    require(shop, actor, Action.SEE_MARGINS, number=quote.number)
    return quote_results(quote)


def _answer(
    shop: Shop,
    actor: Actor,
    quote: IssuedQuote,
    choice: str,
    name: str,
    text: str,
    at: datetime,
) -> Answer:
    require(shop, actor, Action.ANSWER_QUOTE, at, number=quote.number)
    if len(name) > LONGEST_NAME or len(text) > LONGEST_TEXT:
        raise InputTrouble("The name or the text is too long", "", "Shorten it.")
    via = "door" if actor.number is None else "link"
    return shop.ledger.answers.keep(
        quote.number, quote.revision, choice, name, text, actor.name, via, at
    )


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


def _checked_text(text: str, what: str, longest: int) -> str:
    plain = text.strip()
    if len(plain) > longest:
        raise InputTrouble(
            f"The {what} has {len(plain)} characters; at most {longest} are kept", "", "Shorten it."
        )
    return plain


def _note_forged(shop: Shop, at: datetime) -> None:
    # A guesser must not be able to fill the journal: one line a minute tells as much.
    last = shop.ledger.journal.lines(1, action="link forged")
    if not last or abs(at - last[0].done_at) >= _FORGED_LINE_EVERY:
        shop.ledger.journal.note(at, "unknown", "link forged")


def _opens_nothing() -> LedgerTrouble:
    return LedgerTrouble("This link opens nothing", "", "Ask the shop for a new one.")


__all__ = [
    "DECLINED",
    "REPAIR",
    "AllowanceShown",
    "LifeRecord",
    "accept",
    "allowance_of",
    "allowances",
    "answer_to",
    "ask_allowance",
    "choices",
    "decide_allowance",
    "decline",
    "life_records",
    "links",
    "make_link",
    "open_link",
    "outcomes",
    "owner_results",
    "quote_state",
    "record_outcome",
    "revoke_links",
]
