"""How the verdict reads to a customer: what costs less, why, and what would turn it."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from app.views import customer_words as words
from estimator.verdict import VerdictKind

if TYPE_CHECKING:
    from app.language.speech import Speech
    from app.views.customer_sides import Side
    from estimator.estimate import Estimate, ReplacementPath


@dataclass(frozen=True)
class VerdictShown:
    """How the verdict reads: `kind` is repair, replace, either or closed."""

    kind: str
    headline: str
    compared: str
    reasons: tuple[str, ...]
    turns: tuple[str, ...]
    rules_of_thumb: tuple[str, ...]


def build_verdict(
    estimate: Estimate,
    repair: Side,
    replace: Side,
    compared: ReplacementPath | None,
    speech: Speech,
) -> VerdictShown:
    """Build how the verdict reads.

    Parameters
    ----------
    estimate
        The estimate.
    repair, replace
        Both sides, which say what is open.
    compared
        The replacement that stands beside the repair, if any.
    speech
        The language and the units.

    Returns
    -------
    The verdict in words.
    """
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
