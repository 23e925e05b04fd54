"""Accepting or declining a quote: the exact text agreed to, and what was signed."""

from __future__ import annotations

import unicodedata
from dataclasses import dataclass
from hashlib import sha256
from typing import TYPE_CHECKING

from app.language.speech import Speech
from app.views import customer_words as words
from estimator.errors import InputTrouble

if TYPE_CHECKING:
    from datetime import datetime

    from app.views.customer import CustomerView

REPAIR, REPLACE, NEITHER = "repair", "replace", "neither"
"""What may be chosen: the repair, the new heater compared with it, neither. Another new heater
is chosen by its slug."""


@dataclass(frozen=True)
class Acceptance:
    """What a customer signed: the choice, his typed name, when, and the exact text.

    `choice` is one that the quote offered; `at` has its zone; `agreed_hash` is `hash_of` of
    `agreed_text`, which for a decline is what he declined in. An answer whose
    customer was erased has neither name nor text, and declines of old have no text.
    """

    choice: str
    typed_name: str
    at: datetime
    agreed_text: str
    agreed_hash: str


@dataclass(frozen=True)
class AcceptanceShown:
    """What was signed, as finished text; `agreed_text` is word for word."""

    title: str
    choice: str
    name: str
    at: str
    agreed_text: str
    agreed_hash: str


def agreement_text(view: CustomerView, choice: str) -> str:
    """Write the exact text that a customer agrees to.

    Parameters
    ----------
    view
        The view that he reads, in his language.
    choice
        One of the view's `choice_keys`.

    Returns
    -------
    The text, one sentence a line, in the language of the view.

    Raises
    ------
    InputTrouble
        If the view offers no such choice: a draft, a quote that has lapsed or was revised, a
        closed path.
    """
    if choice not in view.choice_keys:
        raise InputTrouble(
            f"“{choice}” cannot be chosen on this quote",
            "",
            "Choose one that the quote offers; one that has lapsed or was revised offers none.",
        )
    speech = Speech(view.language, view.units)
    head = view.heading
    lines = [
        speech.say(
            words.AGREE_HEAD,
            number=head.number,
            revision=head.revision,
            shop=view.shop.name,
            day=head.issued_on,
        ),
        speech.say(words.AGREE_CHOICE, choice=view.choices[view.choice_keys.index(choice)]),
        speech.say(words.AGREE_NO_WORK if choice == NEITHER else words.AGREE_WORK),
    ]
    if view.cautions:
        lines.append(speech.say(words.AGREE_SAFETY))
    lines.append(head.valid_text)
    if view.terms:
        lines.append(speech.say(words.AGREE_TERMS, terms=view.terms))
    return "\n".join(lines)


def hash_of(text: str) -> str:
    """Return the SHA-256 of a text in UTF-8, composed (NFC), as hexadecimal digits.

    Parameters
    ----------
    text
        The text agreed to.

    Returns
    -------
    64 digits.
    """
    return sha256(unicodedata.normalize("NFC", text).encode()).hexdigest()


def show_acceptance(acceptance: Acceptance, speech: Speech) -> AcceptanceShown:
    """Put what was signed into finished text.

    Parameters
    ----------
    acceptance
        What was signed.
    speech
        The language of the view that shows it; the text agreed to stays in its own.

    Returns
    -------
    The finished text.

    Raises
    ------
    InputTrouble
        If the text is not the one that was signed, or nothing was chosen.
    """
    declined = acceptance.choice == NEITHER
    nameless = acceptance.agreed_text and not (declined or acceptance.typed_name.strip())
    if not acceptance.choice or nameless:
        raise InputTrouble(
            "An acceptance needs a choice and a typed name", "the acceptance", "Sign again."
        )
    if hash_of(acceptance.agreed_text) != acceptance.agreed_hash:
        raise InputTrouble(
            "The text agreed to is not the one that was signed",
            "the acceptance",
            "Check the ledger with `heater ledger verify`.",
        )
    chosen = {REPAIR: words.LABELS["repair"], NEITHER: words.CHOOSE_NEITHER}
    return AcceptanceShown(
        title=speech.say(words.WHAT_WAS_DECLINED if declined else words.WHAT_WAS_AGREED),
        choice=speech.say(chosen.get(acceptance.choice, words.LABELS["replace"])),
        name=acceptance.typed_name,
        at=speech.formats.moment(acceptance.at),
        agreed_text=acceptance.agreed_text,
        agreed_hash=acceptance.agreed_hash,
    )
