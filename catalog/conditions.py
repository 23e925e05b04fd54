"""Conditions of site items: "fact=value" parted by ";", judged with what is known."""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Mapping

FACTS = (
    "heater_class",
    "fuel",
    "venting",
    "burns_gas",
    "stores",
    "same_fuel",
    "same_venting",
    "closed_water_system",
    "expansion_tank",
    "circuit_240v",
    "condensate_drain",
    "gas_line_enough",
    "seismic_zone",
    "drain_pan_needed",
    "needs_circuit_240v",
    "needs_condensate_drain",
    "gas_line",
    "location",
)
"""Facts that a condition may name; yes, no, or a word."""


def parse(text: str) -> tuple[tuple[str, tuple[str, ...]], ...]:
    """Read conditions.

    Parameters
    ----------
    text
        Such as ``stores=yes;location=attic|closet``; empty for no condition.

    Returns
    -------
    Each fact with the values that it may have.

    Raises
    ------
    ValueError
        If a condition cannot be read or names a fact that is not known.
    """
    held = []
    for condition in filter(None, (piece.strip() for piece in text.split(";"))):
        fact, equals, values = condition.partition("=")
        if not equals or not values.strip():
            raise ValueError(f'condition "{condition}" is not "fact=value"')
        if fact.strip() not in FACTS:
            raise ValueError(
                f'condition "{condition}" names no fact that is known ({", ".join(FACTS)})'
            )
        held.append((fact.strip(), tuple(value.strip() for value in values.split("|"))))
    return tuple(held)


def holds(text: str, facts: Mapping[str, str | bool | None]) -> bool | None:
    """Judge conditions by facts.

    Parameters
    ----------
    text
        The conditions.
    facts
        Fact to value; ``None`` where nobody looked.

    Returns
    -------
    True if all hold, False if one does not, ``None`` if that hangs on a fact that
    nobody looked at.
    """
    unsure = False
    for fact, values in parse(text):
        value = facts.get(fact)
        if value is None:
            unsure = True
            continue
        word = ("yes" if value else "no") if isinstance(value, bool) else value
        if word not in values:
            return False
    return None if unsure else True
