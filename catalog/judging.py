"""One part against what is needed, feature by feature, by the fit rules."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal

from catalog.listing import not_listed
from estimator.supply import FitClass

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping

    from catalog.feature_sources import Wanted
    from catalog.fit_rules import FeatureRule, FitRules
    from catalog.needs import Known
    from catalog.parts import Feature, Part

Status = Literal["matched", "differs", "unknown"]


@dataclass(frozen=True)
class FeatureReason:
    """What one feature says of the fit, as a sentence."""

    feature: str
    status: Status
    sentence: str


@dataclass(frozen=True)
class Adapter:
    """A sundry that lets a part of one connection serve where another is needed."""

    number: str
    feature: str
    adapts_from: str
    adapts_to: str


@dataclass(frozen=True)
class Judgement:
    """How a part stands to a need.

    `faults` are the sentences that rule it out; `safety_unknown` is true where a safety
    feature could not be compared and the part may lack it.
    """

    fit_class: FitClass
    reasons: tuple[FeatureReason, ...]
    faults: tuple[str, ...]
    check_these: tuple[str, ...]
    lacks: tuple[str, ...]
    adds: tuple[str, ...]
    adapters: tuple[Adapter, ...]
    safety_unknown: bool


@dataclass(frozen=True)
class _Word:
    """What one rule says: the reason, and whether it rules out, asks, lacks or adds."""

    reason: FeatureReason
    fault: bool = False
    check: bool = False
    lacks: str = ""
    adds: str = ""
    adapter: Adapter | None = None


def judge(
    rules: FitRules,
    known: Known,
    held: Part,
    fit_class: FitClass,
    standing: FeatureReason,
    adapters: tuple[Adapter, ...],
) -> Judgement:
    """Judge a part against what is known.

    Parameters
    ----------
    rules
        The fit rules.
    known
        What is known of the need.
    held
        The part.
    fit_class
        How it comes to be looked at: listed, alike or universal.
    standing
        The reason for that class.
    adapters
        Adapters that the catalog sells.

    Returns
    -------
    The judgement; its class is "adapter" where an adapter is needed and "no fit" where
    something rules the part out.

    Notes
    -----
    The maker's list outweighs a feature that differs, which is then to be checked; it
    never outweighs a safety feature.
    """
    family = rules.families[held.family]
    words: list[_Word] = []
    may_lack = False
    for rule in family.features:
        wanted = known.wanted[rule.feature]
        if rule.only_if is not None and not held.features.get(rule.only_if):
            if rule.rule == "keeps" and wanted.value is True:
                words.append(_must_be_in_the_other(rule, wanted))
            continue
        word = _one(rules, rule, wanted, held.features.get(rule.feature), fit_class, adapters)
        if word is None:
            continue
        words.append(word)
        unsure = word.reason.status == "unknown" and rule.safety
        may_lack |= unsure and held.features.get(rule.feature) is not True
    unlisted = not_listed(rules, known, held, fit_class)
    listing = (FeatureReason("listing", "differs", unlisted),) if unlisted else ()
    faults = [word.reason.sentence for word in words if word.fault] + [
        reason.sentence for reason in listing
    ]
    checks = [word.reason.sentence for word in words if word.check]
    bridged = tuple(word.adapter for word in words if word.adapter is not None)
    if fit_class is FitClass.UNIVERSAL:
        checks.append("Sold as universal: the maker of the heater does not list it.")
    final = FitClass.NO_FIT if faults else FitClass.ADAPTER if bridged else fit_class
    return Judgement(
        fit_class=final,
        reasons=(standing, *(word.reason for word in words), *listing),
        faults=tuple(faults),
        check_these=tuple(checks),
        lacks=tuple(word.lacks for word in words if word.lacks),
        adds=tuple(word.adds for word in words if word.adds),
        adapters=bridged,
        safety_unknown=may_lack,
    )


def _one(
    rules: FitRules,
    rule: FeatureRule,
    wanted: Wanted,
    has: Feature | None,
    fit_class: FitClass,
    adapters: tuple[Adapter, ...],
) -> _Word | None:
    name = f"{rule.name[:1].upper()}{rule.name[1:]}"
    shown, needed = rules.shown(rule, has), rules.shown(rule, wanted.value)
    if wanted.value is None:
        return _nothing_wanted(rule, name, wanted, has, shown)
    if has is None:
        sentence = f"{name}: {needed} {wanted.origin}; the catalog does not say what this has."
        return _Word(FeatureReason(rule.feature, "unknown", sentence), check=True)
    fault = _COMPARE[rule.rule](rule, wanted.value, has)
    if fault is None:
        sentence = f"{name}: {shown}, fits {needed} {wanted.origin}."
        if shown == needed:
            sentence = f"{name}: {shown}, {_as(wanted.origin)}."
        return _Word(FeatureReason(rule.feature, "matched", sentence))
    sentence = f"{name}: {shown}, not {needed} {wanted.origin}{fault}."
    reason = FeatureReason(rule.feature, "differs", sentence)
    if rule.rule == "includes":
        missing, more = (rule.name, "") if wanted.value else ("", rule.name)
        told = f"{name}: {'not included' if missing else 'included, the old one has none'}."
        reason = FeatureReason(rule.feature, "differs", told)
        return _Word(reason, lacks=missing, adds=more)
    if rule.rule == "note":
        return _Word(reason)
    return _weighed(rule, wanted.value, has, reason, fit_class, adapters)


def _weighed(
    rule: FeatureRule,
    needed: Feature,
    has: Feature,
    reason: FeatureReason,
    fit_class: FitClass,
    adapters: tuple[Adapter, ...],
) -> _Word:
    """Weigh a difference: what the maker lists may differ, but not lose safety."""
    if fit_class is FitClass.LISTED:
        gains = rule.rule == "keeps" and has is True
        lower = rule.rule == "no_higher" and float(has) < float(needed)
        if gains:
            return _Word(reason, check=True, adds=rule.name)
        if lower or not rule.safety:
            return _Word(reason, check=True)
        return _Word(reason, fault=True)
    if rule.adapter:
        for adapter in adapters:
            same = (adapter.feature, adapter.adapts_from, adapter.adapts_to)
            if same == (rule.feature, has, needed):
                told = f"{reason.sentence[:-1]}; adapter {adapter.number} bridges it."
                bridged = FeatureReason(rule.feature, "differs", told)
                return _Word(bridged, adapter=adapter)
    return _Word(reason, fault=True)


def _nothing_wanted(
    rule: FeatureRule, name: str, wanted: Wanted, has: Feature | None, shown: str
) -> _Word | None:
    if wanted.absent:
        # The part gone by has no such feature: a part that has it is another kind.
        if has is None or has is False or rule.rule not in ("equal", "keeps"):
            return None
        sentence = f"{name}: {shown}, but there is none {wanted.origin}."
        only_because_included = rule.only_if is not None
        return _Word(
            FeatureReason(rule.feature, "differs", sentence),
            fault=not only_because_included,
            check=only_because_included,
        )
    if has is None or rule.rule == "note":
        return None
    if rule.rule == "includes":
        sentence = f"{name}: {'included' if has else 'not included'}; look whether it is needed."
    else:
        sentence = f"{name}: this has {shown}; that of the old part is not known, look."
    return _Word(FeatureReason(rule.feature, "unknown", sentence), check=True)


def _must_be_in_the_other(rule: FeatureRule, wanted: Wanted) -> _Word:
    sentence = (
        f"There is a {rule.name} {wanted.origin}, and this comes without that piece: the piece "
        "that is put in with it must have one."
    )
    return _Word(FeatureReason(rule.feature, "unknown", sentence), check=True)


def _as(origin: str) -> str:
    return origin if origin.startswith("as ") else f"as {origin}"


def _equal(_rule: FeatureRule, needed: Feature, has: Feature) -> str | None:
    if isinstance(needed, bool) or isinstance(has, bool) or isinstance(needed, str):
        return None if has == needed else ""
    return None if abs(float(has) - float(needed)) <= 1e-6 * max(abs(float(needed)), 1.0) else ""


def _keeps(_rule: FeatureRule, needed: Feature, has: Feature) -> str | None:
    if has == needed:
        return None
    return ": a safety function would be lost" if needed is True else ""


MEASURED_WITHIN_F = 0.9
"""A temperature stamped in whole °C may be half of one off [°F]; whole °F are as they stand."""


def _no_higher(_rule: FeatureRule, needed: Feature, has: Feature) -> str | None:
    within = 0.0 if float(needed).is_integer() else MEASURED_WITHIN_F
    if abs(float(has) - float(needed)) <= within:
        return None
    return ": it would open too late" if float(has) > float(needed) else ": it would open too soon"


MEASURED_WITHIN_IN = 0.02
"""A length measured in whole millimetres may be half of one off [in]."""


def _at_least(rule: FeatureRule, needed: Feature, has: Feature) -> str | None:
    if float(has) < float(needed) - MEASURED_WITHIN_IN:
        return ": too short"
    if float(has) > float(needed) + rule.spare:
        return ": too long to coil"
    return None


def _covers(_rule: FeatureRule, needed: Feature, has: Feature) -> str | None:
    return None if float(has) >= float(needed) else ": too small for the burner"


def _within(rule: FeatureRule, needed: Feature, has: Feature) -> str | None:
    near = abs(float(has) - float(needed)) <= rule.spare * abs(float(needed)) + 1e-9
    return None if near else ""


_COMPARE: Mapping[str, Callable[[FeatureRule, Feature, Feature], str | None]] = {
    "equal": _equal,
    "keeps": _keeps,
    "no_higher": _no_higher,
    "at_least": _at_least,
    "covers": _covers,
    "within": _within,
    "includes": _equal,
    "note": _equal,
}
