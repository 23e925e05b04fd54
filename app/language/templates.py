"""Sentences with named slots: told apart by their fixed words, filled again in a language.

A slot is written ``{name:kind}``. The kind says what may stand in it, and how that is
written again: a number by the locale, a measure in the units asked for, a phrase or
several sentences by their own templates. In a translation the slot is ``{name}`` alone.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from functools import cached_property
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from app.formatting import Formats

_SLOT = re.compile(r"\{(\w+):(\w+)\}")
_NUMBER = r"[\u2212-]?\d[\d,]*(?:\.\d+)?"
_ANYTHING = r".+?"

SHORT_UNITS = {
    "gal": "gal",
    "in_wc": "in wc",
    "ft3": "ft³",
    "btu_per_h": "Btu/h",
    "inches": "in",
}
"""Kind of slot → the unit that stands after its number."""

PATTERNS = {
    "number": _NUMBER,
    "money": r"[\u2212-]?\$\d[\d,]*(?:\.\d\d)?",
    "percent": rf"{_NUMBER}%",
    "f": rf"{_NUMBER} °F",
    "in_wc_bare": _NUMBER,
    "ohms": rf"{_NUMBER} ohm|no end of ohms",
    "day": r"\d{4}-\d\d-\d\d",
    "kept": _ANYTHING,
    "name": _ANYTHING,
    "phrase": _ANYTHING,
    "list": _ANYTHING,
    "sentences": _ANYTHING,
} | {kind: f"{_NUMBER} {re.escape(unit)}" for kind, unit in SHORT_UNITS.items()}

WORDED = frozenset({"name", "phrase", "list", "sentences"})
"""Kinds that hold words. All but a name need a translation of their own: a shop may give a
heater any name, and a sentence about it is said all the same."""


@dataclass(frozen=True)
class Template:
    """A sentence of the estimator or the catalog, with its slots."""

    text: str

    @cached_property
    def kinds(self) -> dict[str, str]:
        """Slot → kind."""
        return {slot["name"]: slot["kind"] for slot in self._slots()}

    @cached_property
    def prefix(self) -> str:
        """The fixed words before the first slot."""
        first = _SLOT.search(self.text)
        return self.text[: first.start()] if first else self.text

    @cached_property
    def pattern(self) -> re.Pattern[str]:
        """What the whole sentence looks like, without a full stop at its end."""
        made, at = "", 0
        for slot in _SLOT.finditer(self.text):
            made += re.escape(self.text[at : slot.start()])
            made += f"(?P<{slot.group(1)}>{PATTERNS[slot.group(2)]})"
            at = slot.end()
        return re.compile(made + re.escape(self.text[at:]))

    def _slots(self) -> list[dict[str, str]]:
        return [{"name": name, "kind": kind} for name, kind in _SLOT.findall(self.text)]


def bare_slots(text: str) -> str:
    """Return a template with its slots as a translation has them, without their kinds.

    Parameters
    ----------
    text
        The template.

    Returns
    -------
    The text for `str.format`.
    """
    return _SLOT.sub(r"{\1}", text)


def written(kind: str, held: str, formats: Formats) -> str:
    """Write what stood in a slot again, by locale and units.

    Parameters
    ----------
    kind
        Kind of a slot that holds no words.
    held
        What stood in it, in US English.
    formats
        How quantities are written.

    Returns
    -------
    The text.
    """
    writer = {
        "kept": _kept,
        "money": _money,
        "percent": _percent,
        "ohms": _ohms,
        "f": _f,
        "day": _day,
    }.get(kind)
    if writer is not None:
        return writer(held, formats)
    number, _, unit = held.partition(" ")
    value = _decimal(number)
    places = _places(value)
    if kind == "in_wc_bare":
        return formats.measure(value, "in wc", places).split(" ")[0]
    if kind == "gal" and (formats.si or formats.language != "en"):
        return formats.volume(value)
    return formats.measure(value, unit, places) if unit else formats.number(value, places)


def _kept(held: str, _formats: Formats) -> str:
    return held


def _money(held: str, formats: Formats) -> str:
    amount = _decimal(held.replace("$", ""))
    return formats.money(amount) if "." in held else formats.whole_money(amount)


def _percent(held: str, formats: Formats) -> str:
    return formats.percent(_decimal(held.removesuffix("%")) / 100, 2)


def _day(held: str, formats: Formats) -> str:
    return formats.long_date(date.fromisoformat(held))


def _f(held: str, formats: Formats) -> str:
    value = _decimal(held.partition(" ")[0])
    return formats.temperature(value, _places(value))


def _ohms(held: str, formats: Formats) -> str:
    number, _, unit = held.partition(" ")
    if number == "no":
        return {"en": held, "es": "sin fin"}[formats.language]
    value = _decimal(number)
    named = {"en": unit, "es": "ohmios"}[formats.language]
    return formats.measure(value, named, _places(value))


def _places(value: Decimal) -> int:
    return max(0, -int(value.as_tuple().exponent))


def _decimal(text: str) -> Decimal:
    return Decimal(text.replace(",", "").replace("\u2212", "-"))
