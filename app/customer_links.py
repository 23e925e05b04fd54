"""Links by which a customer sees his quote without signing in, and nothing else."""

from __future__ import annotations

from datetime import datetime, time, timedelta
from typing import TYPE_CHECKING

from app.links import new_token, token_hash
from app.people.guard import Actor, require
from app.people.roles import Action
from estimator.errors import LedgerTrouble

if TYPE_CHECKING:
    from app.ledger.entries import Link
    from app.ledger.records import IssuedQuote
    from app.shop import Shop

LINK_DAYS_AFTER_VALIDITY = 30
_FORGED_LINE_EVERY = timedelta(minutes=1)


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
    shop.ledger.links.make(quote.number, kept, ends_at, actor.name, at)
    return token


def revoke_links(shop: Shop, actor: Actor, quote: IssuedQuote, at: datetime) -> int:
    """Revoke every link to a quote; return how many were open."""
    require(shop, actor, Action.REVOKE_LINK, at, number=quote.number)
    return shop.ledger.links.revoke(quote.number, actor.name, at)


def links(shop: Shop, actor: Actor, quote: IssuedQuote) -> tuple[Link, ...]:
    """Return the links to a quote, the last made first."""
    require(shop, actor, Action.MAKE_LINK, number=quote.number)
    return shop.ledger.links.of(quote.number)


def open_link(
    shop: Shop,
    token: str,
    at: datetime,
    *,
    again: bool = False,
    revision: int | None = None,
) -> IssuedQuote:
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
    revision
        An earlier revision of the same quote, to be read again; the last one unless told.

    Returns
    -------
    The revision of the quote. The actor for what the visitor may do with it is
    `guard.customer(quote.number)`.

    Raises
    ------
    Trouble
        The same words for a token that was guessed, altered, has ended or was revoked.
    """
    kept = token_hash(token, shop.folder)
    link = None if kept is None else shop.ledger.links.by_hash(kept)
    if link is None:
        _note_forged(shop, at)
        raise _opens_nothing()
    why = "revoked" if link.revoked_at is not None else "ended" if at >= link.ends_at else None
    if why is not None:
        if not again:
            shop.ledger.journal.note(at, "customer", "link refused", link.number, {"why": why})
        raise _opens_nothing()
    quote = shop.ledger.quotes.get(link.number, None)
    if revision is not None and 1 <= revision < quote.revision:
        quote = shop.ledger.quotes.get(link.number, revision)
    if not again:
        detail = {"revision": quote.revision}
        shop.ledger.journal.note(at, "customer", "open link", link.number, detail)
    return quote


def _note_forged(shop: Shop, at: datetime) -> None:
    # A guesser must not be able to fill the journal: one line a minute tells as much.
    last = shop.ledger.journal.lines(1, action="link forged")
    if not last or abs(at - last[0].done_at) >= _FORGED_LINE_EVERY:
        shop.ledger.journal.note(at, "unknown", "link forged")


def _opens_nothing() -> LedgerTrouble:
    return LedgerTrouble("This link opens nothing", "", "Ask the shop for a new one.")
