"""What else may be wrong, by probability, and the one reading that would tell most."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Final

from app import formatting
from app.views.payload import day_of, hazards_of, readings_of, setpoint_of
from estimator.findings import FINDINGS, Finding
from estimator.likelihood import rank_findings
from estimator.likelihood_next import next_reading
from estimator.reading_guides import label_of

if TYPE_CHECKING:
    from app.views.payload import Payload
    from estimator.heater import RatingPlate
    from estimator.likelihood import RankedFinding
    from estimator.likelihood_next import NextReading

SHOWN: Final = 4
AT_LEAST: Final = 3
LEAST_SHOWN: Final = 0.01
BASIS: Final = (
    "Chances are common practice, no source. They order what to look at; they decide nothing."
)
OUTCOMES_SHOWN: Final = 3


@dataclass(frozen=True)
class LikelyFinding:
    """A finding with its chance in words and as a share of 1, and why."""

    slug: str
    name: str
    chance: str
    share: float
    why: tuple[str, ...]
    named: bool


@dataclass(frozen=True)
class TellingNext:
    """The reading to take next: how it is called, how long it takes, what it may say."""

    name: str
    minutes: str
    outcomes: tuple[str, ...]


@dataclass(frozen=True)
class Likely:
    """Findings by probability, the named one among them; the reading to take next."""

    title: str
    rows: tuple[LikelyFinding, ...]
    next: TellingNext | None
    basis: str = BASIS


def build_likely(
    payload: Payload, plate: RatingPlate | None, named: Finding | None
) -> Likely | None:
    """Rank what may be wrong, and say which reading would tell most for its time.

    Parameters
    ----------
    payload
        The draft.
    plate
        The rating plate; without it nothing is ranked.
    named
        The finding that the technician named.

    Returns
    -------
    The few most probable findings and the named one, or ``None`` without a plate.
    """
    if plate is None:
        return None
    known = (plate, readings_of(payload), setpoint_of(payload), day_of(payload))
    hazards = hazards_of(payload)
    ranked = rank_findings(*known, hazards)
    shown = [
        each
        for place, each in enumerate(ranked)
        if each.finding is named
        or place < AT_LEAST
        or (place < SHOWN and each.probability >= LEAST_SHOWN)
    ]
    return Likely(
        title="What else it may be" if named else "What it may be",
        rows=tuple(_row(each, named) for each in shown),
        next=_next(next_reading(*known, hazards)),
    )


def _row(ranked: RankedFinding, named: Finding | None) -> LikelyFinding:
    return LikelyFinding(
        slug=ranked.finding.value,
        name=FINDINGS[ranked.finding].name,
        chance=chance_said(ranked.probability),
        share=ranked.probability,
        why=ranked.why,
        named=ranked.finding is named,
    )


def chance_said(probability: float) -> str:
    """Say a probability as a percentage that never claims certainty.

    Parameters
    ----------
    probability
        From 0 to 1.

    Returns
    -------
    The percentage.
    """
    if probability < LEAST_SHOWN:
        return "under 1%"
    return "over 99%" if probability > 1 - LEAST_SHOWN else formatting.percent(probability, 0)


def _next(reading: NextReading | None) -> TellingNext | None:
    if reading is None:
        return None
    outcomes = tuple(
        f"“{outcome.word.replace('_', ' ')}” puts {FINDINGS[outcome.finding].name.lower()} at "
        f"{chance_said(outcome.probability)}"
        for outcome in reading.outcomes[:OUTCOMES_SHOWN]
    )
    return TellingNext(
        name=label_of(reading.reading),
        minutes=f"about {formatting.number(reading.minutes, 1, trim=True)} min",
        outcomes=outcomes,
    )
