"""Which repairs may be tried when the readings leave the finding open.

A remedy often mends more than one finding: a new sensing element mends a fouled one as
well. So what may be tried are remedies, each with the findings that it mends.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

from estimator.findings import FINDINGS, Finding, Remedy

if TYPE_CHECKING:
    from collections.abc import Sequence

    from estimator.likelihood import RankedFinding

SETTLED_FROM = 0.9
"""Chance of the named remedy from which nobody would speak of a doubt: judgment, no source."""

COUNTED_FROM = 0.03
"""Findings less likely than this are left out: judgment, no source."""


class Attempt(NamedTuple):
    """A remedy that may be tried: the findings that it mends, and their chance together [1].

    The first of `findings` is the likeliest, but that of the remedy chosen is the one named.
    """

    remedy: Remedy
    findings: tuple[Finding, ...]
    probability: float


def possible_attempts(
    named: Finding, remedy: Remedy, ranked: Sequence[RankedFinding]
) -> tuple[Attempt, ...]:
    """Gather what may have to be tried before the heater runs.

    Parameters
    ----------
    named
        The finding named.
    remedy
        The remedy chosen for it.
    ranked
        Every finding with its probability.

    Returns
    -------
    The remedy chosen first, then the usual remedy of each finding that it does not mend,
    the likeliest first. The chances add to 1 [1]; findings below `COUNTED_FROM` are left
    out.

    Notes
    -----
    The findings are taken to be the only ones, and one of them to be true, as
    `likelihood.rank_findings` does.
    """
    left = [
        each
        for each in sorted(ranked, key=lambda each: -each.probability)
        if each.probability >= COUNTED_FROM or each.finding is named
    ]
    left.sort(key=lambda each: each.finding is not named)
    total = sum(each.probability for each in left)
    attempts: list[Attempt] = []
    while left:
        chosen = remedy if not attempts else FINDINGS[left[0].finding].remedies[0]
        mended = [
            each for each in left if each is left[0] or chosen in FINDINGS[each.finding].remedies
        ]
        left = [each for each in left if each not in mended]
        chance = sum(each.probability for each in mended) / total if total else 0.0
        attempts.append(Attempt(chosen, tuple(each.finding for each in mended), chance))
    return tuple(attempts)


def is_settled(attempts: Sequence[Attempt]) -> bool:
    """Say whether the readings leave no doubt that is worth a word.

    Parameters
    ----------
    attempts
        What `possible_attempts` gave.

    Returns
    -------
    Whether the remedy chosen is as good as sure to mend the heater.
    """
    return attempts[0].probability >= SETTLED_FROM
