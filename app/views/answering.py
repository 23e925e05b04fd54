"""The words around a customer's answer on his page; they are said in his language."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from app.language.marking import mark
from app.language.speech import Speech

if TYPE_CHECKING:
    from app.views.customer import CustomerView

AGREE_TO: Final = mark("You agree to this text")
TYPE_NAME: Final = mark("Type your name to sign")
SIGN: Final = mark("Sign")
SIGNED: Final = mark("This quote is answered. A changed quote would be a new one.")
SAVE_PDF: Final = mark("Save as PDF")
LANGUAGE: Final = mark("Language")
UNITS: Final = mark("Units")
NO_HURRY: Final = mark("Nothing is chosen yet. Take the time you need.")


def said(view: CustomerView, words: str) -> str:
    """Say words of this module in the language of a view."""
    return Speech(view.language, view.units).say(words)
