"""The customer's own page of a quote: what he reads, and what his answer means to the ledger."""

from __future__ import annotations

import unicodedata
from typing import TYPE_CHECKING

from app.answering import accept, answer_to, decline
from app.ledger.entries import DECLINED
from app.ledger.entries import REPAIR as REPAIR_PATH
from app.people.guard import require
from app.people.roles import Action
from app.quoting import quote_results, quote_visit
from app.views.customer import Acceptance, CustomerView, Issued, build_customer_view
from app.views.customer_acceptance import NEITHER, REPAIR, REPLACE, agreement_text
from app.views.customer_sides import pick_compared
from estimator.errors import InputTrouble

if TYPE_CHECKING:
    from datetime import date, datetime

    from app.ledger.entries import Answer
    from app.ledger.records import IssuedQuote
    from app.people.guard import Actor
    from app.shop import Shop


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
    sheet = shop.ledger.rate_sheet(quote.rate_sheet_version).sheet
    return build_customer_view(
        quote_visit(quote),
        quote_results(quote).estimate,
        sheet.shop,
        sheet.quote,
        Issued(quote.number, quote.revision, quote.issued_at.date(), quote.valid_until),
        language=language,
        units=units,
        today=today,
        acceptance=_acceptance(answer_to(shop, quote)),
        customer_link=link,
    )


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
    if not typed_name.strip():
        raise InputTrouble("There is no name", "", "Type your name to sign.")
    if choice == NEITHER:
        return decline(shop, actor, quote, typed_name, at)
    compared = pick_compared(quote_results(quote).estimate)
    slug = compared.slug if compared is not None else ""
    path = REPAIR_PATH if choice == REPAIR else slug
    return accept(shop, actor, quote, path, typed_name, text, at)


def _acceptance(kept: Answer | None) -> Acceptance | None:
    if kept is None or not kept.typed_name.strip():
        return None
    choice = {DECLINED: NEITHER, REPAIR_PATH: REPAIR}.get(kept.choice, REPLACE)
    at = kept.answered_at.astimezone()
    return Acceptance(choice, kept.typed_name, at, kept.agreed_text, kept.text_hash)
