"""The words around a customer's answer on his page; they are said in his language."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Final

from app.language.marking import mark
from app.language.speech import Speech

if TYPE_CHECKING:
    from app.views.customer import CustomerView

AGREE_TO: Final = mark("This is the text that you sign")
TYPE_NAME: Final = mark("Type your name to sign")
SIGN: Final = mark("Sign")
SIGNED: Final = mark("This quote is answered. A changed quote would be a new one.")
SAVE_PDF: Final = mark("Save as PDF")
LANGUAGE: Final = mark("Language")
UNITS: Final = mark("Units")
REVISIONS: Final = mark("Other revisions of this quote")
REVISION: Final = mark("Revision {number}")
LAST_REVISION: Final = mark("Revision {number}, the last one")
NO_HURRY: Final = mark("Nothing is chosen yet. Take the time you need.")


@dataclass(frozen=True)
class RevisionShown:
    """Another revision of the quote on the page, in words."""

    revision: int
    label: str


def said(view: CustomerView, words: str) -> str:
    """Say words of this module in the language of a view."""
    return Speech(view.language, view.units).say(words)


def other_revisions(view: CustomerView, last: int) -> tuple[RevisionShown, ...]:
    """Return the revisions of a quote besides the one that is read, the last one first.

    Parameters
    ----------
    view
        What is read.
    last
        The number of the last revision.

    Returns
    -------
    One for each.
    """
    speech = Speech(view.language, view.units)
    return tuple(
        RevisionShown(each, speech.say(LAST_REVISION if each == last else REVISION, number=each))
        for each in range(last, 0, -1)
        if each != view.heading.revision
    )
