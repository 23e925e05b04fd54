"""Issued quotes worked out again from what the ledger keeps, and held against it."""

from __future__ import annotations

from typing import TYPE_CHECKING

from app.ledger.canonical import canonical_json
from app.people.guard import Actor, require
from app.people.roles import Action
from app.quoting import quote_supply, quote_visit
from app.version import program_version
from estimator.errors import LedgerTrouble
from estimator.estimating import estimate_case

if TYPE_CHECKING:
    from app.ledger.records import IssuedQuote, JournalHead, VerifyReport
    from app.shop import Shop
    from estimator.rates import RateSheetVersion


def verify_ledger(shop: Shop, actor: Actor, anchor: JournalHead | None = None) -> VerifyReport:
    """Check the ledger and work every quote again from what it keeps.

    Parameters
    ----------
    shop
        The shop.
    actor
        Who asks.
    anchor
        The journal's head as it was taken down outside of the ledger some day.

    Returns
    -------
    What was checked and every problem found.
    """
    require(shop, actor, Action.VERIFY_LEDGER)
    return shop.ledger.verify(replay, anchor=anchor, program_version=program_version())


def replay(quote: IssuedQuote, rate_sheet: RateSheetVersion) -> str:
    """Work an issued quote again from its inputs, its supply and its rate sheet.

    Parameters
    ----------
    quote
        The issued quote.
    rate_sheet
        The version that it names.

    Returns
    -------
    The results as canonical JSON, to be held against the stored ones.

    Raises
    ------
    LedgerTrouble
        If what is stored can no longer be read.
    """
    try:
        visit = quote_visit(quote)
        supply = quote_supply(quote)
    except ValueError as refused:
        raise LedgerTrouble(
            f"Quote {quote.number} holds inputs that can no longer be read", "the ledger"
        ) from refused
    again = estimate_case(visit.case(), supply, rate_sheet.sheet, visit.visit.date)
    return canonical_json(again)
