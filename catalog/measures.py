"""Measures as people write them: inches, millimetres, °F, °C, in wc, kPa, Btu/h, kW.

Each is read into the unit that the catalog keeps and shown in both. One inch is 25.4 mm
exactly; an inch of water column 249.08891 Pa and a Btu 1,055.056 J (NIST Special
Publication 811, appendix B).
"""

from __future__ import annotations

import re
import unicodedata
from fractions import Fraction
from functools import lru_cache
from typing import TYPE_CHECKING, Any, Final, NamedTuple

from estimator.errors import InputTrouble

if TYPE_CHECKING:
    from pint import UnitRegistry

KEPT_UNITS: Final = {"in": "inch", "°F": "degF", "in wc": "in_wc", "Btu/h": "Btu_per_h",
                     "mV": "millivolt", "V": "volt"}  # fmt: skip
"""Unit of a fit rule → the same in pint."""

OTHER_UNIT: Final = {"in": ("mm", "millimeter", 1), "°F": ("°C", "degC", 0),
                     "in wc": ("kPa", "kilopascal", 3), "Btu/h": ("kW", "kilowatt", 1)}  # fmt: skip
"""Unit of a fit rule → the unit shown beside it, and its decimals."""

WRITTEN: Final = {
    '"': "in", "in": "in", "inch": "in", "inches": "in", "ft": "ft", "'": "ft", "foot": "ft",
    "feet": "ft", "mm": "mm", "millimeter": "mm", "millimeters": "mm", "millimetres": "mm",
    "cm": "cm", "m": "m",
    "f": "degF", "°f": "degF", "degf": "degF", "c": "degC", "°c": "degC", "degc": "degC",
    "in wc": "in_wc", "inwc": "in_wc", 'in w.c.': "in_wc", '"wc': "in_wc", '"w.c.': "in_wc",
    "wc": "in_wc", "w.c.": "in_wc", "kpa": "kPa", "pa": "Pa", "mbar": "mbar", "hpa": "hPa",
    "psi": "psi",
    "btu/h": "Btu_per_h", "btuh": "Btu_per_h", "btu/hr": "Btu_per_h", "btu": "Btu_per_h",
    "kbtu/h": "kBtu_per_h", "mbh": "kBtu_per_h", "kw": "kW", "w": "W",
    "mv": "mV", "v": "V",
}  # fmt: skip
"""A unit as people write it, in lower case → the same in pint."""

_NUMBER = re.compile(
    r"^\s*(?P<whole>\d[\d,]*(?:\.\d+)?|\.\d+)?"
    r"(?:(?:\s+|\s*-\s*|^)(?P<top>\d+)\s*/\s*(?P<bottom>\d+))?\s*(?P<unit>.*?)\s*$"
)
_GROUPED = re.compile(r"[1-9]\d{0,2}(,\d{3})+(\.\d+)?")
_PURE_FRACTION = re.compile(r"^\s*(?P<top>\d+)\s*/\s*(?P<bottom>\d+)\s*(?P<unit>\D.*|)$")


_MARKS: Final = {"\u2033": '"', "\u201d": '"', "\u201c": '"', "\u2032": "'", "\u2019": "'",
                 "''": '"'}  # fmt: skip
SIGNS_SAID: Final = 40
LONGEST: Final = 200
LARGEST: Final = 10_000_000
"""No measure of a part is as large in any of these units; common practice, no source."""


class Measure(NamedTuple):
    """A number with the unit that was written after it; empty where none was."""

    value: float
    unit: str


def read_measure(text: str, unit: str, name: str) -> float:
    """Read a measure that somebody typed, in the unit that the catalog keeps.

    Parameters
    ----------
    text
        Such as ``24``, ``23 5/8 in``, ``600 mm``, ``82 °C``, ``1 kPa``, ``11 kW``. A
        number alone is in `unit`.
    unit
        The unit kept: that of the fit rule.
    name
        What is measured, for messages.

    Returns
    -------
    The number in `unit`.

    Raises
    ------
    InputTrouble
        If it is no number, or its unit is not one of this kind.
    """
    number, written = split_measure(text, name)
    if not written:
        return number
    plain = " ".join(written.lower().replace("° ", "°").split())
    found = WRITTEN.get(plain) or WRITTEN.get(plain.removesuffix("."))
    kinds = ", ".join(_names_of(unit))
    if found is None:
        raise InputTrouble(
            f'{name} is "{_short(text)}": "{_short(written)}" is no unit that is known here',
            "",
            f"Give it in {kinds}.",
        )
    import pint  # noqa: PLC0415  (slow to load, and most numbers come without a unit)

    try:
        kept = _registry().Quantity(number, found).to(KEPT_UNITS[unit])
    except (pint.DimensionalityError, KeyError):
        raise InputTrouble(
            f'{name} is "{_short(text)}", which is another kind of measure',
            "",
            f"Give it in {kinds}.",
        ) from None
    return round(float(kept.magnitude), 6)


def split_measure(text: str, name: str) -> Measure:
    """Part a typed measure into its number and its unit.

    Parameters
    ----------
    text
        The text.
    name
        What is measured, for messages.

    Returns
    -------
    The number, fractions worked out, and the unit as written.

    Raises
    ------
    InputTrouble
        If it holds no number, or one that no part measures.
    """
    if len(text) > LONGEST:
        said = f'{name} is "{_short(text)}", {len(text):,} characters'
        raise InputTrouble(said, "", "A measure is a number and a unit.")
    plain = _as_typed(text)
    match = _PURE_FRACTION.match(plain) or _NUMBER.match(plain)
    held = match.groupdict() if match else {}
    whole, top, bottom = (held.get(key) for key in ("whole", "top", "bottom"))
    number = _number(whole) if whole is not None else 0.0 if top is not None else None
    if number is None or (bottom is not None and int(bottom) == 0):
        raise InputTrouble(f'{name} is "{_short(text)}", which is no number', "", "Measure again.")
    if top is not None and bottom is not None:
        number += float(Fraction(int(top), int(bottom)))
    if number >= LARGEST:
        larger = f'{name} is "{_short(text)}", more than any part measures'
        raise InputTrouble(larger, "", "Measure again.")
    return Measure(number, str(held.get("unit") or ""))


def _as_typed(text: str) -> str:
    """Write marks of feet and inches and the fractions of a phone's keyboard plainly."""
    for mark, plain in _MARKS.items():
        text = text.replace(mark, plain)
    return "".join(_fraction(sign) for sign in text)


def _fraction(sign: str) -> str:
    parts = unicodedata.normalize("NFKC", sign).split("\u2044")
    return f" {parts[0]}/{parts[1]}" if len(parts) == 2 and all(parts) else sign


def _number(whole: str) -> float | None:
    """Read a number: a comma before three digits groups thousands, any other is a decimal one."""
    if _GROUPED.fullmatch(whole):
        return float(whole.replace(",", ""))
    if whole.count(",") + whole.count(".") > 1:
        return None
    return float(whole.replace(",", "."))


def _short(text: str) -> str:
    plain = text.strip()
    return plain if len(plain) <= SIGNS_SAID else f"{plain[:SIGNS_SAID]}…"


def show_measure(value: float, unit: str) -> str:
    """Return a measure in its unit, with the other system's beside it.

    Parameters
    ----------
    value
        The number in `unit`.
    unit
        Unit of the fit rule.

    Returns
    -------
    Such as ``24 in (609.6 mm)``; the unit alone where there is no other.
    """
    shown = measure_in(value, unit)
    if unit not in OTHER_UNIT:
        return shown
    mark, name, places = OTHER_UNIT[unit]
    other = float(_registry().Quantity(value, KEPT_UNITS[unit]).to(name).magnitude)
    return f"{shown} ({other:,.{places}f} {mark})"


def measure_in(value: float, unit: str) -> str:
    """Return a measure in its unit.

    Parameters
    ----------
    value
        The number in `unit`.
    unit
        Unit of the fit rule.

    Returns
    -------
    Such as ``24 in``.
    """
    shown = f"{value:,.4f}".rstrip("0").rstrip(".")
    return f"{shown} {unit}".strip()


def _names_of(unit: str) -> tuple[str, ...]:
    return {
        "in": ("in", "mm"), "°F": ("°F", "°C"), "in wc": ("in wc", "kPa", "mbar"),
        "Btu/h": ("Btu/h", "kW"),
    }.get(unit, (unit,))  # fmt: skip


@lru_cache(maxsize=1)
def _registry() -> UnitRegistry[Any]:
    import pint  # noqa: PLC0415

    registry: UnitRegistry[Any] = pint.UnitRegistry(autoconvert_offset_to_baseunit=True)
    registry.define("in_wc = 249.08891 pascal")
    registry.define("Btu_per_h = 1055.056 joule / hour")
    registry.define("kBtu_per_h = 1000 Btu_per_h")
    return registry
