"""A customer's own data as the owner reads it before he gives it out or erases it."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from app import formatting

if TYPE_CHECKING:
    from collections.abc import Iterable

    from app.ledger.customers import Erased
    from app.ledger.records import IssuedQuote


@dataclass(frozen=True)
class FoundQuote:
    """One quote that was found; `label` is what is ticked, `erased` whether nothing is left."""

    number: str
    label: str
    erased: bool


def build_found_quotes(quotes: Iterable[IssuedQuote]) -> tuple[FoundQuote, ...]:
    """Build the list of what was found."""
    return tuple(_found(quote) for quote in quotes)


def _found(quote: IssuedQuote) -> FoundQuote:
    erased = quote.erased_at is not None
    who = "erased" if erased else quote.customer_name or "no name"
    day = formatting.long_date(quote.issued_at.astimezone().date())
    about = "" if erased or not quote.title else f", {quote.title}"
    return FoundQuote(quote.number, f"{quote.number}, {who}, {day}{about}", erased)


def erased_words(gone: Erased) -> str:
    """Say how much was emptied or taken away."""
    counts = (
        (gone.quotes, "quote emptied of the customer", "quotes emptied of the customer"),
        (gone.answers, "answer emptied", "answers emptied"),
        (gone.notes, "note emptied", "notes emptied"),
        (gone.photos, "photo taken away", "photos taken away"),
        (gone.drafts, "visit under way taken away", "visits under way taken away"),
        (gone.links, "link revoked", "links revoked"),
    )
    said = [f"{count} {one if count == 1 else many}" for count, one, many in counts if count]
    return f"{', '.join(said)}." if said else "Nothing was left to erase."
