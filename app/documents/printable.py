"""Text made fit to be set in type or sent to a terminal, whatever was typed."""

from __future__ import annotations

import re
import unicodedata
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from collections.abc import Callable

# A run longer than this gets places where a line may break, or it would leave its column.
LONGEST_RUN = 20
SOFT_BREAK = "\N{ZERO WIDTH SPACE}"
UNKNOWN = "\N{REPLACEMENT CHARACTER}"

# They turn the direction of all that follows, amounts of money too.
DIRECTION_MARKS = frozenset("\u202a\u202b\u202c\u202d\u202e\u2066\u2067\u2068\u2069")

_RUN = re.compile(rf"\S{{{LONGEST_RUN}}}(?=\S)")


def printable(value: Any, drawn: Callable[[str], str] = str) -> Any:
    """Make every string inside nested lists, tuples and mappings fit to be printed.

    Parameters
    ----------
    value
        Strings, numbers, ``None``, or lists, tuples and mappings of them.
    drawn
        What more is done to each string before it may be broken into lines.

    Returns
    -------
    The same structure, with lists for tuples.
    """
    if isinstance(value, str):
        return printable_text(drawn(value))
    if isinstance(value, dict):
        return {key: printable(inner, drawn) for key, inner in value.items()}
    if isinstance(value, list | tuple):
        return [printable(inner, drawn) for inner in value]
    return value


def printable_text(text: str) -> str:
    r"""Make one string fit to be printed.

    Parameters
    ----------
    text
        Any string, as typed.

    Returns
    -------
    The text with line ends as ``\n``, tabs as spaces, no other control characters and no
    marks that turn the direction of writing; a replacement character for what is no
    character; and places to break inside long runs without a space.
    """
    lines = text.replace("\r\n", "\n").replace("\r", "\n").replace("\t", " ")
    kept = "".join(_character(character) for character in lines)
    return _RUN.sub(lambda run: run.group() + SOFT_BREAK, kept)


def _character(character: str) -> str:
    if character == "\n" or (character.isascii() and character.isprintable()):
        return character
    kind = unicodedata.category(character)
    if kind == "Cc" or character in DIRECTION_MARKS:
        return ""
    return UNKNOWN if kind in ("Cs", "Cn") else character
