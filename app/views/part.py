"""The third step: the parts that fit, why, where they are, and what the customer pays."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Any, Final

from app.views.fields import Choice, Field, filled
from app.views.payload import Payload, read
from app.views.supplied import beside, price_of, where_it_is
from catalog.feature_checks import checked_features
from catalog.measures import OTHER_UNIT, read_measure, show_measure
from estimator.errors import InputTrouble
from estimator.findings import REMEDIES, Remedy
from estimator.supply import FitClass

if TYPE_CHECKING:
    from collections.abc import Mapping

    from app.views.fields import Tone
    from app.views.supplied import Besides
    from catalog.fit import Fit, FitAnswer
    from catalog.fit_rules import FeatureRule, FitRules
    from estimator.rates import PartPricing
    from estimator.supply import PartFamily

FIT_WORDS: Final[dict[FitClass, tuple[str, Tone]]] = {
    FitClass.LISTED: ("Listed by the maker", "good"),
    FitClass.ALIKE: ("Alike in every feature", "good"),
    FitClass.UNIVERSAL: ("Universal", "check"),
    FitClass.ADAPTER: ("With an adapter", "check"),
    FitClass.NO_FIT: ("Does not fit", "stop"),
}


@dataclass(frozen=True)
class PartCard:
    """A part that fits; `price` is the customer's."""

    number: str
    description: str
    fit_word: str
    fit_tone: Tone
    where: str
    where_tone: Tone
    price: str
    reasons: tuple[str, ...]
    check_these: tuple[str, ...]
    besides: tuple[Besides, ...]
    chosen: bool
    best: bool


@dataclass(frozen=True)
class RejectedPart:
    """A part that does not fit, and why not."""

    number: str
    description: str
    why: tuple[str, ...]


@dataclass(frozen=True)
class PartView:
    """The third step; `no_part_needed` says why there is nothing to choose."""

    remedy: str
    cards: tuple[PartCard, ...]
    rejected: tuple[RejectedPart, ...]
    closed_reason: str
    no_part_needed: str
    old_part: tuple[Field, ...]


def build_part_view(
    payload: Payload,
    fit: FitAnswer | None,
    pricing: PartPricing,
    rules: FitRules,
    old_part_problem: str = "",
) -> PartView:
    """Build the third step.

    Parameters
    ----------
    payload
        The draft, whole enough to be priced.
    fit
        What the catalog found; ``None`` where the remedy puts no part in.
    pricing
        How the shop prices its parts.
    rules
        The catalog's fit rules; they name the features that can be measured.
    old_part_problem
        What is wrong with the number or the measures of the old part, if anything.

    Returns
    -------
    The view; of what a part costs the shop nothing is in it.
    """
    remedy = Remedy(read(payload, "work.remedy"))
    name, family = REMEDIES[remedy]
    if fit is None or family is None:
        said = "This remedy puts no part in." if fit is None and family is None else ""
        fields = _old_part_fields(payload, rules, family, old_part_problem) if family else ()
        return PartView(name, (), (), "", said, fields)
    picked = read(payload, "work.part_number")
    cards = tuple(
        _card(each, pricing, picked, best=place == 0) for place, each in enumerate(fit.fitting)
    )
    if cards and not any(card.chosen for card in cards):
        cards = (replace(cards[0], chosen=True), *cards[1:])
    return PartView(
        remedy=name,
        cards=cards,
        rejected=tuple(
            RejectedPart(each.part.number, each.part.description, each.faults)
            for each in fit.rejected
        ),
        closed_reason=fit.closed_reason or "",
        no_part_needed="",
        old_part=_old_part_fields(payload, rules, family, old_part_problem),
    )


def _card(fit: Fit, pricing: PartPricing, picked: str | None, *, best: bool) -> PartCard:
    supplied = fit.supplied()
    word, tone = FIT_WORDS[fit.fit_class]
    where, where_tone = where_it_is(supplied.stock)
    return PartCard(
        number=supplied.number,
        description=supplied.description,
        fit_word=word,
        fit_tone=tone,
        where=where,
        where_tone=where_tone,
        price=price_of(supplied, pricing),
        reasons=supplied.reasons,
        check_these=supplied.check_these,
        besides=tuple(beside(each, pricing) for each in fit.companions),
        chosen=supplied.number == picked,
        best=best,
    )


def _old_part_fields(
    payload: Payload, rules: FitRules, family: PartFamily, problem: str
) -> tuple[Field, ...]:
    """Ask for the number and the measures of the old part, as its family has them."""
    measures = [
        replace(asked, problem=_measure_problem(asked, payload, rules, family))
        for asked in (
            _measure(rule, rules.values, payload)
            for rule in rules.families[family].features
            if rule.plate is None and rule.rule != "includes"
        )
    ]
    # What is wrong with a measure is said at the measure.
    said = "" if any(asked.problem for asked in measures) else problem
    number = Field("old_part.number", "Number on the old part", "text", problem=said)
    return filled((number, *measures), payload)


def _measure_problem(asked: Field, payload: Payload, rules: FitRules, family: PartFamily) -> str:
    given, name = read(payload, asked.path), asked.path.rpartition(".")[2]
    if given is None:
        return ""
    try:
        checked_features(rules, family, {name: given})
    except InputTrouble as trouble:
        return f"{asked.label}{trouble.what.removeprefix(name)}. {trouble.mend}"
    return ""


def kept_measure(field: Field, value: Any) -> Any:
    """Return what a draft keeps of a measure of the old part.

    Parameters
    ----------
    field
        The measure's field.
    value
        A number in the unit of the field, or what was typed and is none.

    Returns
    -------
    The number in the unit of the field, where a measure such as ``600 mm`` or ``23 5/8`` was
    typed; what is no measure as it stands, to be refused at its field.
    """
    if not field.unit or not isinstance(value, str):
        return value
    try:
        return read_measure(value, field.unit, field.label)
    except InputTrouble:
        return value


def _hint(unit: str, given: Any) -> str:
    if unit not in OTHER_UNIT:
        return ""
    if isinstance(given, int | float):
        return f"read as {show_measure(given, unit)}"
    return f"or with its unit, such as {OTHER_UNIT[unit][0]}"


def _measure(rule: FeatureRule, values: Mapping[str, Mapping[str, str]], payload: Payload) -> Field:
    path = f"old_part.features.{rule.feature}"
    label = f"{rule.name[:1].upper()}{rule.name[1:]}"
    words = values.get(rule.values or "")
    if words:
        choices = tuple(Choice(value, said) for value, said in words.items())
        return Field(path, label, "long_choice", choices=choices)
    if rule.rule == "keeps":
        return Field(path, label, "yes_no")
    return Field(path, label, unit=rule.unit, hint=_hint(rule.unit, read(payload, path)))
