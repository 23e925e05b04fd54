"""What a customer may be told when something on his page cannot be done.

The sentences are those of the troubles that answering and links raise, as templates that
`app.language.templates` reads. Whatever else goes wrong is not his to mend: he is told so in
one sentence, with a reference for the shop, and nothing of the shop's inside.
"""

from __future__ import annotations

from typing import Final

from app.language.marking import mark
from app.language.speech import Speech
from estimator.errors import Trouble

NOT_NOW: Final = mark(
    "This could not be done just now. Try again in a moment. If it stays so, tell the shop this "
    "reference: {reference}."
)


def said_to_customer(problem: Exception, language: str) -> str | None:
    """Say a trouble to a customer in his language.

    Parameters
    ----------
    problem
        What was raised.
    language
        ``en`` or ``es``.

    Returns
    -------
    The message; ``None`` for what is not a customer's to know.
    """
    if not isinstance(problem, Trouble):
        return None
    # What is wrong and how to mend it apart: a name in the one must not swallow the other.
    fault = str(Trouble(problem.what, problem.where))
    said = [Speech(language).find(text) for text in (fault, problem.mend) if text]
    return None if None in said else " ".join(text for text in said if text)


def not_now(reference: str, language: str) -> str:
    """Say to a customer that something failed which he cannot mend."""
    return Speech(language).say(NOT_NOW, reference=reference)
