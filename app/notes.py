"""Free words that a person may add for the books."""

from __future__ import annotations

from estimator.errors import InputTrouble

LONGEST_NOTE = 500
"""Characters."""


def checked_note(text: str, what: str) -> str:
    """Return a note without the spaces around it; refuse one that is too long.

    Parameters
    ----------
    text
        As it was typed.
    what
        What it is, for the message; the field that a refusal is about is called so too.

    Raises
    ------
    InputTrouble
        If it has more than `LONGEST_NOTE` characters.
    """
    plain = text.strip()
    if len(plain) > LONGEST_NOTE:
        raise InputTrouble(
            f"The {what} has {len(plain)} characters; at most {LONGEST_NOTE} are kept",
            "",
            "Shorten it.",
            field=what,
        )
    return plain
