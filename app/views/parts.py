"""The parts screen: what a search, a heater or a finding answers, as cards.

No cost of the shop is in it; prices are the customer's, before tax and labor.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from app.views.number_cards import NumberCard, TodayCard, build_number_card, build_today_card
from app.views.part import FIT_WORDS, RejectedPart
from app.views.supplied import Besides, beside, price_of, where_it_is
from catalog.measures import show_measure
from estimator.supply import FitClass

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from app.parts_query import Query
    from app.parts_search import PartsAnswer, Standing
    from app.views.fields import Tone
    from catalog.finding_numbers import NumberAnswer
    from catalog.fit import Fit, FitAnswer
    from catalog.fit_rules import FeatureRule, FitRules
    from catalog.judging import Status
    from catalog.parts import Feature, ListedPart
    from estimator.rates import PartPricing
    from estimator.supply import PartFamily

STATUS_WORDS: dict[Status, tuple[str, Tone]] = {
    "matched": ("matches", "good"),
    "differs": ("differs", "check"),
    "unknown": ("check this", "check"),
}


@dataclass(frozen=True)
class Reason:
    """What one feature says of the fit: a word, its tone, the sentence."""

    word: str
    tone: Tone
    sentence: str


@dataclass(frozen=True)
class FitCard:
    """A part that fits, or may: class, price, place, reasons, what it lacks and adds."""

    number: str
    description: str
    maker: str
    fit_word: str
    fit_tone: Tone
    price: str
    where: str
    where_tone: Tone
    reasons: tuple[Reason, ...]
    check_these: tuple[str, ...]
    lacks: tuple[str, ...]
    adds: tuple[str, ...]
    besides: tuple[Besides, ...]


@dataclass(frozen=True)
class PositionRow:
    """A position of a heater's parts list, and today's part."""

    position: str
    listed: str
    today: TodayCard | None


@dataclass(frozen=True)
class Ask:
    """A search that asks for something more precise, and what its button says."""

    label: str
    typed: str


@dataclass(frozen=True)
class PartsView:
    """What a search answers.

    `read_as` says how it was read; `chain` the numbers from the part found to the one
    sold today; `alike` what serves for it; `closed_reason` why nothing fits, `more` how
    many further parts are as near and what would tell them apart. `goes_in` heads the fits
    where they are for a part found by its number. `asks` are searches that say of what part
    a measure is, or what a part measures of which the number is worn.
    """

    typed: str
    read_as: str
    numbers: tuple[NumberCard, ...] = ()
    chain: tuple[str, ...] = ()
    alike: tuple[TodayCard, ...] = ()
    fits: tuple[FitCard, ...] = ()
    rejected: tuple[RejectedPart, ...] = ()
    closed_reason: str = ""
    goes_in: str = ""
    asks: tuple[Ask, ...] = ()
    more: str = ""


def build_parts_view(answer: PartsAnswer, pricing: PartPricing, rules: FitRules) -> PartsView:
    """Build what a search answers.

    Parameters
    ----------
    answer
        What was found.
    pricing
        How the shop prices its parts.
    rules
        The catalog's fit rules: how measures are said.

    Returns
    -------
    The view.
    """
    query = answer.query
    if answer.numbers is not None:
        view = _numbers_view(answer, answer.numbers, pricing, rules)
        return view if answer.fit is None else _with_fits(view, answer.fit, pricing)
    if query.kind == "measure":
        measure = " ".join(query.typed.split())
        asks = tuple(Ask(f"{name[:1].upper()}{name[1:]}", f"{name} {measure}") for name in query.of)
        of_what = "Of what part is it?" if asks else "No part is found by it alone."
        return PartsView(query.typed, f"Read as a measure, {measure}. {of_what}", asks=asks)
    if answer.fit is None or query.family is None:
        return PartsView(query.typed, "Type a number, or words such as thermocouple 24 in.")
    unread = f" Not understood: {', '.join(query.unread)}." if query.unread else ""
    said = _said(rules, query.family, query.features)
    read_as = f"Read as {', '.join([rules.families[query.family].name, *said])}.{unread}"
    fits, rejected, closed = build_fit_cards(answer.fit, pricing)
    return PartsView(
        query.typed, read_as, fits=fits, rejected=rejected, closed_reason=closed,
        more=answer.fit.more,
    )  # fmt: skip


def build_fit_cards(
    answer: FitAnswer, pricing: PartPricing
) -> tuple[tuple[FitCard, ...], tuple[RejectedPart, ...], str]:
    """Build the cards of a fit.

    Parameters
    ----------
    answer
        What the catalog found.
    pricing
        How the shop prices its parts.

    Returns
    -------
    The fitting, best first; the near misses with why not; why nothing fits, or nothing.
    """
    rejected = tuple(
        RejectedPart(each.part.number, each.part.description, each.faults)
        for each in answer.rejected
    )
    fits = tuple(_fit_card(fit, pricing) for fit in answer.fitting)
    return fits, rejected, answer.closed_reason or ""


def build_heater_parts(
    listed: Sequence[ListedPart], standing: Mapping[str, Standing], pricing: PartPricing
) -> tuple[PositionRow, ...]:
    """Build the parts list of a heater.

    Parameters
    ----------
    listed
        What the maker lists, with the part sold today.
    standing
        What each part costs and where it is.
    pricing
        How the shop prices its parts.

    Returns
    -------
    A row for each position.
    """
    return tuple(
        PositionRow(
            position=each.position.replace("_", " ").capitalize(),
            listed=each.listed.number,
            today=build_today_card(each.today, standing, pricing)
            if each.today is not None
            else None,
        )
        for each in listed
    )


def _shown(rules: FitRules, rule: FeatureRule, value: Feature) -> str:
    """Return a feature as it was read: a measure in both systems of units."""
    if rule.unit and isinstance(value, int | float):
        return show_measure(float(value), rule.unit)
    return rules.shown(rule, value)


def _with_fits(view: PartsView, fit: FitAnswer, pricing: PartPricing) -> PartsView:
    """Add what goes in for the part found, with its reasons and companions."""
    fits, rejected, closed = build_fit_cards(fit, pricing)
    head = f"What goes in for {view.numbers[0].number}" if view.numbers else ""
    return replace(
        view, fits=fits, rejected=rejected, closed_reason=closed, goes_in=head if fits else "",
        more=fit.more,
    )  # fmt: skip


def _said(rules: FitRules, family: PartFamily, features: Mapping[str, Feature]) -> list[str]:
    return [
        f"{rule.name} {_shown(rules, rule, features[rule.feature])}"
        for rule in rules.families[family].features
        if rule.feature in features
    ]


def _beside(query: Query, found: NumberAnswer, rules: FitRules) -> str:
    """Say what was told beside a number, and how many are so."""
    if query.told is None or found.typed != query.number:
        return ""
    so = [each.part.family for each in found.found if each.as_told]
    if not so:
        return " None of these is as told with it."
    name = [rules.families[so[0]].name] if query.family is not None else []
    told = ", ".join([*name, *_said(rules, so[0], query.told[so[0]])])
    return f" Told with it, {told}: {len(so)} of these {'is' if len(so) == 1 else 'are'} so."


def _numbers_view(
    answer: PartsAnswer, found: NumberAnswer, pricing: PartPricing, rules: FitRules
) -> PartsView:
    standing, apart, asks = answer.standing, answer.apart, tuple[Ask, ...]()
    read_as = f"{found.how_read}{_beside(answer.query, found, rules)}"
    if apart is not None:
        read_as += f" What is its {apart.rule.name}? The heater would tell them apart too."
        cut = len(found.typed.strip()) + 1
        asks = tuple(Ask(text[cut:], text) for text in apart.searches)
    return PartsView(
        typed=found.typed,
        read_as=read_as,
        asks=asks,
        numbers=tuple(build_number_card(each, standing, pricing) for each in found.found),
        chain=tuple(part.number for part in found.chain),
        alike=tuple(build_today_card(part, standing, pricing) for part in found.alike),
    )


def _fit_card(fit: Fit, pricing: PartPricing) -> FitCard:
    word, tone = FIT_WORDS[fit.fit_class]
    if fit.fit_class is FitClass.ALIKE and any(each.status == "unknown" for each in fit.reasons):
        word, tone = "Alike as far as known", "check"
    supplied = fit.supplied()
    where, where_tone = where_it_is(fit.stock)
    return FitCard(
        number=fit.part.number,
        description=fit.part.description,
        maker=fit.part.maker,
        fit_word=word,
        fit_tone=tone,
        price=price_of(supplied, pricing),
        where=where,
        where_tone=where_tone,
        reasons=tuple(Reason(*STATUS_WORDS[each.status], each.sentence) for each in fit.reasons),
        check_these=fit.check_these,
        lacks=fit.lacks,
        adds=fit.adds,
        besides=tuple(beside(each, pricing) for each in fit.companions),
    )
