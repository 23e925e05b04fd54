"""What repairing comes to if the finding is wrong, for the technician's eyes."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from app import formatting
from app.doubting import ASSUMED
from estimator.findings import FINDINGS, REMEDIES

if TYPE_CHECKING:
    from app.doubting import Doubt, Trial

CERTAIN = 0.995


@dataclass(frozen=True)
class TrialShown:
    """One repair that may be tried: what it is, what it mends, its chance and its price."""

    name: str
    mends: str
    chance: str
    share: float
    price: str
    tried: bool


@dataclass(frozen=True)
class DoubtView:
    """The repairs in the order of trying, what doubt costs, and what follows from it."""

    title: str
    sentence: str
    trials: tuple[TrialShown, ...]
    figures: tuple[tuple[str, str], ...]
    verdict: str
    assumed: tuple[str, ...]


def build_doubt_view(doubt: Doubt | None) -> DoubtView | None:
    """Say what being wrong about the finding is expected to cost.

    Parameters
    ----------
    doubt
        What was worked out, or ``None`` where the finding is settled.

    Returns
    -------
    The view, or ``None`` where there is nothing to say.
    """
    if doubt is None:
        return None
    cost, replacement = doubt.cost, doubt.replacement
    years = formatting.years(doubt.study_years)
    return DoubtView(
        title="If the finding is wrong",
        sentence=f"The readings leave it open: {_percent(cost.chance_first_is_right)} that this "
        "repair mends it. The customer does not see this.",
        trials=tuple(_trial(trial, doubt) for trial in doubt.trials),
        figures=(
            (f"Setting out to repair, expected over {years}", formatting.whole_money(cost.lcc)),
            ("More than if it were known beforehand", formatting.whole_money(cost.doubt_cost)),
            (f"{replacement.name} now", formatting.whole_money(replacement.cost.lcc)),
            ("Replaced after all", _replaced(cost.chance_replaced)),
            ("Most that is paid for repairs", formatting.money(cost.dearest_price)),
        ),
        verdict=_verdict(doubt),
        assumed=ASSUMED,
    )


def _trial(trial: Trial, doubt: Doubt) -> TrialShown:
    attempt, price = trial.attempt, trial.repair_price
    named = [FINDINGS[finding].name.lower() for finding in attempt.findings]
    return TrialShown(
        name=REMEDIES[attempt.remedy].name,
        mends=f"Mends: {formatting.listed(named)}",
        chance=_percent(attempt.probability),
        share=attempt.probability,
        price="no repair" if price is None else formatting.money(price),
        tried=attempt.findings[0].value in doubt.cost.tried,
    )


def _percent(chance: float) -> str:
    return "over 99%" if chance > CERTAIN else formatting.percent(chance, 0)


def _replaced(chance: float) -> str:
    return f"in {round(100 * chance)} of 100" if chance else "never: each repair is tried"


def _verdict(doubt: Doubt) -> str:
    apart = formatting.whole_money(abs(doubt.replacement.cost.lcc - doubt.cost.lcc))
    if doubt.repair_is_cheaper:
        return f"With the doubt counted, repairing still costs less, by {apart}."
    return (
        f"With the doubt counted, replacing now costs less, by {apart}. "
        "Take one more reading before you offer the repair."
    )
