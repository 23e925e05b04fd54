"""The list of issued quotes."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Final

from app import formatting
from app.views.customer_state import OUT_OF_FORCE

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping

    from app.ledger.records import QuoteSummary
    from app.views.fields import Tone

VERDICTS: Final[dict[str, tuple[str, Tone]]] = {
    "repair": ("Repair cheaper", "good"),
    "replace": ("Replace cheaper", "good"),
    "either": ("Either", "plain"),
    "closed": ("Repair closed", "stop"),
}
STATES: Final[dict[str, tuple[str, Tone]]] = {
    "issued": ("Waits for an answer", "plain"),
    "accepted": ("Accepted", "good"),
    "declined": ("Declined", "plain"),
    "lapsed": ("Lapsed: revise it to offer it again", "check"),
    "superseded": ("A later revision took its place", "check"),
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
    state: str
    state_tone: Tone
    holds: str


def build_quotes_view(
    quotes: Iterable[QuoteSummary], states: Mapping[int, str]
) -> tuple[QuoteRow, ...]:
    """Build the list of issued quotes.

    Parameters
    ----------
    quotes
        Quotes of the ledger, newest first.
    states
        Sequence of a quote → where it stands today.

    Returns
    -------
    One row for each.
    """
    return tuple(_row(quote, states[quote.sequence]) for quote in quotes)


def _row(quote: QuoteSummary, state: str) -> QuoteRow:
    word, tone = VERDICTS[quote.verdict]
    until = formatting.long_date(quote.valid_until)
    said, state_tone = STATES[state]
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
        state=said,
        state_tone=state_tone,
        holds=f"Held until {until}" if state in OUT_OF_FORCE else f"Holds until {until}",
    )
