"""What a customer may see of an estimate, in plain words: for page, PDF and terminal.

The view holds finished text, so that every surface says the same. Nothing of what a job
costs the shop can be in it: it is built from types that do not hold it.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import starmap
from typing import TYPE_CHECKING

from app.language.speech import INVENTED, Speech
from app.views import customer_ground_words as ground_words
from app.views import customer_words as words
from app.views.customer_acceptance import (
    NEITHER,
    Acceptance,
    AcceptanceShown,
    show_acceptance,
)
from app.views.customer_chart import Chart, build_chart
from app.views.customer_facts import Fact, build_facts, build_unknowns
from app.views.customer_financing import financing_lines
from app.views.customer_grounds import Ground, Opened, build_grounds
from app.views.customer_head import Heading, ShopShown, build_heading, build_shop, say_terms
from app.views.customer_sides import (
    OtherReplacement,
    Side,
    build_other,
    build_repair_side,
    build_replacement_side,
    pick_compared,
    sentence,
)
from app.views.customer_state import ISSUED, LAPSED, Issued, state_of
from app.views.customer_verdict import VerdictShown, build_verdict
from estimator.errors import InputTrouble
from estimator.findings import FINDINGS

if TYPE_CHECKING:
    from collections.abc import Mapping
    from datetime import date

    from app.visit import Visit
    from estimator.cautions import Stop
    from estimator.estimate import Estimate
    from estimator.rates import QuoteTerms, Shop
    from estimator.supply import Incentive


# Cautions about what this view does not show: it says nothing of carbon dioxide.
NOT_SHOWN = frozenset({"average_grid"})


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
class CustomerView:
    """All that the customer reads, as finished text, in the order of the quote.

    `state` is draft, issued, accepted, declined, lapsed or superseded. `choices` are what may
    be signed for, `choice_keys` their keys beside them; there are none on a draft, on a quote
    that has lapsed, was revised or is answered already, or where no path is open, and none is
    chosen beforehand. `chart` holds the only bare numbers [USD].
    `grounds` open every number of sides, verdict and other heaters.
    `labels` are the words of headings and fields; `customer_link` the address of the
    customer's own page, where he has one.
    """

    language: str
    units: str
    state: str
    state_label: str
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
    grounds: tuple[Ground, ...]
    grounds_title: str
    unknowns: tuple[str, ...]
    cautions: tuple[Note, ...]
    notes: tuple[Note, ...]
    terms: str
    choices: tuple[str, ...]
    choice_keys: tuple[str, ...]
    acceptance: AcceptanceShown | None
    customer_link: str | None

    @property
    def lapsed(self) -> bool:
        """Whether its last day went by with no answer."""
        return self.state == LAPSED


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
    incentives: Mapping[str, tuple[Incentive, ...]] | None = None,
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
    incentives
        Replacement heater by slug → what others pay towards it.

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
    unsaid = _said_at_the_head(visit, invented=invented)
    speech = Speech(language, units, unsaid, terms.own_words(language))
    say, retell = speech.say, speech.retell
    compared = pick_compared(estimate)
    repair = build_repair_side(visit, estimate, terms.lump_sum, speech)
    offered = (incentives or {}).get(compared.slug, ()) if compared is not None else ()
    replace = build_replacement_side(estimate, compared, terms.lump_sum, speech, offered)
    study = speech.formats.years(estimate.study_years)
    finding = FINDINGS[visit.work.finding]
    state = state_of(issued, today, acceptance)
    others = tuple(
        build_other(path, compared, speech)
        for path in estimate.replacements
        if compared is None or path.slug != compared.slug
    )
    verdict = build_verdict(estimate, repair, replace, compared, speech)
    facts = build_facts(visit, estimate, speech)
    opened = Opened(
        visit, estimate, compared, repair, replace, others, verdict, facts, terms.lump_sum
    )
    choices = _choices((repair, replace), others, speech) if state == ISSUED else {}
    return CustomerView(
        language=language,
        units=units,
        state=state,
        state_label=say(words.STATES[state]),
        labels={key: say(text) for key, text in words.LABELS.items()},
        shop=build_shop(shop, invented=invented),
        heading=build_heading(visit, estimate, terms, issued, state, speech),
        finding=retell(finding.name),
        finding_plain=retell(finding.plain),
        stops=tuple(_stop(stop, speech) for stop in estimate.stops),
        verdict=verdict,
        per_month_label=say(words.PER_MONTH, years=study),
        over_study_label=say(words.OVER_STUDY, years=study),
        monthly_means=(
            say(words.MONTHLY_MEANS, years=study) if repair.open or replace.open else ""
        ),
        repair=repair,
        replace=replace,
        others=others,
        chart=build_chart(estimate, compared, speech),
        facts=facts,
        grounds=build_grounds(opened, speech),
        grounds_title=say(ground_words.TITLE),
        unknowns=build_unknowns(visit, estimate, speech),
        cautions=_notes(estimate, ("safety",), speech),
        notes=(
            *_notes(estimate, ("fit", "money", "energy"), speech),
            *starmap(
                Note,
                financing_lines(estimate, terms.financing, (repair.label, replace.label), speech),
            ),
        ),
        terms=say_terms(terms, speech),
        choices=tuple(choices.values()),
        choice_keys=tuple(choices),
        acceptance=show_acceptance(acceptance, speech) if acceptance else None,
        customer_link=_checked_link(customer_link),
    )


def _said_at_the_head(visit: Visit, *, invented: bool) -> tuple[str, ...]:
    """Return what the names of new heaters need not repeat."""
    plate = visit.heater
    same = tuple(f", {each.value.replace('_', ' ')}" for each in (plate.fuel, plate.venting))
    return (INVENTED, *same) if invented else same


def _checked_link(address: str | None) -> str | None:
    if address is None or address.startswith(("https://", "http://")):
        return address
    raise InputTrouble(
        f'"{address[:60]}" is not an address that a phone can open',
        "the customer's link",
        "It starts with https:// or http://.",
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


def _choices(
    sides: tuple[Side, Side], others: tuple[OtherReplacement, ...], speech: Speech
) -> dict[str, str]:
    """Return key → words of what may be chosen: every open path, and neither."""

    def words_of(label: str, what: str, price: str | None) -> str:
        return speech.say(words.CHOOSE, label=label, what=what, price=price)

    choices = {
        side.key: words_of(side.label, side.what, side.you_pay) for side in sides if side.open
    }
    label = speech.say(words.LABELS["replace"])
    choices |= {each.key: words_of(label, each.name, each.you_pay) for each in others if each.open}
    return {**choices, NEITHER: speech.say(words.CHOOSE_NEITHER)} if choices else {}
