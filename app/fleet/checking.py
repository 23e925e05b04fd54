"""Cells into columns of numbers; a row that cannot be used is set aside with its reasons."""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from app.fleet.columns import BY_NAME, COLUMNS
from estimator.heater import DAYS_PER_YEAR, EARLIEST_MANUFACTURE

if TYPE_CHECKING:
    from collections.abc import Callable
    from datetime import date

    from app.fleet.columns import Column
    from app.fleet.reading import RawPart

Floats = NDArray[np.float64]

YES = frozenset({"yes", "y", "true", "1"})
NO = frozenset({"no", "n", "false", "0"})
BLANK = -1
"""Code of a blank cell among words, and of a fact that nobody looked at."""

_COMMA = re.compile(r"^-?\d+(?:[.,]\d+)*,\d+$")
_DATE = re.compile(r"^\d{4}-\d{2}-\d{2}$")
_SHOWN = 40


@dataclass(frozen=True)
class Rejected:
    """One row that is left out.

    Attributes
    ----------
    row
        Its number; 1 is the first below the header.
    heater_id
        What the owner calls it, as it stands in the file.
    reason
        What is wrong with it and what it must be.
    """

    row: int
    heater_id: str
    reason: str


@dataclass(frozen=True, eq=False)
class CheckedPart:
    """The usable rows of a part.

    Attributes
    ----------
    number
        Place of the part, from 0.
    rows
        Number of each row, shape (n,).
    texts
        `id` and `site`, one text a row.
    numbers
        Number columns, not a number where blank; `age_years` always filled in.
    words
        Word columns as places in the column's words, and yes or no as 1 or 0; `BLANK`
        where blank.
    manufactured
        Date of manufacture, from the age where no date was given, shape (n,).
    """

    number: int
    rows: NDArray[np.int64]
    texts: dict[str, list[str]]
    numbers: dict[str, Floats]
    words: dict[str, NDArray[np.int8]]
    manufactured: NDArray[np.datetime64]

    def kept(self, which: NDArray[np.bool_]) -> CheckedPart:
        """Return the part with the rows where `which` holds."""
        if which.all():
            return self
        chosen = np.flatnonzero(which).tolist()
        return CheckedPart(
            number=self.number,
            rows=self.rows[which],
            texts={name: [text[at] for at in chosen] for name, text in self.texts.items()},
            numbers={name: values[which] for name, values in self.numbers.items()},
            words={name: values[which] for name, values in self.words.items()},
            manufactured=self.manufactured[which],
        )


class _Reasons:
    """Collects what is wrong with rows, by place within the part."""

    def __init__(self) -> None:
        self.of: dict[int, list[str]] = {}

    def add(self, wrong: NDArray[np.bool_], say: Callable[[int], str]) -> None:
        for at in np.flatnonzero(wrong).tolist():
            self.of.setdefault(at, []).append(say(at))


def check_part(raw: RawPart, on: date) -> tuple[CheckedPart, list[Rejected]]:
    """Turn the cells of a part into columns.

    Parameters
    ----------
    raw
        The rows as they stand in the file.
    on
        The day that ages are counted to.

    Returns
    -------
    The usable rows; and the others, each with all of its reasons.

    Notes
    -----
    Nothing is mended on the way: a number with a comma, a word in another language or a
    date with the day first is a reason to set the row aside.
    """
    count, reasons = len(raw.rows), _Reasons()
    texts = {name: _texts(raw.cells.get(name), count) for name in ("id", "site")}
    numbers: dict[str, Floats] = {}
    words: dict[str, NDArray[np.int8]] = {}
    for column in COLUMNS:
        cells = raw.cells.get(column.name)
        if column.kind in ("number", "whole"):
            numbers[column.name] = _numbers(cells, count, column, reasons)
        elif column.kind in ("word", "yes_no"):
            words[column.name] = _words(cells, count, column, reasons)
    blank_id = np.array([not text for text in texts["id"]], dtype=bool)
    reasons.add(blank_id, lambda _: "id is blank; give each heater one")
    made = _dates(raw.cells.get("manufactured"), count, reasons)
    made = _ages(made, numbers, on, reasons)
    _needed(numbers, words, reasons)
    part = CheckedPart(
        number=raw.number,
        rows=np.array(raw.rows, dtype=np.int64),
        texts=texts,
        numbers=numbers,
        words=words,
        manufactured=made,
    )
    rejected = [Rejected(row, "", why) for row, why in raw.unreadable]
    rejected += [
        Rejected(raw.rows[at], texts["id"][at], "; ".join(why)) for at, why in reasons.of.items()
    ]
    usable = np.ones(count, dtype=bool)
    usable[list(reasons.of)] = False
    return part.kept(usable), sorted(rejected, key=lambda each: each.row)


def _texts(cells: Any, count: int) -> list[str]:
    if cells is None:
        return [""] * count
    return ["" if cell is None else str(cell).strip() for cell in cells]


def _shown(cell: object) -> str:
    text = str(cell).strip()
    return f'"{text}"' if len(text) <= _SHOWN else f'"{text[:_SHOWN]}…"'


def _numbers(cells: Any, count: int, column: Column, reasons: _Reasons) -> Floats:
    if cells is None:
        return np.full(count, np.nan)
    if isinstance(cells, np.ndarray):
        values = cells.astype(np.float64)
        wrong = np.zeros(count, dtype=bool)
    else:
        text = pd.Series(_texts(cells, count), dtype=object)
        blank = (text == "").to_numpy()
        values = pd.to_numeric(text.mask(blank), errors="coerce").to_numpy(np.float64).copy()
        # "nan" and "inf" are words, not numbers, in a file that people write
        wrong = ~blank & ~np.isfinite(values)
    low = values <= column.low if column.open_low else values < column.low
    high = values >= column.high if column.open_high else values > column.high
    wrong |= low | high
    if column.kind == "whole":
        wrong |= ~np.isnan(values) & (values != np.rint(values))

    def say(at: int) -> str:
        hint = "written with a point, not a comma: " if _is_comma(cells[at]) else ""
        return f"{column.name} is {_shown(cells[at])}; it must be {hint}{column.must_be}"

    reasons.add(wrong, say)
    return np.where(wrong, np.nan, values)


def _is_comma(cell: object) -> bool:
    return isinstance(cell, str) and bool(_COMMA.match(cell.strip()))


def _words(cells: Any, count: int, column: Column, reasons: _Reasons) -> NDArray[np.int8]:
    if cells is None:
        return np.full(count, BLANK, dtype=np.int8)
    codes = {word: place for place, word in enumerate(column.words)}
    if column.kind == "yes_no":
        codes = dict.fromkeys(YES, 1) | dict.fromkeys(NO, 0)
    if isinstance(cells, np.ndarray):  # a column of numbers where words belong
        cells = [None if np.isnan(each) else f"{each:g}" for each in cells.tolist()]
    unknown = len(codes) + 2
    place = {"": BLANK, **codes}
    found = np.array(
        [place.get(text.lower().replace(" ", "_"), unknown) for text in _texts(cells, count)],
        dtype=np.int8,
    )
    wrong = found == unknown
    reasons.add(
        wrong, lambda at: f"{column.name} is {_shown(cells[at])}; it must be {column.must_be}"
    )
    return np.where(wrong, np.int8(BLANK), found)


def _dates(cells: Any, count: int, reasons: _Reasons) -> NDArray[np.datetime64]:
    made = np.full(count, np.datetime64("NaT"), dtype="datetime64[D]")
    if cells is None:
        return made
    texts = _texts(cells, count)
    if isinstance(cells, np.ndarray):
        texts = ["" if np.isnan(each) else f"{each:g}" for each in cells.tolist()]
    right = [bool(_DATE.match(text)) for text in texts]
    asked = pd.Series([text if ok else None for text, ok in zip(texts, right, strict=True)])
    found = pd.to_datetime(asked, format="%Y-%m-%d", errors="coerce")
    made = found.to_numpy().astype("datetime64[D]")
    filled = np.array([bool(text) for text in texts], dtype=bool)
    with np.errstate(invalid="ignore"):
        early = made < np.datetime64(EARLIEST_MANUFACTURE)
    wrong = filled & (np.isnat(made) | early)
    must_be = BY_NAME["manufactured"].must_be
    reasons.add(wrong, lambda at: f"manufactured is {_shown(texts[at])}; it must be {must_be}")
    made[wrong] = np.datetime64("NaT")
    return made


def _ages(
    made: NDArray[np.datetime64], numbers: dict[str, Floats], on: date, reasons: _Reasons
) -> NDArray[np.datetime64]:
    """Fill in age from date and date from age; refuse both blank, both given, or in the future."""
    age, today = numbers["age_years"], np.datetime64(on)
    dated, aged = ~np.isnat(made), ~np.isnan(age)
    told = np.zeros(len(age), dtype=bool)
    told[list(reasons.of)] = True
    reasons.add(
        ~dated & ~aged & ~told, lambda _: "manufactured and age_years are both blank; give one"
    )
    reasons.add(dated & aged, lambda _: "manufactured and age_years are both given; keep one")
    late = dated & (made > today)
    reasons.add(
        late,
        lambda at: f"manufactured is {made[at]}; it must not lie after {on.isoformat()}",
    )
    days = (today - np.where(dated, made, today)).astype(np.float64)
    back = np.rint(np.where(aged, age, 0.0) * DAYS_PER_YEAR).astype("timedelta64[D]")
    numbers["age_years"] = np.where(dated, days / DAYS_PER_YEAR, age)
    return np.where(dated, made, today - back)


def _needed(
    numbers: dict[str, Floats], words: dict[str, NDArray[np.int8]], reasons: _Reasons
) -> None:
    """Refuse blanks where a value is needed, two ratings, and water warmer than the tank."""
    told = np.zeros(len(numbers["people"]), dtype=bool)
    told[list(reasons.of)] = True
    for name in ("tank_volume_gal", "input_btu_per_h"):
        reasons.add(np.isnan(numbers[name]) & ~told, lambda _, name=name: f"{name} is blank")  # type: ignore[misc]
    reasons.add((words["fuel"] == BLANK) & ~told, lambda _: "fuel is blank")
    both = ~np.isnan(numbers["energy_factor"]) & ~np.isnan(numbers["uniform_energy_factor"])
    reasons.add(both, lambda _: "energy_factor and uniform_energy_factor are both given; keep one")
    setpoint = np.where(np.isnan(numbers["setpoint_f"]), 125.0, numbers["setpoint_f"])
    inlet = np.where(np.isnan(numbers["inlet_f"]), 58.0, numbers["inlet_f"])
    reasons.add(
        inlet >= setpoint, lambda _: "inlet_f is not below setpoint_f; the heater warms the water"
    )
