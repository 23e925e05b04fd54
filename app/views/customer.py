"""What a customer may see of an estimate, in plain words: for page, PDF and terminal.

The view holds finished text, so that every surface says the same. Nothing of what a job
costs the shop can be in it: it is built from types that do not hold it.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from app.language.speech import INVENTED, Speech
from app.views import customer_words as words
from app.views.customer_acceptance import (
    NEITHER,
    REPAIR,
    REPLACE,
    Acceptance,
    AcceptanceShown,
    show_acceptance,
)
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
from estimator.errors import InputTrouble
from estimator.findings import FINDINGS
from estimator.verdict import VerdictKind

if TYPE_CHECKING:
    from datetime import date

    from app.visit import Visit
    from estimator.cautions import Stop
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

    `choices` are what may be signed for, `choice_keys` their keys beside them; there are
    none on a draft, on a quote that has lapsed or is signed already, or where no path is
    open, and none is chosen beforehand. `chart` holds the only bare numbers [USD].
    `labels` are the words of headings and fields; `customer_link` the address of the
    customer's own page, where he has one.
    """

    language: str
    units: str
    labels: dict[str, str]
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
    choice_keys: tuple[str, ...]
    lapsed: bool
    acceptance: AcceptanceShown | None
    customer_link: str | None


def build_customer_view(
    visit: Visit,
    estimate: Estimate,
    shop: Shop,
    terms: QuoteTerms,
    issued: Issued | None = None,
    *,
    language: str = "en",
    units: str = "us",
    today: date | None = None,
    acceptance: Acceptance | None = None,
    customer_link: str | None = None,
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
    language
        ``en`` or ``es``.
    units
        ``us`` or ``si``.
    today
        The day on which it is read; past its validity an issued quote that nobody signed
        has lapsed. Without it the quote is shown as on its day of issue.
    acceptance
        What the customer signed, where he has.
    customer_link
        Address of the customer's own page.

    Returns
    -------
    The view.

    Raises
    ------
    ValueError
        If the language or the units are not known.
    InputTrouble
        If the acceptance is not whole, or the link is no web address.
    """
    invented = shop.invented or visit.invented
    speech = Speech(language, units, _said_at_the_head(visit, invented=invented))
    say, retell = speech.say, speech.retell
    compared = pick_compared(estimate)
    repair = build_repair_side(visit, estimate, terms.lump_sum, speech)
    replace = build_replacement_side(estimate, compared, terms.lump_sum, speech)
    study = speech.formats.years(estimate.study_years)
    finding = FINDINGS[visit.work.finding]
    lapsed = _lapsed(issued, today, acceptance)
    offered = issued is not None and not lapsed and acceptance is None
    choices = _choices(repair, replace, speech) if offered else {}
    return CustomerView(
        language=language,
        units=units,
        labels={key: say(text) for key, text in words.LABELS.items()},
        shop=ShopShown(
            name=shop.name,
            contact=tuple(part for part in (shop.address, shop.phone, shop.license) if part),
            invented=invented,
        ),
        heading=_heading(visit, estimate, terms, issued, speech, lapsed=lapsed),
        finding=retell(finding.name),
        finding_plain=retell(finding.plain),
        stops=tuple(_stop(stop, speech) for stop in estimate.stops),
        verdict=_verdict(estimate, repair, replace, compared, speech),
        per_month_label=say(words.PER_MONTH, years=study),
        over_study_label=say(words.OVER_STUDY, years=study),
        monthly_means=(
            say(words.MONTHLY_MEANS, years=study) if repair.open or replace.open else ""
        ),
        repair=repair,
        replace=replace,
        others=tuple(
            build_other(path, compared, speech)
            for path in estimate.replacements
            if compared is None or path.slug != compared.slug
        ),
        chart=build_chart(estimate, compared, speech),
        facts=build_facts(visit, estimate, speech),
        unknowns=build_unknowns(visit, estimate, speech),
        cautions=_notes(estimate, ("safety",), speech),
        notes=_notes(estimate, ("fit", "money", "energy"), speech),
        terms=retell(terms.terms),
        choices=tuple(choices.values()),
        choice_keys=tuple(choices),
        lapsed=lapsed,
        acceptance=show_acceptance(acceptance, speech) if acceptance else None,
        customer_link=_checked_link(customer_link),
    )


def _said_at_the_head(visit: Visit, *, invented: bool) -> tuple[str, ...]:
    """Return what the names of new heaters need not repeat."""
    plate = visit.heater
    same = tuple(f", {each.value.replace('_', ' ')}" for each in (plate.fuel, plate.venting))
    return (INVENTED, *same) if invented else same


def _lapsed(issued: Issued | None, today: date | None, acceptance: Acceptance | None) -> bool:
    if issued is None or today is None or acceptance is not None:
        return False
    return today > issued.valid_until


def _checked_link(address: str | None) -> str | None:
    if address is None or address.startswith(("https://", "http://")):
        return address
    raise InputTrouble(
        f'"{address[:60]}" is not an address that a phone can open',
        "the customer's link",
        "It starts with https:// or http://.",
    )


def _heading(
    visit: Visit,
    estimate: Estimate,
    terms: QuoteTerms,
    issued: Issued | None,
    speech: Speech,
    *,
    lapsed: bool,
) -> Heading:
    say, formats = speech.say, speech.formats
    shared: dict[str, Any] = {
        "visit_on": formats.long_date(visit.visit.date),
        "technician": visit.visit.technician,
        "customer_name": visit.visit.customer_name,
        "customer_address": visit.visit.customer_address,
        "heater": _heater(visit, estimate, speech),
    }
    if issued is None:
        return Heading(
            number=None,
            revision=None,
            issued_on=None,
            valid_until=None,
            valid_text=say(words.VALID_DAYS, days=terms.valid_days),
            day_iso=visit.visit.date.isoformat(),
            **shared,
        )
    until = formats.long_date(issued.valid_until)
    return Heading(
        number=issued.number,
        revision=issued.revision,
        issued_on=formats.long_date(issued.issued_on),
        valid_until=until,
        valid_text=say(words.LAPSED if lapsed else words.VALID_UNTIL, day=until),
        day_iso=issued.issued_on.isoformat(),
        **shared,
    )


def _heater(visit: Visit, estimate: Estimate, speech: Speech) -> str:
    plate, say, formats = visit.heater, speech.say, speech.formats
    gallons = formats.quantity(plate.tank_volume_gal)
    plain = speech.units == "us" and speech.language == "en"
    size = say(words.TANK_SIZE, gallons=gallons) if plain else formats.volume(plate.tank_volume_gal)
    return say(
        words.HEATER,
        volume=size,
        fuel=say(words.FUELS[plate.fuel]),
        month=formats.month_and_year(plate.manufactured),
        age=formats.age(estimate.heater.age_years),
        place=say(words.PLACES[visit.site.location]),
    )


def _stop(stop: Stop, speech: Speech) -> StopShown:
    return StopShown(
        why=sentence(speech.retell(stop.why)), what_to_do=sentence(speech.retell(stop.what_to_do))
    )


def _notes(estimate: Estimate, topics: tuple[str, ...], speech: Speech) -> tuple[Note, ...]:
    """Say the cautions of some topics, each thing once."""
    kept = [
        Note(speech.retell(caution.message), speech.retell(_source(caution.source)))
        for caution in estimate.cautions
        if caution.topic in topics and caution.code not in NOT_SHOWN
    ]
    return tuple({note.text: note for note in kept}.values())


def _source(source: str) -> str:
    """Leave out a source that only says there is none: it tells the customer nothing."""
    return "" if "no source" in source else source


def _verdict(
    estimate: Estimate,
    repair: Side,
    replace: Side,
    compared: ReplacementPath | None,
    speech: Speech,
) -> VerdictShown:
    verdict, say, retell = estimate.verdict, speech.say, speech.retell
    return VerdictShown(
        kind=verdict.kind.value,
        headline=say(_headline(verdict.kind, repair, replace)),
        compared=_compared(estimate, repair, compared if replace.open else None, speech),
        reasons=tuple(retell(reason) for reason in verdict.reasons),
        turns=tuple(retell(turn) for turn in verdict.turns_at),
        rules_of_thumb=tuple(
            say(
                words.RULE,
                name=retell(rule.name),
                says=say(words.RULE_SAYS[rule.says]),
                why=retell(rule.why),
            )
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


def _compared(
    estimate: Estimate, repair: Side, compared: ReplacementPath | None, speech: Speech
) -> str:
    if compared is None or not repair.open:
        return ""
    formats = speech.formats
    return speech.say(
        words.COMPARED,
        years=formats.years(estimate.study_years),
        repair=formats.whole_money(estimate.repair.cost.lcc),
        replace=formats.whole_money(compared.cost.lcc),
    )


def _choices(repair: Side, replace: Side, speech: Speech) -> dict[str, str]:
    """Return key → words of what may be chosen."""
    choices = {
        key: speech.say(words.CHOOSE, label=side.label, what=side.what, price=side.you_pay)
        for key, side in ((REPAIR, repair), (REPLACE, replace))
        if side.open
    }
    return {**choices, NEITHER: speech.say(words.CHOOSE_NEITHER)} if choices else {}


__all__ = [
    "Acceptance",
    "Chart",
    "CustomerView",
    "Fact",
    "Issued",
    "OtherReplacement",
    "Side",
    "build_customer_view",
]
