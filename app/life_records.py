"""Records of installed and failed heaters: a CSV file read row by row, with plain refusals."""

from __future__ import annotations

import csv
import io
from dataclasses import dataclass
from datetime import date
from typing import TYPE_CHECKING

from estimator.errors import MOST_TOLD, InputTrouble
from estimator.heater import DAYS_PER_YEAR, EARLIEST_MANUFACTURE, HeaterClass

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence
    from pathlib import Path

LARGEST_BYTES = 50_000_000

NEEDED = ("installed", "failed")
KNOWN = (*NEEDED, "heater_class", "records_from", "last_seen", "note")


@dataclass(frozen=True)
class LifeRecord:
    """One heater of a shop's records: ages at the ends of its record [yr].

    `began_years` is its age when the record begins, 0 where it was followed from the day it
    was installed; `ended_years` its age at failure or when it was last known to run. `row` is
    its row in the file.
    """

    row: int
    heater_class: HeaterClass
    began_years: float
    ended_years: float
    failed: bool


@dataclass(frozen=True)
class RecordSpan:
    """From when and until when a shop has kept records; `start` may be unknown."""

    start: date | None
    end: date


class _Unusable(Exception):
    """Why one row cannot be used."""


def read_life_records(
    path: Path, span: RecordSpan, default_class: HeaterClass
) -> tuple[LifeRecord, ...]:
    """Read a file of installed and failed dates.

    Parameters
    ----------
    path
        A CSV file with the columns `installed` and `failed` (blank where it still runs),
        and, where wanted, `heater_class`, `records_from` (the day from which this heater's
        failure would have been written down) `last_seen` (the last day on which one
        that has not failed was known to run) and `note` (not read).
    span
        When the records as a whole begin, for rows without `records_from`, and end.
    default_class
        The class of heaters in a file without that column, or in a row that leaves it out.

    Returns
    -------
    One record for each row, in order.

    Raises
    ------
    InputTrouble
        If the file cannot be read, a column is missing or unknown, or a row is not usable;
        each row is named, at most five.
    """
    rows = _rows(path)
    records, faults = [], []
    for number, row in rows:
        try:
            records.append(_record(number, row, span, default_class))
        except _Unusable as why:
            faults.append((number, str(why)))
    if faults:
        raise _refusal(path, faults)
    if not records:
        raise InputTrouble("There is no heater", str(path), "Give one row for each heater.")
    return tuple(records)


def refuse_within_delay(records: Sequence[LifeRecord], delay_years: float, path: Path) -> None:
    """Refuse failures at an age at which nothing is to fail.

    Parameters
    ----------
    records
        The records that are to be fitted.
    delay_years
        Time before which nothing fails [yr].
    path
        The file that they come from, for the message.

    Raises
    ------
    InputTrouble
        Naming each such row, at most five.
    """
    faults = [
        (
            record.row,
            f"it failed at {record.ended_years:.2f} years, within the delay of {delay_years:g} yr "
            "before which nothing is to fail",
        )
        for record in records
        if record.failed and record.ended_years <= delay_years
    ]
    if faults:
        raise _refusal(path, faults, "Correct the date or give a shorter delay.")


def _rows(path: Path) -> list[tuple[int, dict[str, str]]]:
    """Return the rows of the file, each with the number that a spreadsheet shows."""
    reader = csv.DictReader(io.StringIO(_text(path), newline=""), restkey="", strict=True)
    try:
        columns = [(name or "").strip() for name in reader.fieldnames or ()]
        _check_columns(columns, path)
        reader.fieldnames = columns
        found = []
        for row in reader:
            if row.get("") or None in row.values():
                raise InputTrouble(
                    f"There are not {len(columns)} values as in the first row",
                    f"{path} row {reader.line_num}",
                    "Give each row one value for each column.",
                )
            if any(value.strip() for value in row.values()):
                found.append((reader.line_num, {k: v.strip() for k, v in row.items()}))
    except csv.Error as refused:
        raise InputTrouble(
            f"The row is not CSV: {refused}", f"{path} row {reader.line_num}", "Correct that row."
        ) from None
    return found


def _text(path: Path) -> str:
    try:
        if path.stat().st_size > LARGEST_BYTES:
            raise InputTrouble(
                f"The file is larger than {LARGEST_BYTES:,} bytes", str(path), "Give a shorter one."
            )
        return path.read_bytes().decode("utf-8-sig")
    except FileNotFoundError:
        raise InputTrouble("There is no file", str(path), "Check the name.") from None
    except OSError as refused:
        reason = refused.strerror or type(refused).__name__
        raise InputTrouble(f"The file cannot be read: {reason}", str(path)) from None
    except UnicodeDecodeError:
        raise InputTrouble(
            "The file is not UTF-8 text", str(path), "Save it as CSV in UTF-8 and try again."
        ) from None


def _check_columns(columns: list[str], path: Path) -> None:
    missing = [name for name in NEEDED if name not in columns]
    unknown = [name for name in columns if name not in KNOWN]
    twice = [name for name in columns if columns.count(name) > 1]
    wrong = (
        f'The column "{missing[0]}" is missing'
        if missing
        else f'The column "{unknown[0]}" is not known'
        if unknown
        else f'The column "{twice[0]}" stands there twice'
        if twice
        else None
    )
    if wrong:
        raise InputTrouble(wrong, str(path), f"The columns are {', '.join(KNOWN)}.")


def _record(
    number: int, row: Mapping[str, str], span: RecordSpan, default_class: HeaterClass
) -> LifeRecord:
    installed = _day(row, "installed")
    if installed is None:
        raise _Unusable("the installed date is missing")
    if installed < EARLIEST_MANUFACTURE:
        raise _Unusable(f"installed {installed} lies before 1950")
    failed, seen = _day(row, "failed"), _day(row, "last_seen")
    if failed is not None and seen is not None:
        raise _Unusable("it has both a failed and a last seen date; one that failed has only that")
    end = failed or seen or span.end
    begin = _day(row, "records_from") or span.start or installed
    _check_order(installed, begin, end, span.end, failed=failed is not None)
    return LifeRecord(
        row=number,
        heater_class=_class_of(row.get("heater_class", ""), default_class),
        began_years=max((begin - installed).days, 0) / DAYS_PER_YEAR,
        ended_years=(end - installed).days / DAYS_PER_YEAR,
        failed=failed is not None,
    )


def _check_order(installed: date, begin: date, end: date, last: date, *, failed: bool) -> None:
    """Refuse dates that cannot be; `last` is the day on which the records end."""
    what = "failed" if failed else "was last seen"
    if end > last:
        raise _Unusable(f"it {what} on {end}, after the records end on {last}")
    if end < installed:
        raise _Unusable(
            f"it {what} on {end}, before it was installed on {installed}"
            if failed or end != last
            else f"it was installed on {installed}, after the records end on {last}"
        )
    if failed and end == installed:
        raise _Unusable(f"it failed on {end}, the day on which it was installed")
    if end < begin or (failed and end == begin > installed):
        raise _Unusable(
            f"it {what} on {end}, but its record begins on {begin}: such a heater stands in no "
            "record, so it cannot be counted"
        )


def _day(row: Mapping[str, str], column: str) -> date | None:
    text = row.get(column, "")
    if not text:
        return None
    try:
        return date.fromisoformat(text)
    except ValueError:
        raise _Unusable(
            f'{column.replace("_", " ")} "{text}" is not a date as 2015-09-01'
        ) from None


def _class_of(text: str, default_class: HeaterClass) -> HeaterClass:
    try:
        return HeaterClass(text) if text else default_class
    except ValueError:
        known = ", ".join(HeaterClass)
        raise _Unusable(f'heater class "{text}" is not one of {known}') from None


def _refusal(
    path: Path, faults: list[tuple[int, str]], mend: str = "Correct each such row."
) -> InputTrouble:
    if len(faults) == 1:
        number, why = faults[0]
        return InputTrouble(f"A heater cannot be used; {why}", f"{path} row {number}", mend)
    told = [f"row {number}: {why}" for number, why in faults[:MOST_TOLD]]
    if len(faults) > MOST_TOLD:
        told.append(f"and {len(faults) - MOST_TOLD} more")
    return InputTrouble(f"{len(faults)} heaters cannot be used; {'; '.join(told)}", str(path), mend)
