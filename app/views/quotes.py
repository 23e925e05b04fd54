"""The list of issued quotes."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Final

from app import formatting

if TYPE_CHECKING:
    from collections.abc import Iterable
    from datetime import date

    from app.ledger.records import QuoteSummary
    from app.views.fields import Tone

VERDICTS: Final[dict[str, tuple[str, Tone]]] = {
    "repair": ("Repair cheaper", "good"),
    "replace": ("Replace cheaper", "good"),
    "either": ("Either", "plain"),
    "closed": ("Repair closed", "stop"),
}


@dataclass(frozen=True)
class QuoteRow:
    """An issued quote in the list."""

    number: str
    revision: str
    customer: str
    about: str
    verdict: str
    verdict_tone: Tone
    repair: str
    replace: str
    holds: str
    lapsed: bool


def build_quotes_view(quotes: Iterable[QuoteSummary], today: date) -> tuple[QuoteRow, ...]:
    """Build the list of issued quotes.

    Parameters
    ----------
    quotes
        Quotes of the ledger, newest first.
    today
        The day; a quote past its validity date has lapsed.

    Returns
    -------
    One row for each.
    """
    return tuple(_row(quote, today) for quote in quotes)


def _row(quote: QuoteSummary, today: date) -> QuoteRow:
    word, tone = VERDICTS[quote.verdict]
    until = formatting.long_date(quote.valid_until)
    lapsed = quote.valid_until < today
    issued = formatting.long_date(quote.issued_at.astimezone().date())
    return QuoteRow(
        number=quote.number,
        revision=f"revision {quote.revision}" if quote.revision > 1 else "",
        customer=quote.customer_name or quote.title or "No name",
        about=f"Issued {issued} by {quote.issued_by}",
        verdict=word,
        verdict_tone=tone,
        repair="closed" if quote.repair_price is None else formatting.money(quote.repair_price),
        replace="closed" if quote.replace_price is None else formatting.money(quote.replace_price),
        holds=f"Lapsed on {until}" if lapsed else f"Holds until {until}",
        lapsed=lapsed,
    )
