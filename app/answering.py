"""What the customer says to a quote: this path, that one, or neither."""

from __future__ import annotations

from typing import TYPE_CHECKING

from app.ledger.entries import DECLINED
from app.ledger.facts import open_paths
from app.people.guard import Actor, require
from app.people.roles import Action
from estimator.errors import InputTrouble

if TYPE_CHECKING:
    from collections.abc import Sequence
    from datetime import date, datetime

    from app.ledger.entries import Answer
    from app.ledger.records import IssuedQuote, QuoteSummary
    from app.shop import Shop

LONGEST_NAME = 200
LONGEST_TEXT = 20_000


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
    name = _name(typed_name)
    if not agreed_text.strip():
        raise InputTrouble("There is no text to sign", "", "Open the quote again.")
    if choice == DECLINED:
        raise InputTrouble("Declining is no path to accept", "", "Choose one of the paths.")
    return _answer(shop, actor, quote, choice, name, agreed_text, at)


def decline(
    shop: Shop,
    actor: Actor,
    quote: IssuedQuote,
    typed_name: str,
    declined_text: str,
    at: datetime,
) -> Answer:
    """Keep that the customer wants none of the paths, in the exact words he declined in.

    Parameters
    ----------
    shop
        The shop.
    actor
        Who has the screen in hand.
    quote
        The revision that was on the screen.
    typed_name
        The name as the customer typed it.
    declined_text
        The exact text that was on the screen; it is kept with its SHA-256.
    at
        Now, in the shop's zone.

    Raises
    ------
    Trouble
        If there is no name or no text, or the quote was revised, has lapsed or was answered
        already.
    """
    name = _name(typed_name)
    if not declined_text.strip():
        raise InputTrouble("There is no text to sign", "", "Open the quote again.")
    return _answer(shop, actor, quote, DECLINED, name, declined_text, at)


def choices(quote: IssuedQuote) -> dict[str, str]:
    """Return the paths that a quote leaves open: ``repair`` or a replacement's slug → name."""
    return open_paths(quote.results_json)


def answer_to(shop: Shop, actor: Actor, quote: IssuedQuote) -> Answer | None:
    """Return the customer's answer to a revision, or ``None``."""
    require(shop, actor, Action.SEE_QUOTE, number=quote.number)
    return shop.ledger.answers.of(quote.number, quote.revision)


def quote_state(shop: Shop, actor: Actor, quote: IssuedQuote, day: date) -> str:
    """Return a revision's state: issued, accepted, declined, lapsed or superseded."""
    require(shop, actor, Action.SEE_QUOTE, number=quote.number)
    return shop.ledger.answers.state(quote.number, quote.revision, day)


def states(shop: Shop, actor: Actor, listed: Sequence[QuoteSummary], day: date) -> dict[int, str]:
    """Return where each quote of a list stands on a day, by its sequence."""
    require(shop, actor, Action.LIST_QUOTES)
    first = min((quote.sequence for quote in listed), default=None)
    return {} if first is None else shop.ledger.answers.states(day, since=first)


def _name(typed: str) -> str:
    name = " ".join(typed.split())
    if not name:
        raise InputTrouble("There is no name", "", "Type your name to sign.")
    return name


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
