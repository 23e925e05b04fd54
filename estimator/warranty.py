"""The maker's warranty as it stands on a day, by the rating plate."""

from __future__ import annotations

from datetime import date

from estimator.errors import InputTrouble
from estimator.heater import RatingPlate
from estimator.priced_job import Warranty


def warranty_on(plate: RatingPlate, on: date, *, tank_leaks: bool = False) -> Warranty:
    """Say how the maker's warranty stands on a day, by the plate.

    Parameters
    ----------
    plate
        The rating plate, with the years of parts and tank warranty.
    on
        The day of the job.
    tank_leaks
        Whether the tank itself has failed; a tank warranty pays for nothing less.

    Returns
    -------
    What is free, with notes for the reader.

    Raises
    ------
    InputTrouble
        If the heater would be made after that day.

    Notes
    -----
    The term is counted from the day of manufacture, the last day included. Makers often
    count from the day of installation, which lies later: a term that has run out by the
    plate may still be running, so the note asks for the proof of purchase. Common
    practice, no source; the maker's own terms decide.
    """
    if on < plate.manufactured:
        raise InputTrouble(
            f"The heater was made on {plate.manufactured}, after {on}",
            "heater.manufactured",
            "Read the date on the plate again.",
        )
    parts_end = _years_after(plate.manufactured, plate.parts_warranty_years)
    tank_end = _years_after(plate.manufactured, plate.tank_warranty_years)
    notes = [
        _term_note(name, years, end, on)
        for name, years, end in (
            ("Parts", plate.parts_warranty_years, parts_end),
            ("Tank", plate.tank_warranty_years, tank_end),
        )
        if years
    ]
    tank_runs = plate.tank_warranty_years > 0 and on <= tank_end
    if tank_runs and not tank_leaks:
        notes.append("The tank warranty pays for a tank that leaks, not for a choice to replace.")
    if notes:
        notes.append(
            "A term often starts on the day of installation: ask for the proof of purchase, "
            "and have the maker confirm before the customer counts on it."
        )
    return Warranty(
        parts_free=plate.parts_warranty_years > 0 and on <= parts_end,
        tank_free=tank_runs and tank_leaks,
        notes=tuple(notes),
    )


def _years_after(start: date, years: int) -> date:
    try:
        return start.replace(year=start.year + years)
    except ValueError:  # the 29th of February in a year that has none
        return start.replace(year=start.year + years, day=28)


def _term_note(name: str, years: int, end: date, on: date) -> str:
    state = "runs until" if on <= end else "ran out on"
    term = "1 year" if years == 1 else f"{years} years"
    return f"{name} warranty of {term} from manufacture {state} {end.isoformat()}."
