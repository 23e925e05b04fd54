"""One search box for parts: a number, words, or a measure; and the fit by measures."""

from __future__ import annotations

import re
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Final, Literal

from catalog.feature_checks import checked_features
from catalog.finding_numbers import NumberAnswer, find_number
from catalog.fit import FitAnswer, fit_parts
from catalog.measures import read_measure
from catalog.needs import Need
from catalog.numbers import SHORTEST_FOR_SLIPS, read_number
from catalog.part_rows import FEATURES
from catalog.parts import offers, stocks
from estimator.errors import InputTrouble
from estimator.supply import PartFamily

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence
    from datetime import date

    from catalog.fit_rules import FeatureRule, FitRules
    from catalog.parts import Feature, Offer, Part
    from catalog.snapshots import Catalog
    from catalog.told import Told
    from estimator.heater import RatingPlate
    from estimator.supply import Stock

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
    "igniter": (PartFamily.IGNITER, {}),
    "limit": (PartFamily.LIMIT, {}),
    "orifice": (PartFamily.ORIFICE, {}),
    "gasket": (PartFamily.SUNDRY, {"sundry_kind": "gasket"}),
    "clip": (PartFamily.SUNDRY, {"sundry_kind": "clip"}),
    "leak solution": (PartFamily.SUNDRY, {"sundry_kind": "leak_solution"}),
}
"""What people call a part → its family, and what the word says of it."""

LONGEST: Final = 200

_MEASURE = re.compile(
    r"(?<![\w/-])(\d[\d,]*(?:\.\d+)?(?:[ -]\d+/\d+)?|\d+/\d+)\s*"
    r"(in wc|inches|inch|in\b|\"|mm|cm|°\s?[fc]|kpa|mbar|btu/h|kw\b|mv|v\b)",
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


@dataclass(frozen=True)
class Standing:
    """What a part costs the shop and where it is, today."""

    offer: Offer | None
    stock: Stock


@dataclass(frozen=True)
class PartsAnswer:
    """What a search found: by number, or by words and measures; and where each part is.

    `fit` is what goes in for the part found by its number, where that is sure.
    """

    query: Query
    numbers: NumberAnswer | None = None
    fit: FitAnswer | None = None
    standing: Mapping[str, Standing] = field(default_factory=dict)


def search_parts(
    catalog: Catalog, text: str, van: str, on: date, plate: RatingPlate | None = None,
    heater_family: str | None = None,
) -> PartsAnswer:  # fmt: skip
    """Answer what was typed into the search box.

    Parameters
    ----------
    catalog
        The open catalog.
    text
        A number, alone or with a measure or the kind of part beside it, or words with
        measures such as ``thermocouple 24 in push-in``.
    van
        The van to look on first; empty for none.
    on
        The day: offers hold on it.
    plate, heater_family
        The heater in place, where it is known.

    Returns
    -------
    The answer.

    Raises
    ------
    Trouble
        If the text is too long or a measure is not usable, or the van or heater family is not
        known.
    """
    if len(text) > LONGEST:
        said = f"The search has {len(text):,} characters; at most {LONGEST} are read"
        raise InputTrouble(said, "", "Type a number, or words with measures.")
    query = read_query(text, catalog.rules)
    if query.kind == "nothing":
        return PartsAnswer(query)
    found = _by_number(catalog, query, heater_family)
    if query.kind == "words" and query.family is not None and found is None:
        need = Need(query.family, plate, heater_family, None, query.features)
        return PartsAnswer(query, fit=fit_parts(catalog, need, van, on))
    if found is None:
        return PartsAnswer(query)
    sure = [held for held in found.found if held.exact]
    shown = [held.part for held in found.found]
    shown += [held.today for held in found.found if held.today is not None]
    standing = standing_of(catalog, [*shown, *found.chain, *found.alike], van, on)
    goes_in = None
    if len(sure) == 1:
        old = sure[0].part
        need = Need(old.family, plate, heater_family, old.number)
        goes_in = fit_parts(catalog, need, van, on)
    return PartsAnswer(query, numbers=found, fit=goes_in, standing=standing)


def _by_number(catalog: Catalog, query: Query, heater_family: str | None) -> NumberAnswer | None:
    """Return what the number in a text may mean; nothing where the text is better read else."""
    if query.kind == "number":
        found = find_number(catalog, query.number, heater_family, told=query.told)
        if found.found or query.told is None:
            return found
        return find_number(catalog, query.typed, heater_family)
    if not query.number:
        return None
    found = find_number(catalog, query.number, heater_family, told=query.told)
    wanted = "exact" if query.kind == "measure" else "as_told"
    return found if any(getattr(held, wanted) for held in found.found) else None


def standing_of(catalog: Catalog, parts: Sequence[Part], van: str, on: date) -> dict[str, Standing]:
    """Return what parts cost the shop and where they are.

    Parameters
    ----------
    catalog
        The open catalog.
    parts
        The parts.
    van
        The van to look on first; empty for none.
    on
        The day.

    Returns
    -------
    Number to standing.
    """
    numbers = list(dict.fromkeys(part.number for part in parts))
    prices = offers(catalog, numbers, on)
    held = stocks(catalog, numbers, van, prices)
    return {
        number: Standing(next(iter(prices.get(number, ())), None), held[number])
        for number in numbers
    }


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
    plain = " ".join(text.lower().replace("″", '"').split())
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
