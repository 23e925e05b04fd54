"""Cautions from the readings: not believable, out of the usual window, not yet ruled out."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date

from estimator.cautions import Caution
from estimator.evidence import Support, grade
from estimator.evidence_dear_part import dear, dear_part_cautions
from estimator.findings import FINDINGS, Finding, Readings, Remedy
from estimator.heater import RatingPlate
from estimator.reading_limits import FUEL_NAMES
from estimator.reading_words import (
    CLOSED_OHMS,
    INLET,
    MANIFOLD,
    OPEN_OHMS,
    OUTPUT_CLASS,
    Seen,
    words_of,
)

COMMON_PRACTICE = "common practice, no source"


def reading_cautions(
    plate: RatingPlate,
    readings: Readings,
    finding: Finding | None = None,
    remedy: Remedy | None = None,
    setpoint_f: float | None = None,
    on: date | None = None,
) -> tuple[Caution, ...]:
    """Say which readings cannot be right, which are out of the usual, and what is unproven.

    Parameters
    ----------
    plate
        The rating plate.
    readings
        What was measured and seen.
    finding, remedy
        What the technician named; with them also whether the readings contradict the
        finding, and whether a gas control is blamed before cheap causes are ruled out: by
        what was not looked at, and by how probable the readings leave them.
    setpoint_f
        Set point [°F], where known.
    on
        The day of the visit, for the heater's age.

    Returns
    -------
    The cautions.

    Notes
    -----
    Windows are common practice, no source; the plate and the maker's instructions come
    first. An inlet above 14 in wc is a stop, said elsewhere.
    """
    found = [*_pressures(plate, readings), *_voltages(plate, readings), *_circuits(readings)]
    if finding is not None:
        found += _contradicted(finding, plate, readings, setpoint_f)
    if finding is not None and dear(finding, remedy):
        found += dear_part_cautions(finding, plate, readings, setpoint_f, on)
    return tuple(found)


def _caution(code: str, message: str) -> Caution:
    return Caution(code=code, message=message, source=COMMON_PRACTICE, topic="evidence")


def _pressures(plate: RatingPlate, readings: Readings) -> Iterator[Caution]:
    standing, flowing = readings.inlet_standing_in_wc, readings.inlet_flowing_in_wc
    yield from _inlet_windows(plate, readings)
    for name, value in (("standing inlet", standing), ("flowing inlet", flowing)):
        if value is not None and value < 0:
            yield _caution(
                "pressure_below_zero",
                f"A {name} pressure of {value:g} in wc is below zero; zero the gauge and "
                "measure again.",
            )
    if standing is not None and flowing is not None and flowing > standing:
        yield _caution(
            "flowing_above_standing",
            f"The inlet pressure with the burner on ({flowing:g} in wc) is above the standing one "
            f"({standing:g}); the two may be swapped. Measure again.",
        )
    yield from _manifold(plate, readings)


def _inlet_windows(plate: RatingPlate, readings: Readings) -> Iterator[Caution]:
    window, fuel = INLET[plate.fuel], FUEL_NAMES[plate.fuel]
    other = next(each for each in INLET if each is not plate.fuel)
    seen = (
        ("standing", readings.inlet_standing_in_wc),
        ("with the burner on", readings.inlet_flowing_in_wc),
    )
    for state, value in seen:
        if value is None or value < 0 or window.low <= value <= window.plate_high:
            continue
        side = "low" if value < window.low else "high"
        hint = ""
        if state == "standing" and INLET[other].low <= value <= INLET[other].high:
            hint = f" It would be usual for {FUEL_NAMES[other]}: make sure which fuel this is."
        yield _caution(
            f"inlet_{side}",
            f"An inlet pressure of {value:g} in wc {state} is too {side} for {fuel} "
            f"(usually {window.low:g} to {window.high:g}); correct the supply before a part "
            f"is blamed.{hint}",
        )


def _manifold(plate: RatingPlate, readings: Readings) -> Iterator[Caution]:
    value = readings.manifold_in_wc
    if value is None:
        return
    low, high = MANIFOLD[plate.fuel]
    word = words_of(Seen(plate, readings))["manifold_in_wc"]
    if word != "good":
        yield _caution(
            f"manifold_{word}",
            f"A manifold pressure of {value:g} in wc is more than 10% off the usual "
            f"{low:g} to {high:g} for {FUEL_NAMES[plate.fuel]}; hold it against the plate.",
        )
    inlet = readings.inlet_flowing_in_wc
    if inlet is not None and value > inlet:
        yield _caution(
            "manifold_above_inlet",
            f"The manifold ({value:g} in wc) cannot be above the inlet with the burner on "
            f"({inlet:g}); measure again.",
        )


def _voltages(plate: RatingPlate, readings: Readings) -> Iterator[Caution]:
    is_open, loaded = readings.millivolts_open, readings.millivolts_loaded
    output = OUTPUT_CLASS.get(plate.ignition)
    taken = [value for value in (is_open, loaded) if value is not None]
    if output is None:
        if taken:
            yield _caution(
                "millivolts_without_element",
                "Millivolts were given, but by its plate the heater has no standing pilot with a "
                "thermocouple or thermopile; check the ignition on the plate.",
            )
        return
    if any(value < 0 for value in taken):
        yield _caution(
            "millivolts_below_zero",
            "A voltage below zero means that the meter leads are swapped; measure again.",
        )
    if any(value > output.open_most for value in taken):
        yield _caution(
            "millivolts_not_of_class",
            f"{max(taken):g} mV is more than a {output.name} element gives (at most about "
            f"{output.open_most:g}); check the meter's range and the ignition on the plate.",
        )
    if is_open is not None and loaded is not None and loaded > is_open:
        yield _caution(
            "loaded_above_open",
            f"The voltage under load ({loaded:g} mV) cannot be above the open one "
            f"({is_open:g} mV); the two may be swapped. Measure again.",
        )
    low = is_open is not None and 0 <= is_open < output.open_good
    if low and readings.flame != "good":
        yield _caution(
            "flame_before_element",
            "The open-circuit voltage is low, but the flame was not found good: put the flame "
            "right first, then measure again after a minute.",
        )


def _circuits(readings: Readings) -> Iterator[Caution]:
    for name, ohms in (("limit", readings.limit_ohms), ("thermal fuse", readings.fuse_ohms)):
        if ohms is not None and CLOSED_OHMS < ohms < OPEN_OHMS:
            yield _caution(
                "circuit_between",
                f"The {name} reads {ohms:g} ohm, neither closed (near 0) nor open; measure again "
                "with the gas off and one lead taken off.",
            )


def _contradicted(
    finding: Finding, plate: RatingPlate, readings: Readings, setpoint_f: float | None
) -> list[Caution]:
    graded = grade(finding, plate, readings, setpoint_f)
    if graded.support is not Support.CONTRADICTED:
        return []
    name = FINDINGS[finding].name
    return [
        _caution(
            "finding_contradicted",
            f'The readings speak against "{name}": {" ".join(graded.contradicting)} '
            "Check the finding or measure again before a part is fitted.",
        )
    ]
