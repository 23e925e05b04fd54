"""Stops on the page: those that hold, and those that a correction lifted."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any, Final

from app.views.fields import with_unit
from app.views.payload import Payload, hazards_of, plate_of, read, readings_of
from app.views.reading_fields import every_reading
from estimator.findings import FINDINGS, REMEDIES, Finding, Remedy
from estimator.stops import STOPS, stops_for

if TYPE_CHECKING:
    from collections.abc import Iterable

    from app.ledger.records import JournalLine
    from estimator.cautions import Stop

SHOWN: Final = "show stop"
CORRECTED: Final = "correct stop"
"""What the journal calls a stop that was shown, and one that a correction lifted."""

HAZARD_LABELS: Final = {
    "hazards.gas_odor": "Smell of gas",
    "hazards.flue_spills_or_co": "Flue gas spills, or CO",
    "hazards.tank_leaks": "Tank leaks",
    "hazards.control_under_water": "Control was under water",
    "hazards.flame_roll_out": "Flame rolled out, scorched wires",
    "hazards.sealed_chamber_broken": "Sealed chamber broken",
    "hazards.wrong_fuel": "Not set up for this fuel",
}
ANY_PLATE: Final[Payload] = {
    "heater": {
        "fuel": "natural_gas",
        "tank_volume_gal": 40,
        "input_btu_per_h": 38_000,
        "ignition": "pilot_thermocouple",
        "manufactured": "2000-01-01",
    }
}
"""Stands in while the plate is not whole: no hazard hangs on it."""


@dataclass(frozen=True)
class StopShown:
    """What closes the repair path, and what to do."""

    why: str
    what_to_do: str
    source: str


@dataclass(frozen=True)
class KeptStop:
    """A stop that stood on a visit until what it rests on was corrected."""

    why: str
    changes: tuple[str, ...]
    shown: str
    corrected: str


def standing_stops(payload: Payload) -> tuple[Stop, ...]:
    """Return the stops that hold, also before a finding is named or the plate is whole.

    Parameters
    ----------
    payload
        The draft.

    Returns
    -------
    The most urgent first. Whether the maker lists a part for a broken sealed chamber is
    asked of the catalog only when the visit is priced.
    """
    seen = plate_of(payload) or plate_of(ANY_PLATE)
    assert seen is not None
    finding, remedy = read(payload, "work.finding"), read(payload, "work.remedy")
    named = Finding(finding) if finding in set(Finding) else Finding.NO_GAS
    first = FINDINGS[named].remedies[0]
    chosen = Remedy(remedy) if remedy in set(Remedy) else first
    return stops_for(named, chosen, seen, readings_of(payload), hazards_of(payload))


def stops_shown(payload: Payload) -> tuple[StopShown, ...]:
    """Return the stops that hold in the words of the page."""
    return tuple(
        StopShown(_sentence(stop.why), stop.what_to_do, _source(stop.source))
        for stop in standing_stops(payload)
    )


def build_kept_stops(lines: Iterable[JournalLine]) -> tuple[KeptStop, ...]:
    """Say which stops stood on a visit and what lifted each.

    Parameters
    ----------
    lines
        The journal's lines of one visit, in any order.

    Returns
    -------
    One entry for each correction, the first one first.
    """
    since: dict[str, JournalLine] = {}
    kept = []
    for line in sorted(lines, key=lambda each: each.sequence):
        code = str(line.detail["stop"])
        if line.action == SHOWN:
            since.setdefault(code, line)
            continue
        shown = since.pop(code, None)
        kept.append(
            KeptStop(
                why=_sentence(STOPS[code].why) if code in STOPS else code,
                changes=tuple(
                    f"{label_of_path(path)}: {said(path, was)}, then "
                    f"{said(path, line.detail['after'].get(path))}"
                    for path, was in line.detail["before"].items()
                ),
                shown=f"Shown {_who_and_when(shown, 'to')}" if shown else "",
                corrected=f"Corrected {_who_and_when(line, 'by')}",
            )
        )
    return tuple(kept)


def label_of_path(path: str) -> str:
    """Return how a page calls what a stop rests on."""
    known = {**HAZARD_LABELS, "work.finding": "What is wrong", "work.remedy": "Remedy"}
    return known.get(path) or next(
        (field.label for field in every_reading() if field.path == path), path
    )


def said(path: str, value: Any) -> str:
    """Return a value of the journal in the words of the page."""
    if value is None:
        return "not ticked" if path in HAZARD_LABELS else "not given"
    if isinstance(value, bool):
        return "ticked" if value else "not ticked"
    if path == "work.finding" and value in set(Finding):
        return FINDINGS[Finding(value)].name.lower()
    if path == "work.remedy" and value in set(Remedy):
        return REMEDIES[Remedy(value)].name.lower()
    if isinstance(value, int | float):
        unit = "Ω" if path.endswith("_ohms") else _unit_of(path)
        return with_unit(value, unit)
    return str(value)


def _unit_of(path: str) -> str:
    return next((field.unit for field in every_reading() if field.path == path), "")


def _who_and_when(line: JournalLine, word: str) -> str:
    at = line.done_at.astimezone()
    return f"{at:%d %b %H:%M} {word} {line.person}"


def _sentence(why: str) -> str:
    return f"{why.rstrip('.')}."


def _source(source: str) -> str:
    return "" if "no source" in source else source
