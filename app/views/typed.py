"""Numbers as people type them: comma or point, grouped or not, any script's digits."""

from __future__ import annotations

import re
import unicodedata
from typing import Final

LONGEST: Final = 30
LARGEST: Final = 1e15
"""Signs and size of a number; more is none that anybody reads off a gauge."""

_MINUS: Final = dict.fromkeys(map(ord, "−‒–"), "-")  # noqa: RUF001 - typed by phones for minus
_GAPS: Final = dict.fromkeys(map(ord, "\u00a0\u2009\u202f"), " ")
_ARABIC: Final = {0x066B: ".", 0x066C: ",", 0x060C: ","}
_SIGNS: Final = {**_MINUS, **_GAPS, **_ARABIC}

_COMMA_GROUPS: Final = re.compile(r"[+-]?[1-9]\d{0,2}(,\d{3})+(\.\d*)?")
_POINT_GROUPS: Final = re.compile(r"[+-]?[1-9]\d{0,2}((\.\d{3})+,\d*|(\.\d{3}){2,})")
_GAP_GROUPS: Final = re.compile(r"[+-]?[1-9]\d{0,2}([ ']\d{3})+([.,]\d*)?")
_PLAIN: Final = re.compile(r"[+-]?(\d+[.,]?\d*|[.,]\d+)([eE][+-]?\d{1,2})?")


def typed_number(text: str, unit: str = "") -> float | None:
    """Read a number as it was typed.

    Parameters
    ----------
    text
        What was typed; the unit may stand with it.
    unit
        The unit of the field.

    Returns
    -------
    The number, or ``None`` where it is none.

    Notes
    -----
    One comma before three digits groups thousands (``38,000``), unless a zero stands before
    it (``0,500``); any other comma is a decimal one. Digits of every script are read.
    Nothing is guessed beyond that: ``12x`` is no number.
    """
    bare = "".join(_digit(sign) for sign in text.translate(_SIGNS)).strip()
    if unit:
        bare = bare.removesuffix(unit).removeprefix("$" if unit.startswith("$") else "").strip()
    if not 0 < len(bare) <= LONGEST:
        return None
    number = _read(bare)
    return None if number is None or abs(number) > LARGEST else number


def _read(bare: str) -> float | None:
    if _COMMA_GROUPS.fullmatch(bare):
        return float(bare.replace(",", ""))
    if _POINT_GROUPS.fullmatch(bare):
        return float(bare.replace(".", "").replace(",", "."))
    if _GAP_GROUPS.fullmatch(bare):
        return float(re.sub(r"[ ']", "", bare).replace(",", "."))
    if _PLAIN.fullmatch(bare):
        return float(bare.replace(",", "."))
    return None


def _digit(sign: str) -> str:
    value = unicodedata.decimal(sign, None)
    return sign if value is None else str(value)


def kept_number(text: str, unit: str = "") -> float | str | None:
    """Return what a draft keeps of a number field: the number, or the text that is none."""
    if not text.strip():
        return None
    number = typed_number(text, unit)
    return text if number is None else number


def number_shown(value: float | str | None) -> str:
    """Return a kept number as its field shows it: bare, without grouping."""
    if value is None:
        return ""
    if isinstance(value, str):
        return value
    return str(int(value)) if float(value).is_integer() else repr(value)
