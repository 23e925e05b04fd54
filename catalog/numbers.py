"""Part numbers as people write them: read, folded, and how far one is from another."""

from __future__ import annotations

import hashlib
import re
import unicodedata
from typing import Final, NamedTuple

_FOLD = str.maketrans({"O": "0", "I": "1", "L": "1", "-": None, " ": None, ".": None, "/": None})
_LABEL = re.compile(r"^(P\s*/?\s*N|PART(\s+(NO|NUMBER|NR))?|NO|NR|NUMBER|#)(?=[\s.:#])[\s.:#]*|^#+")
_PARTED = re.compile(r"[^A-Z0-9]+")
_KEPT = re.compile(r"[^A-Z0-9]")

SHORTEST_FOR_SLIPS: Final = 4
"""Fewer characters than this could be nearly any number."""

LONGEST_FRONT: Final = 4
"""Most characters that a supplier puts before a number, and most letters that a worn number may
have lost there; common practice, no source."""

LOOK_ALIKE: Final = frozenset(
    frozenset(pair) for pair in ("8B", "5S", "2Z", "6G", "0D", "0Q", "1T", "17", "38", "68", "UV",
                                 "56", "9G", "4A", "MN", "PR", "EF", "CG", "VY", "39", "08", "69")
)  # fmt: skip
"""Characters that stand for each other on a worn stamp; common practice, no source."""

KEYPAD: Final = ("789", "456", "123")
"""Digits as they lie on a number pad: a finger slips to a neighbor."""


class Slip(NamedTuple):
    """How one number became another: how unlikely it is, and in words."""

    cost: float
    words: str


def fold(number: str) -> str:
    """Return a part number with everything set aside that is commonly mistaken.

    Parameters
    ----------
    number
        The number as typed, stamped or printed.

    Returns
    -------
    Upper case, without dashes, spaces, points and slashes; O read as 0, I and L as 1.
    """
    return number.upper().translate(_FOLD)


def read_number(text: str) -> str:
    """Return what is read of a number that somebody typed or pasted, folded.

    Parameters
    ----------
    text
        The text; "P/N" or "part no." before the number and any other sign are set aside.

    Returns
    -------
    Letters and digits; empty where there are none.
    """
    return _KEPT.sub("", fold(_LABEL.sub("", _plain(text))))


def written_groups(text: str) -> tuple[str, ...]:
    """Return the groups that dashes, spaces, points and slashes part a number into, folded.

    Parameters
    ----------
    text
        The number as typed or as its owner writes it.

    Returns
    -------
    The groups; none is empty.
    """
    plain = _LABEL.sub("", _plain(text))
    return tuple(fold(group) for group in _PARTED.split(plain) if group)


def _plain(text: str) -> str:
    """Return a text in upper case and one spelling, with the digits of every script as 0 to 9."""
    plain = unicodedata.normalize("NFKC", text).upper().strip()
    if plain.isascii():
        return plain
    return "".join(str(unicodedata.decimal(sign, sign)) for sign in plain)


def keeps_groups(typed: tuple[str, ...], meant: tuple[str, ...]) -> bool:
    """Say whether a number may have been slipped inside one group, dashes as they were.

    Parameters
    ----------
    typed, meant
        Groups of the number typed and of the one that may be meant.

    Returns
    -------
    True where at most one group differs, one was put before or lost there, or nothing was typed
    between them.
    """
    if len(typed) < 2 or typed[1:] == meant or typed == meant[1:]:
        return True
    same = sum(one == other for one, other in zip(typed, meant, strict=False))
    return len(typed) == len(meant) and same >= len(typed) - 1


def slip_hashes(folded: str) -> list[int]:
    """Return hashes of a folded number: whole, with each character left out, without a front.

    Parameters
    ----------
    folded
        The folded number.

    Returns
    -------
    The lower 64 bits of MD5, the same that a snapshot holds of its numbers: two numbers
    one slip apart have one in common. After a dash it is the end of longer ones.
    """
    most = min(LONGEST_FRONT, len(folded) - SHORTEST_FOR_SLIPS)
    held = {folded, f"-{folded}", *(folded[front:] for front in range(2, most + 1))}
    held |= {folded[:at] + folded[at + 1 :] for at in range(len(folded))}
    return [
        int.from_bytes(hashlib.md5(each.encode(), usedforsecurity=False).digest()[8:], "little")
        for each in sorted(held)
    ]


def slip_between(typed: str, meant: str, written: str = "") -> Slip | None:
    """Say how a number may have become the one typed.

    Parameters
    ----------
    typed, meant
        Folded numbers.
    written
        The number meant as its owner writes it: its letters are said as they stand there.

    Returns
    -------
    The slip, the likelier the lower its cost [1]; ``None`` where it takes more than one.
    A cut-off end costs more with each character that is missing, a front with each more.
    """
    if typed == meant:
        return Slip(0.0, "as typed")
    front = _front(typed, meant)
    if front:
        return Slip(0.9 + 0.1 * len(front), f"{front} stands before it")
    front = _front(meant, typed)
    if front:
        front = written[: len(front)].upper() or front
        return Slip(0.9 + 0.1 * len(front), f"{front} is missing before it")
    start = 0
    while start < min(len(typed), len(meant)) and typed[start] == meant[start]:
        start += 1
    end = 0
    most = min(len(typed), len(meant)) - start
    while end < most and typed[-1 - end] == meant[-1 - end]:
        end += 1
    has, wants = typed[start : len(typed) - end], meant[start : len(meant) - end]
    return _named(has, wants, typed, start)


def _front(whole: str, end: str) -> str:
    """Return what stands before an end, where it is more than a character and not too many."""
    front = whole.removesuffix(end)
    short = 1 < len(front) <= LONGEST_FRONT and len(end) >= SHORTEST_FOR_SLIPS
    return front if short and front != whole else ""


def _named(has: str, wants: str, typed: str, start: int) -> Slip | None:
    if len(has) == 2 and has == wants[::-1]:
        # Of all slips a tenth are swaps, but each digit has one neighbor and nine wrong values
        # (Verhoeff's counts of 1969, from memory): this one is likelier than any one of those.
        return Slip(0.95, f"{wants} was swapped to {has}")
    if len(has) == 1 and len(wants) == 1:
        return _wrong(has, wants)
    if len(has) == 1 and not wants:
        doubled = start > 0 and typed[start - 1] == has
        doubled |= start + 1 < len(typed) and typed[start + 1] == has
        return Slip(0.8, f"{has} was doubled") if doubled else Slip(1.1, f"{has} is too many")
    # One of a pair is lost in two ways that look the same, and more easily overlooked.
    pair = start > 0 and typed[start - 1] == wants
    if not has and start == len(typed):
        cost = 1.0 if pair else 0.85 + 0.2 * len(wants)
        return Slip(cost, f"{wants} is missing at the end")
    if not has and len(wants) == 1:
        return Slip(1.0 if pair else 1.1, f"{wants} was lost")
    return None


def _wrong(has: str, wants: str) -> Slip:
    words = f"{has} stands where {wants} is meant"
    if frozenset((has, wants)) in LOOK_ALIKE:
        return Slip(0.9, words)
    if has.isdigit() and wants.isdigit():
        return Slip(1.0 if _beside(has, wants) else 1.2, words)
    return Slip(1.3 if has.isdigit() == wants.isdigit() else 1.5, words)


def _beside(one: str, other: str) -> bool:
    places = {digit: (r, c) for r, row in enumerate(KEYPAD) for c, digit in enumerate(row)}
    places["0"] = (3, 0)
    (row, column), (other_row, other_column) = places[one], places[other]
    return abs(row - other_row) + abs(column - other_column) == 1
