"""The draft of a visit as a plain nested mapping: read, change, check.

Keys are those of VISIT.toml. The section `ui` holds what is only half typed (a year of
manufacture without its month) and never reaches the estimator.
"""

from __future__ import annotations

from collections.abc import Mapping
from copy import deepcopy
from datetime import date
from decimal import Decimal
from typing import Any

from pydantic import BaseModel, ValidationError

from app.visit import OldPart, People, Work
from catalog.part_rows import FEATURES
from estimator.findings import (
    FINDINGS,
    OPEN_CIRCUIT,
    REMEDIES,
    Finding,
    Hazards,
    Readings,
    Remedy,
)
from estimator.heater import Household, RatingPlate, Site

Payload = Mapping[str, Any]

SECTIONS: dict[str, type[BaseModel]] = {
    "visit": People,
    "heater": RatingPlate,
    "site": Site,
    "household": Household,
    "work": Work,
    "old_part": OldPart,
    "readings": Readings,
    "hazards": Hazards,
}

MID_YEAR = 6
PERCENT = ("work.discount",)
"""Shares that are asked in percent."""
EARLIEST_YEAR = 1950
IGNITER_OPEN = "ui.igniter_open"
"""A tick that stands for an open circuit as the igniter's resistance."""


def read(payload: Payload, path: str) -> Any:
    """Return what stands at a path, or ``None``.

    Parameters
    ----------
    payload
        The draft.
    path
        Keys joined by dots, such as ``heater.fuel``.

    Returns
    -------
    The value, or ``None`` where nothing was given.
    """
    at: Any = payload
    for key in path.split("."):
        at = at.get(key) if isinstance(at, Mapping) else None
    return at


def put(payload: Payload, path: str, value: Any) -> dict[str, Any]:
    """Return a draft with one value changed, and what hangs on it kept in step.

    Parameters
    ----------
    payload
        The draft; it is left as it is.
    path
        Keys joined by dots.
    value
        The new value; ``None`` or an empty text takes the key away.

    Returns
    -------
    The changed draft.

    Notes
    -----
    A year and month of manufacture make the date; without a month the middle of the year
    is taken. A new finding drops a remedy that is not one of its own, and a new remedy
    drops the part picked for the old one.
    """
    changed = deepcopy(dict(payload))
    if path == IGNITER_OPEN:
        path, value = "readings.igniter_ohms", OPEN_CIRCUIT if value else None
    if path in PERCENT and isinstance(value, int | float):
        value = f"{(Decimal(repr(value)) / 100).normalize():f}"
    if isinstance(value, float) and value.is_integer():
        value = int(value)  # 40 as a person writes it, not 40.0
    _set(changed, path.split("."), value)
    if path.startswith("ui.made_"):
        year = value if path == "ui.made_year" else made_year(payload)
        _keep_date(changed, year, made_month(payload) if path == "ui.made_year" else value)
    if path == "ui.label" and value is not None:
        _keep_one_rating(changed)
    if path == "work.finding":
        _keep_remedy(changed)
    if path in ("work.finding", "work.remedy"):
        _set(changed, ["work", "part_number"], None)
    return changed


def _set(changed: dict[str, Any], keys: list[str], value: Any) -> None:
    at = changed
    for key in keys[:-1]:
        inner = at.get(key)
        at[key] = dict(inner) if isinstance(inner, Mapping) else {}
        at = at[key]
    if value is None or value == "":
        at.pop(keys[-1], None)
    else:
        at[keys[-1]] = value


def made_year(payload: Payload) -> int | None:
    """Return the year of manufacture as typed, or that of the date."""
    typed = read(payload, "ui.made_year")
    made = read(payload, "heater.manufactured")
    if typed is not None or read(payload, "ui.made_cleared"):
        return typed if isinstance(typed, int) else None
    return int(str(made)[:4]) if made else None


def made_month(payload: Payload) -> int | None:
    """Return the month of manufacture as chosen, or that of the date."""
    typed = read(payload, "ui.made_month")
    made = read(payload, "heater.manufactured")
    if typed is not None or read(payload, "ui.made_year") is not None:
        return None if typed is None else int(typed)
    return int(str(made)[5:7]) if made else None


def _keep_date(changed: dict[str, Any], year: Any, month: int | None) -> None:
    usable = isinstance(year, int) and EARLIEST_YEAR <= year <= date.max.year
    made = date(year, month or MID_YEAR, 1).isoformat() if usable and year else None
    _set(changed, ["ui", "made_cleared"], True if year is None else None)
    _set(changed, ["ui", "made_year"], year)
    _set(changed, ["ui", "made_month"], month)
    _set(changed, ["heater", "manufactured"], made)


def label_kind(payload: Payload) -> str:
    """Return which rating the yellow label carries: ef, uef or none."""
    chosen = read(payload, "ui.label")
    if chosen:
        return str(chosen)
    if read(payload, "heater.uniform_energy_factor") is not None:
        return "uef"
    return "ef" if read(payload, "heater.energy_factor") is not None else "none"


def _keep_one_rating(changed: dict[str, Any]) -> None:
    kind = read(changed, "ui.label")
    if kind != "ef":
        _set(changed, ["heater", "energy_factor"], None)
    if kind != "uef":
        _set(changed, ["heater", "uniform_energy_factor"], None)
        _set(changed, ["heater", "draw_bin"], None)


def _keep_remedy(changed: dict[str, Any]) -> None:
    named = read(changed, "work.finding")
    remedies = FINDINGS[Finding(named)].remedies if named else ()
    if read(changed, "work.remedy") not in [remedy.value for remedy in remedies]:
        only = remedies[0].value if len(remedies) == 1 else None
        _set(changed, ["work", "remedy"], only)


def visit_values(payload: Payload) -> dict[str, Any]:
    """Return the draft as a visit has it: without what is only for the page.

    Measures of the old part that speak of another kind of part stay in the draft, for the
    technician may come back to that remedy, and are left out here.
    """
    values = {key: value for key, value in payload.items() if key != "ui"}
    measured = read(payload, "old_part.features")
    remedy = read(payload, "work.remedy")
    if not isinstance(measured, Mapping) or remedy not in set(Remedy):
        return values
    family = REMEDIES[Remedy(remedy)].family
    known = FEATURES[family] if family else ()
    kept = {name: value for name, value in measured.items() if name in known}
    return {**values, "old_part": {**values["old_part"], "features": kept}}


def section_of(payload: Payload, section: str) -> BaseModel | None:
    """Return a section as its model, or ``None`` while it is not whole."""
    try:
        return SECTIONS[section].model_validate(payload.get(section) or {})
    except ValidationError:
        return None


def plate_of(payload: Payload) -> RatingPlate | None:
    """Return the rating plate, or ``None`` while it is not whole."""
    plate = section_of(payload, "heater")
    return plate if isinstance(plate, RatingPlate) else None


def setpoint_of(payload: Payload) -> float | None:
    """Return the set point [°F], or ``None`` where it was not given."""
    given = read(payload, "household.setpoint_f")
    return float(given) if isinstance(given, int | float) else None


def day_of(payload: Payload) -> date | None:
    """Return the day of the visit, or ``None`` where the draft has none."""
    given = read(payload, "visit.date")
    try:
        return date.fromisoformat(str(given)[:10]) if given else None
    except ValueError:
        return None


def readings_of(payload: Payload) -> Readings:
    """Return the readings that make sense so far; a broken one counts as not taken."""
    given = dict(payload.get("readings") or {})
    try:
        return Readings.model_validate(given)
    except ValidationError as refused:
        broken = {str(problem["loc"][0]) for problem in refused.errors() if problem["loc"]}
        return Readings.model_validate(
            {key: value for key, value in given.items() if key not in broken}
        )


def hazards_of(payload: Payload) -> Hazards:
    """Return the hazards that were ticked."""
    hazards = section_of(payload, "hazards")
    return hazards if isinstance(hazards, Hazards) else Hazards()
