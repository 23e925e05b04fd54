"""Slips in part numbers: every text that one kind of slip makes of a number, and how often."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Iterable, Iterator
from itertools import pairwise
from string import ascii_uppercase

from catalog.numbers import fold, read_number
from tests.bench.dense_catalog import SHARES

LETTERS = "ABCDEFGHJKMNPQRSTUVWXYZ"
SIGNS = f"0123456789{LETTERS}IL"
FAMILIES = tuple(prefix for prefix, _ in SHARES.values())
FRONTS = ("QX-", "77-", "B2K", "ZUKR ")
"""What suppliers of their own invention put before a number."""


def _places(number: str) -> list[int]:
    return [at for at, sign in enumerate(number) if sign.isalnum()]


def _wrong(number: str) -> Iterator[tuple[str, float]]:
    for at in _places(number):
        kind = "0123456789" if number[at].isdigit() else LETTERS
        others = [sign for sign in kind if sign != number[at]]
        for other in others:
            yield number[:at] + other + number[at + 1 :], 1 / len(others)


def _lost(number: str) -> Iterator[tuple[str, float]]:
    return ((number[:at] + number[at + 1 :], 1.0) for at in _places(number))


def _doubled(number: str) -> Iterator[tuple[str, float]]:
    return ((number[:at] + number[at] + number[at:], 1.0) for at in _places(number))


def _swapped(number: str) -> Iterator[tuple[str, float]]:
    places = _places(number)
    for one, two in pairwise(places):
        signs = list(number)
        signs[one], signs[two] = signs[two], signs[one]
        yield "".join(signs), 1.0


def _written(number: str) -> Iterator[tuple[str, float]]:
    yield number.lower().translate(str.maketrans("01-", "oI ")), 1.0


def _before(number: str) -> Iterator[tuple[str, float]]:
    return ((front + number, 1.0) for front in FRONTS)


def _front_missing(number: str) -> Iterator[tuple[str, float]]:
    yield number.lstrip(ascii_uppercase), 1.0


def _end_missing(number: str) -> Iterator[tuple[str, float]]:
    yield number[:-1], 1.0


SLIPS: dict[str, Callable[[str], Iterable[tuple[str, float]]]] = {
    "wrong": _wrong,
    "lost": _lost,
    "doubled": _doubled,
    "swapped": _swapped,
    "case, dashes, O and I": _written,
    "something before it": _before,
    "letters before it missing": _front_missing,
    "last character missing": _end_missing,
}


def slips(kind: str, number: str) -> dict[str, float]:
    """Every text that a kind of slip makes of a number, with its probability."""
    found = defaultdict[str, float](float)
    for text, weight in SLIPS[kind](number):
        if text != number:
            found[text] += weight
    return {text: weight / sum(found.values()) for text, weight in found.items()}


def most_possible(kind: str, typed: str, by_folded: dict[str, list[str]], first: int) -> float:
    """The chance that the number meant is among the first, in the best of all orders.

    That order knows the kind of slip, and how often that kind makes this text of each number
    there is; nobody who has the text alone can have the number meant among the first oftener.
    """
    read = read_number(typed)
    places = range(len(read) + 1)
    could = {
        "wrong": lambda: (
            read[:at] + sign + read[at + 1 :] for at in places[:-1] for sign in SIGNS
        ),
        "lost": lambda: (read[:at] + sign + read[at:] for at in places for sign in SIGNS),
        "doubled": lambda: (read[:at] + read[at + 1 :] for at in places[:-1]),
        "swapped": lambda: (
            read[:at] + read[at : at + 2][::-1] + read[at + 2 :] for at in places[:-2]
        ),
        "case, dashes, O and I": lambda: (read,),
        "something before it": lambda: (read[at:] for at in range(1, 5)),
        "letters before it missing": lambda: (fold(front) + read for front in FAMILIES),
        "last character missing": lambda: (read + sign for sign in SIGNS),
    }[kind]()
    meant = {number for folded in set(could) for number in by_folded.get(folded, ())}
    weights = sorted((slips(kind, number).get(typed, 0.0) for number in meant), reverse=True)
    return sum(weights[:first]) / sum(weights)
