"""How a quote speaks: one language, one system of units, all its words and numbers.

The view's own words are looked up as they are. Sentences of the estimator and names of
the catalog are English, and are kept so in issued quotes: they are told apart by their
templates when they are shown, and said again in the language asked for.
"""

from __future__ import annotations

import re
from collections import defaultdict
from dataclasses import dataclass
from functools import cache, cached_property, lru_cache

from app.formatting import Formats
from app.formatting_measures import US
from app.language.catalog_sentences import CATALOG_SENTENCES
from app.language.catalogs import catalog_of
from app.language.estimator_sentences import ESTIMATOR_SENTENCES
from app.language.reading_sentences import READING_SENTENCES
from app.language.templates import WORDED, Template, bare_slots, written
from app.language.trouble_sentences import TROUBLE_SENTENCES

TEMPLATES = (
    *ESTIMATOR_SENTENCES,
    *READING_SENTENCES,
    *CATALOG_SENTENCES,
    *TROUBLE_SENTENCES,
)
INVENTED = " (invented)"
_PREFIX_LETTERS = 6
_SENTENCE_END = re.compile(r"[.!?] (?=\S)")


@dataclass(frozen=True)
class Speech:
    """One language and one system of units.

    Parameters
    ----------
    language
        ``en`` or ``es``.
    units
        ``us`` or ``si``.
    unsaid
        What names need not say each, because the page says it at its head: that all is
        invented, the fuel of the house.

    Raises
    ------
    ValueError
        If language or units are not known.
    """

    language: str = "en"
    units: str = US
    unsaid: tuple[str, ...] = ()

    def __post_init__(self) -> None:
        Formats(self.language, self.units)

    @cached_property
    def formats(self) -> Formats:
        """How quantities are written."""
        return Formats(self.language, self.units)

    def say(self, words: str, **slots: object) -> str:
        """Say words of the view.

        Parameters
        ----------
        words
            English, marked where they stand, slots in braces.
        **slots
            What goes into the slots, written already.

        Returns
        -------
        The words in the language.
        """
        said = words if self.language == "en" else catalog_of(self.language).gettext(words)
        return said.format(**slots) if slots else said

    def retell(self, text: str) -> str:
        """Say a stored English text again in the language and units.

        Parameters
        ----------
        text
            A sentence of the estimator, or a name or sentence of the catalog; several
            may follow one another.

        Returns
        -------
        The text in the language. What has no template stays as it is: a name that
        somebody typed, or a word of a shop's own catalog.
        """
        for words in self.unsaid:
            text = text.replace(words, "")
        found = self.find(text)
        return text if found is None else found

    def find(self, text: str) -> str | None:
        """As `retell`, but ``None`` for a text that has no template."""
        return _find(self, text)

    def listed(self, items: list[str] | tuple[str, ...]) -> str:
        """Join words into a list as it is spoken."""
        return self.formats.listed(items)


@cache
def _whole() -> dict[str, Template]:
    """Templates without slots, by their words."""
    return {_open_ended(each): Template(each) for each in TEMPLATES if "{" not in each}


@cache
def _slotted() -> dict[str, list[Template]]:
    """Templates with slots, by their first letters; under nothing where a slot comes soon."""
    grouped: dict[str, list[Template]] = defaultdict(list)
    for each in TEMPLATES:
        if "{" in each:
            made = Template(_open_ended(each))
            start = made.prefix[:_PREFIX_LETTERS]
            grouped[start if len(start) == _PREFIX_LETTERS else ""].append(made)
    return grouped


@cache
def _msgids() -> dict[str, str]:
    """Template without its full stop → as it stands in the gettext catalog."""
    return {_open_ended(each): each for each in TEMPLATES}


def _open_ended(text: str) -> str:
    return text.removesuffix(".")


@lru_cache(maxsize=20_000)
def _find(speech: Speech, text: str) -> str | None:
    if not text.strip():
        return text
    for ways in (_template, _flipped, _described, _one_after_another):
        found = ways(speech, text)
        if found is not None:
            return found
    return None


def _template(speech: Speech, text: str) -> str | None:
    """Match one template; a full stop at the end is neither needed nor lost."""
    bare = _open_ended(text)
    stop = "." if bare != text else ""
    if bare in _whole():
        return _open_ended(_said(speech, bare)) + stop
    groups = _slotted()
    for template in (*groups.get(bare[:_PREFIX_LETTERS], ()), *groups.get("", ())):
        if not bare.startswith(template.prefix):
            continue
        match = template.pattern.fullmatch(bare)
        slots = None if match is None else _fill(speech, template, match.groupdict())
        if slots is not None:
            said = _open_ended(_said(speech, template.text).format(**slots))
            return said + stop
    return None


def _said(speech: Speech, open_ended: str) -> str:
    msgid = _msgids()[open_ended]
    said = catalog_of(speech.language).gettext(msgid)
    return bare_slots(said)


def _fill(speech: Speech, template: Template, held: dict[str, str]) -> dict[str, str] | None:
    slots = {}
    for name, text in held.items():
        kind = template.kinds[name]
        if kind not in WORDED:
            slots[name] = written(kind, text, speech.formats)
            continue
        words = _list(speech, text) if kind == "list" else speech.find(text)
        if words is None and kind == "name":
            words = text
        if words is None:
            return None
        slots[name] = words if kind == "sentences" else _open_ended(words)
    return slots


def _list(speech: Speech, text: str) -> str | None:
    """Retell "a, b, c" or "a, b and c", by the joint that it has."""
    head, joint, last = text.rpartition(" and ")
    items = [*head.split(", "), last] if joint else text.split(", ")
    said = [speech.find(item) for item in items]
    if any(each is None for each in said):
        return speech.find(text)
    words = [each for each in said if each is not None]
    return speech.listed(words) if joint else ", ".join(words)


def _flipped(speech: Speech, text: str) -> str | None:
    """Match with the first letter in the other case: notes begin sentences at times."""
    other = text[0].lower() if text[0].isupper() else text[0].upper()
    if other == text[0]:
        return None
    found = _template(speech, other + text[1:])
    if found is None:
        return None
    return (found[0].upper() if text[0].isupper() else found[0].lower()) + found[1:]


def _described(speech: Speech, text: str) -> str | None:
    """Retell a description piece by piece: "a, b, c (number)", "a; b", "a (invented)"."""
    if text.endswith(INVENTED):
        found = speech.find(text.removesuffix(INVENTED))
        mark = {"en": INVENTED, "es": " (inventado)"}[speech.language]
        return None if found is None else found + mark
    for joint in ("; ", ", "):
        pieces = text.split(joint)
        if len(pieces) > 1:
            said = [_template(speech, piece) or _flipped(speech, piece) for piece in pieces]
            if joint == "; ":
                said = [speech.find(piece) for piece in pieces]
            if all(each is not None for each in said):
                return joint.join(each for each in said if each is not None)
    return None


def _one_after_another(speech: Speech, text: str) -> str | None:
    """Split at the ends of sentences; the longest beginning that is known goes first."""
    for end in reversed(list(_SENTENCE_END.finditer(text))):
        first = _template(speech, text[: end.start() + 1])
        if first is None:
            continue
        rest = speech.find(text[end.end() :])
        if rest is not None:
            return f"{first} {rest}"
    return None
