"""An issued quote taken up again: its visit as a draft, whose quote is the next revision."""

from __future__ import annotations

import json
from typing import TYPE_CHECKING

from app.people.guard import require
from app.people.roles import Action
from app.visiting import start_visit

if TYPE_CHECKING:
    from datetime import datetime

    from app.ledger.records import Draft, IssuedQuote
    from app.people.guard import Actor
    from app.shop import Shop


def revise_quote(shop: Shop, actor: Actor, quote: IssuedQuote, at: datetime) -> Draft:
    """Start a draft from an issued quote; what is issued from it is its next revision.

    Parameters
    ----------
    shop
        The shop.
    actor
        Who takes it up.
    quote
        The quote; it stays as it is, and can be read.
    at
        Now, with its zone. The draft is of this day, and so at this day's rates.

    Returns
    -------
    The draft, with all that the visit held.

    Raises
    ------
    Trouble
        If it is not the actor's to do.
    """
    require(shop, actor, Action.ISSUE_QUOTE, at, number=quote.number)
    payload = json.loads(quote.inputs_json)
    payload["revises"] = quote.number
    payload["visit"]["date"] = at.date().isoformat()
    return start_visit(shop, actor, at, payload)
