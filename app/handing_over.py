"""Files that go with an issued quote: into a calendar, into the shop's accounting."""

from __future__ import annotations

from typing import TYPE_CHECKING

from app.customer_page import customers_view
from app.people.guard import require
from app.people.roles import Action
from app.quoting import quote_estimate, quote_visit

if TYPE_CHECKING:
    from datetime import datetime

    from app.documents.calendar import Kind
    from app.ledger.records import IssuedQuote
    from app.people.guard import Actor
    from app.shop import Shop


def calendar_file(
    shop: Shop,
    actor: Actor,
    quote: IssuedQuote,
    begins: datetime,
    minutes: int,
    at: datetime,
    *,
    kind: Kind = "work",
    language: str = "en",
) -> bytes:
    """Return the work on a quoted heater, or a follow-up, as a calendar file.

    Parameters
    ----------
    shop
        The shop.
    actor
        Who asks.
    quote
        The issued quote.
    begins
        When it begins, with its zone.
    minutes
        How long it takes [min].
    at
        Now, with its zone.
    kind
        ``work`` or ``follow_up``.
    language
        ``en`` or ``es``.

    Raises
    ------
    Trouble
        If the quote is not the actor's to see, or the time makes no sense.
    """
    from app.documents.calendar import work_event_ics  # noqa: PLC0415 - wanted here only

    view = customers_view(shop, actor, quote, at.date(), language=language)
    return work_event_ics(view, begins, minutes, at, kind=kind)


def ubl_file(shop: Shop, actor: Actor, quote: IssuedQuote, path: str) -> bytes:
    """Return one path of an issued quote as a UBL 2.1 Quotation.

    Parameters
    ----------
    shop
        The shop.
    actor
        Who asks.
    quote
        The issued quote.
    path
        One of `answering.choices`.

    Raises
    ------
    Trouble
        If the quote is not the actor's to see, or the path is closed.
    """
    from app.documents.ubl import QuotationMark, quotation_ubl  # noqa: PLC0415

    require(shop, actor, Action.SEE_QUOTE, number=quote.number)
    sheet = shop.ledger.rate_sheets.version(quote.rate_sheet_version).sheet
    mark = QuotationMark(quote.number, quote.revision, quote.issued_at.date(), quote.valid_until)
    return quotation_ubl(quote_visit(quote), quote_estimate(quote), sheet, mark, path=path)
