"""What every module here writes: rows of CSV files, marked as invented."""

from __future__ import annotations

Row = dict[str, object]

INVENTED = "invented"
PREFIX = {
    "sensing_element": "SE",
    "pilot_assembly": "PA",
    "igniter": "IG",
    "limit": "LM",
    "gas_control": "GC",
    "pilot_tube": "PT",
    "orifice": "OR",
    "door_kit": "DK",
    "vapor_sensor": "VS",
    "flame_rod": "FR",
    "sundry": "SU",
}


def written(value: object) -> object:
    """Write a value as the CSV files hold it."""
    if isinstance(value, bool):
        return "yes" if value else "no"
    return "" if value is None else value


def family_of(number: str) -> str:
    """Return the family that a number's first letters stand for."""
    return next(family for family, prefix in PREFIX.items() if number.startswith(prefix))
