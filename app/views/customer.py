"""What a customer may see of an estimate, in plain words: for page, PDF and terminal.

The view holds finished text, so that every surface says the same. Nothing of what a job
costs the shop can be in it: it is built from types that do not hold it.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from app import formatting
from app.views import customer_words as words
from app.views.customer_chart import Chart, build_chart
from app.views.customer_facts import Fact, build_facts, build_unknowns
from app.views.customer_sides import (
    OtherReplacement,
    Side,
    build_other,
    build_repair_side,
    build_replacement_side,
    pick_compared,
    sentence,
)
from estimator.findings import FINDINGS
from estimator.verdict import VerdictKind

if TYPE_CHECKING:
    from datetime import date

    from app.visit import Visit
    from estimator.cautions import Caution, Stop
    from estimator.estimate import Estimate, ReplacementPath
    from estimator.rates import QuoteTerms, Shop


# Cautions about what this view does not show: it says nothing of carbon dioxide.
NOT_SHOWN = frozenset({"average_grid"})


@dataclass(frozen=True)
class Issued:
    """The mark of an issued quote: its number, revision, and the days it holds."""

    number: str
    revision: int
    issued_on: date
    valid_until: date


@dataclass(frozen=True)
class ShopShown:
    """Who issues the quote; `invented` marks a demo shop."""

    name: str
    contact: tuple[str, ...]
    invented: bool


@dataclass(frozen=True)
class Heading:
    """Number, dates and people of the quote; `number` is ``None`` for a draft."""

    number: str | None
    revision: int | None
    issued_on: str | None
    valid_until: str | None
    valid_text: str
    visit_on: str
    technician: str
    customer_name: str
    customer_address: str
    heater: str
    day_iso: str


@dataclass(frozen=True)
class StopShown:
    """A condition that closes a path, and what to do about it."""

    why: str
    what_to_do: str


@dataclass(frozen=True)
class Note:
    """A caution, with its source where there is a published one."""

    text: str
    source: str


@dataclass(frozen=True)
class VerdictShown:
    """How the verdict reads: `kind` is repair, replace, either or closed."""

    kind: str
    headline: str
    compared: str
    reasons: tuple[str, ...]
    turns: tuple[str, ...]
    rules_of_thumb: tuple[str, ...]


@dataclass(frozen=True)
class CustomerView:
    """All that the customer reads, as finished text, in the order of the quote.

    `choices` are what may be signed for; there are none on a draft or where no path is
    open, and none is chosen beforehand. `chart` holds the only bare numbers [USD].
    """

    shop: ShopShown
    heading: Heading
    finding: str
    finding_plain: str
    stops: tuple[StopShown, ...]
    verdict: VerdictShown
    per_month_label: str
    over_study_label: str
    monthly_means: str
    repair: Side
    replace: Side
    others: tuple[OtherReplacement, ...]
    chart: Chart | None
    facts: tuple[Fact, ...]
    unknowns: tuple[str, ...]
    cautions: tuple[Note, ...]
    notes: tuple[Note, ...]
    terms: str
    choices: tuple[str, ...]


def build_customer_view(
    visit: Visit,
    estimate: Estimate,
    shop: Shop,
    terms: QuoteTerms,
    issued: Issued | None = None,
) -> CustomerView:
    """Put an estimate into the words that the customer reads.

    Parameters
    ----------
    visit
        The visit that the estimate is of.
    estimate
        The estimate, which holds no cost and no margin.
    shop
        Who issues the quote.
    terms
        How the shop quotes: itemised or lump, how long prices hold, its terms. The
        margin floor in it is not looked at.
    issued
        Number, revision and days of an issued quote; ``None`` for a draft.

    Returns
    -------
    The view.
    """
    compared = pick_compared(estimate)
    repair = build_repair_side(visit, estimate, terms.lump_sum)
    replace = build_replacement_side(estimate, compared, terms.lump_sum)
    study = formatting.years(estimate.study_years)
    finding = FINDINGS[visit.work.finding]
    return CustomerView(
        shop=ShopShown(
            name=shop.name,
            contact=tuple(part for part in (shop.address, shop.phone, shop.license) if part),
            invented=shop.invented or visit.invented,
        ),
        heading=_heading(visit, estimate, terms, issued),
        finding=finding.name,
        finding_plain=finding.plain,
        stops=tuple(_stop(stop) for stop in estimate.stops),
        verdict=_verdict(estimate, repair, replace, compared),
        per_month_label=words.PER_MONTH.format(years=study),
        over_study_label=words.OVER_STUDY.format(years=study),
        monthly_means=(
            words.MONTHLY_MEANS.format(years=study) if repair.open or replace.open else ""
        ),
        repair=repair,
        replace=replace,
        others=tuple(
            build_other(path, compared)
            for path in estimate.replacements
            if compared is None or path.slug != compared.slug
        ),
        chart=build_chart(estimate, compared),
        facts=build_facts(visit, estimate),
        unknowns=build_unknowns(visit, estimate),
        cautions=_notes(estimate, ("safety",)),
        notes=_notes(estimate, ("fit", "money", "energy")),
        terms=terms.terms,
        choices=_choices(repair, replace) if issued else (),
    )


def _heading(visit: Visit, estimate: Estimate, terms: QuoteTerms, issued: Issued | None) -> Heading:
    plate = visit.heater
    heater = (
        f"{formatting.quantity(plate.tank_volume_gal)} gallon {words.FUELS[plate.fuel]} tank, "
        + words.MADE.format(
            month=formatting.month_and_year(plate.manufactured),
            age=formatting.age(estimate.heater.age_years),
        )
        + f", {words.PLACES[visit.site.location]}"
    )
    shared: dict[str, Any] = {
        "visit_on": formatting.long_date(visit.visit.date),
        "technician": visit.visit.technician,
        "customer_name": visit.visit.customer_name,
        "customer_address": visit.visit.customer_address,
        "heater": heater,
    }
    if issued is None:
        return Heading(
            number=None,
            revision=None,
            issued_on=None,
            valid_until=None,
            valid_text=words.VALID_DAYS.format(days=terms.valid_days),
            day_iso=visit.visit.date.isoformat(),
            **shared,
        )
    until = formatting.long_date(issued.valid_until)
    return Heading(
        number=issued.number,
        revision=issued.revision,
        issued_on=formatting.long_date(issued.issued_on),
        valid_until=until,
        valid_text=words.VALID_UNTIL.format(day=until),
        day_iso=issued.issued_on.isoformat(),
        **shared,
    )


def _stop(stop: Stop) -> StopShown:
    return StopShown(why=sentence(stop.why), what_to_do=sentence(stop.what_to_do))


def _notes(estimate: Estimate, topics: tuple[str, ...]) -> tuple[Note, ...]:
    kept: list[Caution] = [
        caution
        for caution in estimate.cautions
        if caution.topic in topics and caution.code not in NOT_SHOWN
    ]
    return tuple(Note(text=caution.message, source=_source(caution.source)) for caution in kept)


def _source(source: str) -> str:
    """Leave out a source that only says there is none: it tells the customer nothing."""
    return "" if "no source" in source else source


def _verdict(
    estimate: Estimate, repair: Side, replace: Side, compared: ReplacementPath | None
) -> VerdictShown:
    verdict = estimate.verdict
    return VerdictShown(
        kind=verdict.kind.value,
        headline=_headline(verdict.kind, repair, replace),
        compared=_compared(estimate, repair, compared if replace.open else None),
        reasons=verdict.reasons,
        turns=verdict.turns_at,
        rules_of_thumb=tuple(
            words.RULE.format(name=rule.name, says=words.RULE_SAYS[rule.says], why=rule.why)
            for rule in verdict.rules_of_thumb
        ),
    )


def _headline(kind: VerdictKind, repair: Side, replace: Side) -> str:
    if not (repair.open or replace.open):
        return words.NEITHER
    if not replace.open:
        return words.ONLY_REPAIR
    if not repair.open:
        return words.ONLY_REPLACE
    return {
        VerdictKind.REPAIR: words.REPAIR_COSTS_LESS,
        VerdictKind.REPLACE: words.REPLACE_COSTS_LESS,
        VerdictKind.EITHER: words.EITHER_IS_SOUND,
        VerdictKind.CLOSED: words.NEITHER,
    }[kind]


def _compared(estimate: Estimate, repair: Side, compared: ReplacementPath | None) -> str:
    if compared is None or not repair.open:
        return ""
    return words.COMPARED.format(
        years=formatting.years(estimate.study_years),
        repair=formatting.whole_money(estimate.repair.cost.lcc),
        replace=formatting.whole_money(compared.cost.lcc),
    )


def _choices(repair: Side, replace: Side) -> tuple[str, ...]:
    choices = []
    if repair.open:
        choices.append(words.CHOOSE_REPAIR.format(what=repair.what, price=repair.you_pay))
    if replace.open:
        choices.append(words.CHOOSE_REPLACE.format(what=replace.what, price=replace.you_pay))
    return (*choices, words.CHOOSE_NEITHER) if choices else ()


__all__ = [
    "Chart",
    "CustomerView",
    "Fact",
    "Issued",
    "OtherReplacement",
    "Side",
    "build_customer_view",
]
