"""What is typed into the parts search, as it is understood: a number, words, a measure."""

from __future__ import annotations

import re
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Final, Literal

from catalog.feature_checks import checked_features
from catalog.measures import read_measure
from catalog.numbers import SHORTEST_FOR_SLIPS, read_number
from catalog.part_rows import FEATURES
from estimator.errors import InputTrouble
from estimator.supply import PartFamily

if TYPE_CHECKING:
    from collections.abc import Mapping

    from catalog.fit_rules import FeatureRule, FitRules
    from catalog.parts import Feature
    from catalog.told import Told

CALLED: Final[dict[str, tuple[PartFamily, dict[str, Feature]]]] = {
    "thermocouple": (PartFamily.SENSING_ELEMENT, {"output_class_mv": 30.0}),
    "thermopile": (PartFamily.SENSING_ELEMENT, {"output_class_mv": 750.0}),
    "sensing element": (PartFamily.SENSING_ELEMENT, {}),
    "pilot assembly": (PartFamily.PILOT_ASSEMBLY, {}),
    "pilot tube": (PartFamily.PILOT_TUBE, {}),
    "pilot orifice": (PartFamily.ORIFICE, {"orifice_kind": "pilot"}),
    "burner orifice": (PartFamily.ORIFICE, {"orifice_kind": "burner"}),
    "gas control": (PartFamily.GAS_CONTROL, {}),
    "gas valve": (PartFamily.GAS_CONTROL, {}),
    "hot surface igniter": (PartFamily.IGNITER, {"igniter_kind": "hot_surface"}),
    "thermal fuse": (PartFamily.LIMIT, {"reset_kind": "one_shot"}),
    "burner door": (PartFamily.DOOR_KIT, {}),
    "door kit": (PartFamily.DOOR_KIT, {}),
    "vapor sensor": (PartFamily.VAPOR_SENSOR, {}),
    "flame rod": (PartFamily.FLAME_ROD, {}),
    "flame sensor": (PartFamily.FLAME_ROD, {}),
    "piezo igniter": (PartFamily.IGNITER, {"igniter_kind": "push_button"}),
    "piezo": (PartFamily.IGNITER, {"igniter_kind": "push_button"}),
    "electrode": (PartFamily.IGNITER, {"igniter_kind": "electrode_and_lead"}),
    "igniter": (PartFamily.IGNITER, {}),
    "limit": (PartFamily.LIMIT, {}),
    "orifice": (PartFamily.ORIFICE, {}),
    "gasket": (PartFamily.SUNDRY, {"sundry_kind": "gasket"}),
    "clip": (PartFamily.SUNDRY, {"sundry_kind": "clip"}),
    "leak solution": (PartFamily.SUNDRY, {"sundry_kind": "leak_solution"}),
    "thread sealant": (PartFamily.SUNDRY, {"sundry_kind": "thread_sealant"}),
    "air screen": (PartFamily.SUNDRY, {"sundry_kind": "screen"}),
    "screen": (PartFamily.SUNDRY, {"sundry_kind": "screen"}),
}
"""What people call a part → its family, and what the word says of it."""

SAID: Final[dict[str, tuple[str, Feature]]] = {
    "left hand": ("connection", "threaded_left_11_32_32"),
    "right hand": ("connection", "threaded_right_11_32_32"),
    "natural": ("fuel", "natural_gas"),
    "lp gas": ("fuel", "propane"),
    "lp": ("fuel", "propane"),
}
"""What people say of a feature besides the words of the fit rules → the feature's value."""

_INCHES = re.compile("[″”“]|''")
_MEASURE = re.compile(
    r"(?<![\w/-])(\d[\d,]*(?:\.\d+)?(?:[ -]\d+/\d+|\s?[½¼¾⅛⅜⅝⅞])?|\d+/\d+|[½¼¾⅛⅜⅝⅞])\s*"
    r"(in wc|inches|inch|in\b|\"|mm|cm|°?\s?[fc]\b|kpa|mbar|btu/h|kw\b|mv|v\b)",
    re.IGNORECASE,
)


@dataclass(frozen=True)
class Query:
    """What was typed into the search box, as it is understood.

    `features` are in the units that the catalog keeps; `unread` are words that say
    nothing to it. `of` is what a measure alone may be of: what to call the part. `number` is
    what of the text may be a number, `told` what the rest says of the part beside it.
    """

    typed: str
    kind: Literal["nothing", "number", "words", "measure"]
    family: PartFamily | None = None
    features: Mapping[str, Feature] = field(default_factory=dict)
    unread: tuple[str, ...] = ()
    of: tuple[str, ...] = ()
    number: str = ""
    told: Told | None = None


def read_query(text: str, rules: FitRules) -> Query:
    """Understand what was typed into the search box.

    Parameters
    ----------
    text
        The text.
    rules
        The fit rules: their words are understood.

    Returns
    -------
    The query. A text that names a kind of part is words; one that is measures and nothing
    else a measure; any other with a letter or a digit is a number, with measures beside it
    where some stand there.
    """
    plain = " ".join(_INCHES.sub('"', text.lower()).split())
    if not any(sign.isalnum() for sign in plain):
        return Query(text, "nothing")
    called = next((name for name in sorted(CALLED, key=len, reverse=True)
                   if re.search(rf"\b{name}s?\b", plain)), None)  # fmt: skip
    if called is None:
        return _measure_alone(text, plain, rules) or _number(text, plain, rules)
    family, said = CALLED[called]
    rest = re.sub(rf"\b{called}s?\b", " ", plain)
    features: dict[str, Feature] = dict(said)
    for rule in rules.families[family].features:
        rest = _worded(rules, rule, rest, features)
    known = FEATURES[family]
    for words, (name, value) in SAID.items():
        spoken = re.compile(rf"(?<!\w){words.replace(' ', '[ -]')}(?!\w)")
        if name in known and name not in features and spoken.search(rest):
            features[name], rest = value, spoken.sub(" ", rest)
    strange = []
    for match in _MEASURE.finditer(rest):
        feature = _measured(rules, family, match, features)
        if feature is not None:
            features |= feature
        else:
            strange.append(match.group(0))
    unread = [word for word in _words(_MEASURE.sub(" ", rest)) if word not in _SMALL_WORDS]
    number = " ".join(word for word in unread if _may_be_number(word))
    told = {family: features} if number else None
    return Query(text, "words", family, features, (*strange, *unread), number=number, told=told)


LONGEST_BORE_IN: Final = 2.0
"""What measures more is a length and no diameter [in]; common practice, no source."""

_SMALL_WORDS = frozenset(
    ("a", "an", "the", "for", "with", "of", "and", "in", "to", "new", "old", "part", "kit", "long")
)


def _words(text: str) -> list[str]:
    return re.findall(r"[\w/-]+", text)


def _may_be_number(word: str) -> bool:
    long_enough = len(read_number(word)) >= SHORTEST_FOR_SLIPS
    return long_enough and any(sign.isdigit() for sign in word)


def _number(text: str, plain: str, rules: FitRules) -> Query:
    """Return a text as a number, and the measures that stand beside it."""
    measures = list(_MEASURE.finditer(plain))
    rest = [word for word in _MEASURE.sub(" ", plain).split() if word not in _SMALL_WORDS]
    number = " ".join(rest)
    told = {}
    for family in rules.families if measures and _may_be_number(number) else ():
        features: dict[str, Feature] = {}
        for match in measures:
            feature = _measured(rules, family, match, features)
            if feature is None:
                break
            features |= feature
        else:
            told[family] = features
    return Query(text, "number", number=number if told else text, told=told or None)


def _measure_alone(text: str, plain: str, rules: FitRules) -> Query | None:
    """Return a text that is measures and nothing else, with what they may be of."""
    found = list(_MEASURE.finditer(plain))
    rest = _words(_MEASURE.sub(" ", plain))
    if not found or any(word not in _SMALL_WORDS for word in rest):
        return None
    of = tuple(
        name
        for name, (family, told) in CALLED.items()
        if not told and all(_measured(rules, family, match, {}) for match in found)
    )
    first = {CALLED[name][0]: name for name in reversed(of)}  # one name for each family
    of = tuple(name for name in of if name in first.values())
    return Query(text, "measure", of=of, number=text)


def _measured(
    rules: FitRules, family: PartFamily, match: re.Match[str], told: Mapping[str, Feature]
) -> dict[str, Feature] | None:
    usable = [
        rule for rule in rules.families[family].features
        if rule.unit and rule.feature not in told and rule.feature in FEATURES[family]
    ]  # fmt: skip
    for rule in sorted(usable, key=lambda rule: not _likely(rule, match)):
        try:
            found = {rule.feature: read_measure(match.group(0), rule.unit, rule.name)}
            checked_features(rules, family, found)
        except InputTrouble:  # another kind of measure, or none that such a part has
            continue
        return dict(found)
    return None


def _likely(rule: FeatureRule, match: re.Match[str]) -> bool:
    """Whether a measure is more likely of this feature: a long one of a length."""
    if rule.unit != "in":
        return True
    try:
        value = read_measure(match.group(0), rule.unit, rule.name)
    except InputTrouble:
        return False
    return ("length" in rule.feature) == (value > LONGEST_BORE_IN)


def _worded(rules: FitRules, rule: FeatureRule, rest: str, features: dict[str, Feature]) -> str:
    """Take a rule's words out of the text where they stand there; return what is left."""
    if rule.rule == "keeps" and re.search(r"\bcut-?\s?off\b", rest):
        features[rule.feature] = True
        return re.sub(r"\b(built-in )?(thermal |energy )?cut-?\s?off\b", " ", rest)
    words = rules.values.get(rule.values or "", {})
    for value, said in sorted(words.items(), key=lambda item: -len(item[1])):
        for spelled in (said.lower(), said.lower().replace("-", " "), value.replace("_", " ")):
            if rule.feature not in features and re.search(
                rf"(?<!\w){re.escape(spelled)}(?!\w)", rest
            ):
                features[rule.feature] = value
                return rest.replace(spelled, " ")
    return rest
