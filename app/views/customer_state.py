"""Where a quote stands for its customer: open, answered, lapsed, or taken the place of."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Final

from app.views import customer_words as words
from app.views.customer_acceptance import NEITHER

if TYPE_CHECKING:
    from datetime import date

    from app.language.speech import Speech
    from app.views.customer_acceptance import Acceptance
    from estimator.rates import QuoteTerms

DRAFT: Final = "draft"
ISSUED: Final = "issued"
ACCEPTED: Final = "accepted"
DECLINED: Final = "declined"
LAPSED: Final = "lapsed"
SUPERSEDED: Final = "superseded"
"""The states of the ledger under the same names, and one for what is not issued."""

OUT_OF_FORCE: Final = frozenset({LAPSED, SUPERSEDED})


@dataclass(frozen=True)
class Issued:
    """The mark of an issued quote: its number, revision, and the days it holds.

    `last_revision` is the last one that there is of its number; ``None`` where this is it.
    """

    number: str
    revision: int
    issued_on: date
    valid_until: date
    last_revision: int | None = None

    @property
    def superseded(self) -> bool:
        """Whether a later revision took the place of this one."""
        return self.last_revision is not None and self.last_revision > self.revision


def state_of(issued: Issued | None, today: date | None, acceptance: Acceptance | None) -> str:
    """Return where a quote stands.

    Parameters
    ----------
    issued
        Its mark; ``None`` for a draft.
    today
        The day on which it is read; without it nothing has lapsed.
    acceptance
        What the customer answered, if he did. What was answered in time does not lapse.

    Returns
    -------
    One of the states, as the ledger tells them.
    """
    if issued is None:
        return DRAFT
    if issued.superseded:
        return SUPERSEDED
    if acceptance is not None:
        return DECLINED if acceptance.choice == NEITHER else ACCEPTED
    return LAPSED if today is not None and today > issued.valid_until else ISSUED


def validity(issued: Issued | None, state: str, terms: QuoteTerms, speech: Speech) -> str:
    """Say how long the prices hold, or why they no longer do and what to do then.

    Parameters
    ----------
    issued
        The mark of the quote; ``None`` for a draft.
    state
        Where it stands.
    terms
        How long the shop's prices hold, for a draft.
    speech
        The language.

    Returns
    -------
    One or two sentences.
    """
    if issued is None:
        return speech.say(words.VALID_DAYS, days=terms.valid_days)
    if state == SUPERSEDED:
        return speech.say(words.SUPERSEDED, revision=issued.revision, last=issued.last_revision)
    said = words.LAPSED if state == LAPSED else words.VALID_UNTIL
    return speech.say(said, day=speech.formats.long_date(issued.valid_until))
