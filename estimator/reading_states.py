"""The one word to show beside a reading, so that color is never alone in saying it."""

from __future__ import annotations

from enum import StrEnum
from typing import Literal

from estimator.findings import Readings
from estimator.heater import RatingPlate
from estimator.reading_guides import can_be_taken
from estimator.reading_words import Seen, words_of

Tone = Literal["good", "check", "plain"]


class ReadingState(StrEnum):
    """How a reading stands to its limit; the value is the word to show."""

    NOT_TAKEN = "not taken"
    IN_RANGE = "in range"
    LOW = "low"
    HIGH = "high"
    CLOSED = "closed"
    OPEN = "open"
    BETWEEN = "neither closed nor open"
    UNDECIDED = "not decided without the maker's figure"
    NONE = "none"
    AS_IT_SHOULD_BE = "as it should be"
    NOT_AS_IT_SHOULD_BE = "not as it should be"
    NOTED = "noted"
    MEASURE_AGAIN = "cannot be, measure again"
    NOT_ON_THIS_HEATER = "not on this heater"

    @property
    def tone(self) -> Tone:
        """What the color says; never shown without the word."""
        if self in GOOD:
            return "good"
        return "plain" if self in PLAIN else "check"


GOOD = frozenset({ReadingState.IN_RANGE, ReadingState.CLOSED, ReadingState.AS_IT_SHOULD_BE})
PLAIN = frozenset({ReadingState.NOT_TAKEN, ReadingState.NOTED, ReadingState.UNDECIDED})

SAID = {
    "good": ReadingState.IN_RANGE,
    "high": ReadingState.HIGH,
    "closed": ReadingState.CLOSED,
    "open": ReadingState.OPEN,
    "none": ReadingState.NONE,
}
NO_IS_GOOD = frozenset({"drops_when_released", "windy_or_downdraft"})


def reading_state(
    reading: str, plate: RatingPlate, readings: Readings, setpoint_f: float | None = None
) -> ReadingState:
    """Say in a word how a reading stands to its limit on this heater.

    Parameters
    ----------
    reading
        Name of a field of `Readings`.
    plate
        The rating plate.
    readings
        All readings; some are judged with another (a voltage in its flame).
    setpoint_f
        Set point [°F], for the water at the outlet.

    Returns
    -------
    The state: its value is the word to show, its `tone` what a color may say beside it.
    """
    value = getattr(readings, reading)
    if value is None:
        return ReadingState.NOT_TAKEN
    if reading == "opened_cause":
        return ReadingState.NOTED if value.strip() else ReadingState.NOT_TAKEN
    if isinstance(value, bool | str):
        fine = value == "good" or value is (reading not in NO_IS_GOOD)
        return ReadingState.AS_IT_SHOULD_BE if fine else ReadingState.NOT_AS_IT_SHOULD_BE
    if not can_be_taken(reading, plate):
        return ReadingState.NOT_ON_THIS_HEATER
    return _measured(reading, value, words_of(Seen(plate, readings, setpoint_f)).get(reading))


def _measured(reading: str, value: float, word: str | None) -> ReadingState:
    if value < 0:
        return ReadingState.MEASURE_AGAIN
    if word is None:
        return ReadingState.NOTED if reading == "outlet_f" else ReadingState.MEASURE_AGAIN
    if word == "between":
        in_circuit = reading.endswith("_ohms")
        return ReadingState.BETWEEN if in_circuit else ReadingState.UNDECIDED
    if reading == "igniter_ohms" and word == "closed":
        return ReadingState.IN_RANGE
    return SAID.get(word, ReadingState.LOW)
