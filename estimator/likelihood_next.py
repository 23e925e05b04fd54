"""Which reading to take next: the most that can be learned for the time it takes."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from datetime import date
from functools import cache
from typing import NamedTuple

import numpy as np
from pydantic import BaseModel, ConfigDict

from estimator import likelihood_table
from estimator.findings import FINDINGS, Finding, Hazards, Readings
from estimator.heater import RatingPlate
from estimator.likelihood import Probability, node_of, told_of
from estimator.likelihood_network import (
    FINDING_ORDER,
    Floats,
    network,
    posterior,
    prior_of,
    table_rows,
)
from estimator.reading_guides import can_be_taken, fields_of, label_of
from estimator.reading_words import Seen, words_of

LEAST_BITS = 0.001
"""Less than this is told by nothing worth the time."""
OUTCOMES_SAID = 2


class Outcome(BaseModel):
    """What a reading may say: its word, the chance of it, and what it would make likely.

    `finding` would then have `probability` [1]; it is the named one, or the leading one.
    """

    model_config = ConfigDict(frozen=True, extra="forbid")

    word: str
    chance: Probability
    finding: Finding
    probability: Probability


class NextReading(BaseModel):
    """The reading that settles it soonest for the time it takes.

    `bits` is the expected drop in uncertainty [bit]; `minutes` [min] include laying out
    the tool where it is not out yet; `fields` are the ones of `Readings` to fill in.
    """

    model_config = ConfigDict(frozen=True, extra="forbid")

    reading: str
    fields: tuple[str, ...]
    why: str
    bits: float
    minutes: float
    outcomes: tuple[Outcome, ...]


class _Known(NamedTuple):
    prior: Floats
    told: dict[str, str]
    finding: Finding | None

    def chances(self, told: Mapping[str, str]) -> Floats:
        return posterior(self.prior, network().likelihood(told))


def next_reading(
    plate: RatingPlate,
    readings: Readings,
    setpoint_f: float | None = None,
    on: date | None = None,
    hazards: Hazards | None = None,
    finding: Finding | None = None,
    among: Collection[str] | None = None,
) -> NextReading | None:
    """Return the reading, not yet taken, that tells most for each minute it takes.

    Parameters
    ----------
    plate, readings, setpoint_f, on, hazards
        As for `likelihood.rank_findings`.
    finding
        Count only what is learned of this finding; without it, of all of them.
    among
        Readings to choose from; all without it.

    Returns
    -------
    The reading with what it may say; ``None`` when none that is left would tell, and
    while it smells of gas or flue gas spills, when nothing is measured.

    Notes
    -----
    Looks one reading ahead, not a whole plan. Times and likelihoods are common practice,
    no source. It does not say that a reading may safely be taken.
    """
    if hazards is not None and (hazards.gas_odor or hazards.flue_spills_or_co):
        return None
    told = told_of(plate, readings, setpoint_f, hazards)
    known = _Known(prior_of(plate, on), told, finding)
    left = [
        reading
        for reading in readings_left(plate, readings, setpoint_f)
        if among is None or reading in among
    ]
    bits = {reading: _bits(known, node_of(reading, plate)) for reading in left}
    worth = [reading for reading in left if bits[reading] >= LEAST_BITS]
    if not worth:
        return None
    tools_out = _tools_out(readings)
    best = max(worth, key=lambda reading: bits[reading] / minutes_for(reading, tools_out))
    outcomes = _outcomes(known, node_of(best, plate))
    minutes = minutes_for(best, tools_out)
    return NextReading(
        reading=best,
        fields=_fields_left(best, readings),
        why=_why(best, minutes, outcomes, known),
        bits=bits[best],
        minutes=minutes,
        outcomes=outcomes,
    )


def readings_left(
    plate: RatingPlate, readings: Readings, setpoint_f: float | None = None
) -> tuple[str, ...]:
    """Return the readings that could still be taken on this heater and would be judged.

    Parameters
    ----------
    plate, readings, setpoint_f
        As for `next_reading`; without a set point the outlet is not judged.

    Returns
    -------
    Names of readings as the evidence rules call them, in the order of their table.
    """
    words = words_of(Seen(plate, readings, setpoint_f))
    return tuple(
        reading
        for reading in reading_times()
        if node_of(reading, plate) in network().nodes
        and reading not in words
        and _fields_left(reading, readings)
        and can_be_taken(reading, plate)
        and (reading != "outlet_f" or setpoint_f is not None)
    )


def minutes_for(reading: str, tools_out: Collection[str] = ()) -> float:
    """Return how long a reading takes [min].

    Parameters
    ----------
    reading
        Name of a reading.
    tools_out
        Tools that are laid out already; another one is laid out first.
    """
    tool, minutes = reading_times()[reading]
    return minutes + (0.0 if tool in tools_out else _tool_minutes()[tool])


@cache
def reading_times() -> dict[str, tuple[str, float]]:
    """Return reading → its tool and the minutes with the tool laid out [min]."""
    rows = table_rows(likelihood_table.READING_TIMES)
    return {row["reading"]: (row["tool"], float(row["minutes"])) for row in rows}


@cache
def _tool_minutes() -> dict[str, float]:
    rows = table_rows(likelihood_table.TOOL_TIMES)
    return {row["tool"]: float(row["minutes"]) for row in rows}


def _tools_out(readings: Readings) -> frozenset[str]:
    return frozenset(
        tool
        for reading, (tool, _) in reading_times().items()
        if len(_fields_left(reading, readings)) < len(fields_of(reading))
    )


def _fields_left(reading: str, readings: Readings) -> tuple[str, ...]:
    return tuple(name for name in fields_of(reading) if getattr(readings, name) is None)


def _uncertainty(chances: Floats, finding: Finding | None) -> float:
    """Return the entropy of all findings, or of whether it is the named one [bit]."""
    if finding is not None:
        chance = chances[FINDING_ORDER.index(finding)]
        chances = np.array([chance, 1.0 - chance])
    some = chances[chances > 0]
    return float(-(some * np.log2(some)).sum())


def _chances_of_words(known: _Known, node: str) -> tuple[tuple[str, float, Floats], ...]:
    """Return each word of a reading, its chance, and the findings after it."""
    model = network()
    before = known.prior * model.likelihood(known.told)
    said = []
    for word in model.nodes[node].words:
        after = known.prior * model.likelihood({**known.told, node: word})
        said.append((word, float(after.sum() / before.sum()), after / after.sum()))
    return tuple(said)


def _bits(known: _Known, node: str) -> float:
    """Return the expected drop in uncertainty from a reading [bit]; never below zero."""
    now = _uncertainty(known.chances(known.told), known.finding)
    then = sum(
        chance * _uncertainty(after, known.finding)
        for _, chance, after in _chances_of_words(known, node)
    )
    return max(0.0, now - then)


def _outcomes(known: _Known, node: str) -> tuple[Outcome, ...]:
    outcomes = []
    for word, chance, after in _chances_of_words(known, node):
        leading = FINDING_ORDER[int(np.argmax(after))]
        about = known.finding or leading
        outcomes.append(
            Outcome(
                word=word,
                chance=chance,
                finding=about,
                probability=float(after[FINDING_ORDER.index(about)]),
            )
        )
    return tuple(sorted(outcomes, key=lambda each: -each.chance))


def _why(reading: str, minutes: float, outcomes: tuple[Outcome, ...], known: _Known) -> str:
    now = known.chances(known.told)
    said = [
        f'"{it.word}" would put "{FINDINGS[it.finding].name}" at {it.probability:.0%} '
        f"(now {now[FINDING_ORDER.index(it.finding)]:.0%})"
        for it in outcomes[:OUTCOMES_SAID]
    ]
    return f"{label_of(reading)}, about {minutes:g} min: {'; '.join(said)}."
