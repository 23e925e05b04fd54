"""Cells of source files: what each kind of value may be, and the base of every row."""

from __future__ import annotations

import re
from decimal import Decimal
from typing import Annotated

from pydantic import AfterValidator, BaseModel, BeforeValidator, ConfigDict, Field

from estimator.money import Dollars


def _spelled(pattern: str, signs: str) -> AfterValidator:
    """Return a check that a word is spelled in some signs only, said so that it can be mended."""
    known = re.compile(pattern, re.ASCII)

    def check(word: str) -> str:
        if not known.fullmatch(word):
            raise ValueError(f'"{word}" holds other signs; use {signs}')
        return word

    return AfterValidator(check)


Number = Annotated[
    str,
    Field(min_length=2, max_length=40),
    _spelled(r"[A-Za-z0-9][A-Za-z0-9 ./-]*", "letters, digits, spaces, points, slashes, dashes"),
]
Slug = Annotated[
    str,
    Field(min_length=2, max_length=60),
    _spelled(r"[a-z0-9][a-z0-9_-]*", "small letters, digits, dashes, underscores"),
]
Word = Annotated[
    str,
    Field(min_length=1, max_length=60),
    _spelled(r"[a-z0-9][a-z0-9_]*", "small letters, digits, underscores"),
]
Name = Annotated[str, Field(min_length=1, max_length=160)]
Notice = Annotated[str, Field(max_length=200)]
Inches = Annotated[float, Field(gt=0, le=240, allow_inf_nan=False)]
InputRate = Annotated[float, Field(gt=0, le=400_000, allow_inf_nan=False)]
Volts = Annotated[float, Field(gt=0, le=480, allow_inf_nan=False)]
HoursOfWork = Annotated[Decimal, Field(ge=0, le=80, decimal_places=2)]
Cents = Annotated[Dollars, Field(decimal_places=2)]
Pieces = Annotated[int, Field(ge=0, le=100_000)]
Days = Annotated[int, Field(ge=0, le=365)]
Factor = Annotated[float, Field(gt=0, lt=1, allow_inf_nan=False)]


def _yes_or_no(given: object) -> object:
    words = {"yes": True, "true": True, "no": False, "false": False}
    if isinstance(given, str):
        if given.strip().lower() not in words:
            raise ValueError(f'"{given}" is neither yes nor no')
        return words[given.strip().lower()]
    return given


def _one_of_two(given: int) -> int:
    if given not in (30, 750):
        raise ValueError(f"the output class is 30 or 750 mV, not {given}")
    return given


YesNo = Annotated[bool, BeforeValidator(_yes_or_no)]
OutputClass = Annotated[int, AfterValidator(_one_of_two)]


class Row(BaseModel):
    """A row of a source file."""

    model_config = ConfigDict(frozen=True, extra="forbid", str_strip_whitespace=True)

    notice: Notice = ""
