"""Every finding by how probable the readings make it.

The numbers are in `likelihood_table`: common practice, no source. They order what to look
at; they never decide what is fitted, which is what `evidence.grade` and the stops are for.
"""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date
from math import log
from typing import Annotated

import numpy as np
from pydantic import BaseModel, ConfigDict, Field

from estimator.evidence_plate import plate_rules_out
from estimator.evidence_rules import RULES
from estimator.findings import Finding, Hazards, Readings
from estimator.heater import RatingPlate
from estimator.likelihood_network import FINDING_ORDER, Floats, network, posterior, prior_of
from estimator.reading_guides import label_of
from estimator.reading_words import Seen, reading_shown, words_of

SOURCE = "common practice, no source"
BY_THE_MAKER = " by the maker"
TANK_LEAKS = "tank_leaks"
MOST_REASONS = 3
SPEAKS_BY = log(1.25)
"""A reading is a reason where it moves a finding by a quarter or more."""

UNSAID = "No reading taken so far speaks on it; this is how often it is met on such heaters."
LEAK_SENTENCES = {
    "yes": "The tank was seen to leak",
    "no": "The tank was looked at and does not leak",
}

Probability = Annotated[float, Field(ge=0, le=1)]


class RankedFinding(BaseModel):
    """A finding and how probable it is [1] with what is known, with the reasons."""

    model_config = ConfigDict(frozen=True, extra="forbid")

    finding: Finding
    probability: Probability
    why: tuple[str, ...]


def rank_findings(
    plate: RatingPlate,
    readings: Readings,
    setpoint_f: float | None = None,
    on: date | None = None,
    hazards: Hazards | None = None,
) -> tuple[RankedFinding, ...]:
    """Rank every finding by its probability with the readings and the plate.

    Parameters
    ----------
    plate
        The rating plate: ignition, chamber, venting, and the date of manufacture.
    readings
        What was measured and seen; what was not looked at says nothing.
    setpoint_f
        Set point [°F], for the outlet temperature to be held against.
    on
        The day of the visit, for the heater's age; a middle age without it.
    hazards
        Where they were looked for: whether the tank leaks.

    Returns
    -------
    All findings, the most probable first. The probabilities add to 1 [1]; a finding that
    the plate rules out has none, with the reason.

    Notes
    -----
    Holds for one fault, and one that is among the findings: two at once, or something
    else, are shared out among those named here. The readings are taken as independent
    given the finding, except that a voltage depends on the flame, the loaded voltage on the
    open one, and the flowing pressure on the standing one. A reading that cannot be right
    counts as not taken. All numbers are common practice, no source.
    """
    prior = prior_of(plate, on)
    told = told_of(plate, readings, setpoint_f, hazards)
    chances = posterior(prior, network().likelihood(told))
    moved = _moved(prior, chances, told)
    sentences = _sentences(plate, readings, setpoint_f, told)
    ranked = [
        RankedFinding(
            finding=finding,
            probability=float(chances[place]),
            why=plate_rules_out(finding, plate)
            or _why({reading: float(by[place]) for reading, by in moved.items()}, sentences),
        )
        for place, finding in enumerate(FINDING_ORDER)
    ]
    return tuple(sorted(ranked, key=lambda each: -each.probability))


def told_of(
    plate: RatingPlate,
    readings: Readings,
    setpoint_f: float | None = None,
    hazards: Hazards | None = None,
) -> dict[str, str]:
    """Return what was taken as the tables of likelihoods call it.

    Parameters
    ----------
    plate, readings, setpoint_f, hazards
        As for `rank_findings`.

    Returns
    -------
    Reading → its word, in the order of the tables.
    """
    words = words_of(Seen(plate, readings, setpoint_f))
    told = {node_of(reading, plate): _plain_word(word) for reading, word in words.items()}
    if hazards is not None:
        told[TANK_LEAKS] = "yes" if hazards.tank_leaks else "no"
    return {name: told[name] for name in network().nodes if name in told}


def node_of(reading: str, plate: RatingPlate) -> str:
    """Return the name of a reading in the tables of likelihoods for this heater."""
    figure_known = plate.drop_out_most_millivolts is not None
    by_figure = reading == "millivolts_at_drop_out" and figure_known
    return reading + BY_THE_MAKER if by_figure else reading


def _plain_word(word: str) -> str:
    """Leave out of a word what it says of another reading: the network knows that itself."""
    return "low" if word.startswith("low") else word


def _moved(prior: Floats, chances: Floats, told: Mapping[str, str]) -> dict[str, Floats]:
    """Return by how much each reading moved each finding: the log of the ratio [1]."""
    moved = {}
    for reading in told:
        others = {name: word for name, word in told.items() if name != reading}
        without = posterior(prior, network().likelihood(others))
        ratio = np.divide(chances, without, out=np.ones_like(chances), where=without > 0)
        moved[reading] = np.log(ratio)
    return moved


def _why(moved_by: Mapping[str, float], sentences: Mapping[str, str]) -> tuple[str, ...]:
    speaking = [reading for reading, by in moved_by.items() if abs(by) >= SPEAKS_BY]
    speaking.sort(key=lambda reading: -abs(moved_by[reading]))
    return tuple(
        f"{sentences[reading]}: {'more' if moved_by[reading] > 0 else 'less'} likely."
        for reading in speaking[:MOST_REASONS]
    ) or (UNSAID,)


def _sentences(
    plate: RatingPlate, readings: Readings, setpoint_f: float | None, told: Mapping[str, str]
) -> dict[str, str]:
    """Return what each reading says as a sentence without its full stop."""
    rules = {(rule.reading, rule.says): rule.sentence for rule in RULES}
    said = {}
    for reading, word in words_of(Seen(plate, readings, setpoint_f)).items():
        shown = reading_shown(reading, readings)
        plain = f"{label_of(reading)}: {shown or word}"
        said[node_of(reading, plate)] = rules.get((reading, word), plain).format(value=shown)
    if TANK_LEAKS in told:
        said[TANK_LEAKS] = LEAK_SENTENCES[told[TANK_LEAKS]]
    return said
