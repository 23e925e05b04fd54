"""The customer's own page of a quote: what he reads, and what his answer means to the ledger."""

from __future__ import annotations

import unicodedata
from typing import TYPE_CHECKING

from app.answering import accept, answer_to, decline
from app.ledger.entries import DECLINED
from app.ledger.entries import REPAIR as REPAIR_PATH
from app.people.guard import require
from app.people.roles import Action
from app.quoting import issued, quote_estimate, quote_supply, quote_visit
from app.views.customer import CustomerView, build_customer_view
from app.views.customer_acceptance import (
    NEITHER,
    REPAIR,
    REPLACE,
    Acceptance,
    agreement_text,
    hash_of,
)
from app.views.customer_sides import pick_compared
from app.views.customer_state import Issued

if TYPE_CHECKING:
    from datetime import date, datetime

    from app.ledger.entries import Answer
    from app.ledger.records import IssuedQuote
    from app.people.guard import Actor
    from app.shop import Shop
    from estimator.estimate import Estimate


def customers_view(
    shop: Shop,
    actor: Actor,
    quote: IssuedQuote,
    today: date,
    *,
    language: str = "en",
    units: str = "us",
    link: str | None = None,
) -> CustomerView:
    """Return what a customer reads of an issued quote today, with his answer if he gave one.

    Parameters
    ----------
    shop
        The shop.
    actor
        Who looks: the customer by his link, or who is signed in.
    quote
        The revision to show.
    today
        The day, at the shop.
    language
        ``en`` or ``es``.
    units
        ``us`` or ``si``.
    link
        The address of the customer's own page, for the QR code.

    Raises
    ------
    Trouble
        If it is another customer's quote.
    """
    require(shop, actor, Action.SEE_QUOTE, number=quote.number)
    sheet = shop.ledger.rate_sheets.version(quote.rate_sheet_version).sheet
    estimate = quote_estimate(quote)
    mark = Issued(
        number=quote.number,
        revision=quote.revision,
        issued_on=quote.issued_at.date(),
        valid_until=quote.valid_until,
        last_revision=last_revision(shop, actor, quote),
    )
    return build_customer_view(
        quote_visit(quote),
        estimate,
        sheet.shop,
        sheet.quote,
        mark,
        language=language,
        units=units,
        today=today,
        acceptance=_acceptance(answer_to(shop, actor, quote), estimate),
        customer_link=link,
        incentives=quote_supply(quote).incentives,
    )


def last_revision(shop: Shop, actor: Actor, quote: IssuedQuote) -> int:
    """Return the number of the last revision of a quote."""
    return issued(shop, actor, quote.number).revision


def agreed_text(view: CustomerView, choice: str) -> str:
    """Return the exact text that is agreed to, in the spelling that is kept and hashed."""
    return unicodedata.normalize("NFC", agreement_text(view, choice))


def answer(
    shop: Shop,
    actor: Actor,
    quote: IssuedQuote,
    choice: str,
    typed_name: str,
    text: str,
    at: datetime,
) -> Answer:
    """Keep a customer's answer as he gave it on his page.

    Parameters
    ----------
    shop
        The shop.
    actor
        Who has the screen in hand.
    quote
        The revision that was on the screen.
    choice
        One of the view's `choice_keys`.
    typed_name
        The name as typed.
    text
        The text that was on the screen.
    at
        Now, in the shop's zone.

    Raises
    ------
    Trouble
        If there is no name, or the quote can no longer be answered so.
    """
    if choice == NEITHER:
        return decline(shop, actor, quote, typed_name, text, at)
    path = {REPAIR: REPAIR_PATH, REPLACE: _compared_slug(quote_estimate(quote))}
    return accept(shop, actor, quote, path.get(choice, choice), typed_name, text, at)


def _compared_slug(estimate: Estimate) -> str:
    compared = pick_compared(estimate)
    return compared.slug if compared is not None else ""


def _acceptance(kept: Answer | None, estimate: Estimate) -> Acceptance | None:
    if kept is None:
        return None
    shown = {DECLINED: NEITHER, REPAIR_PATH: REPAIR, _compared_slug(estimate): REPLACE}
    choice = shown.get(kept.choice, kept.choice)
    at = kept.answered_at.astimezone()
    # Where the customer was erased, nothing that he signed is left; the answer itself is.
    text_hash = kept.text_hash or hash_of("")
    return Acceptance(choice, kept.typed_name, at, kept.agreed_text, text_hash)
