"""Numbers as people type them."""

from __future__ import annotations

import pytest

from app.views.fields import Field, filled
from app.views.payload import put, read
from app.views.typed import kept_number, number_shown, typed_number

SURE = (
    ("12", 12.0),
    (" 12 ", 12.0),
    ("3.5", 3.5),
    ("3,5", 3.5),
    (".5", 0.5),
    ("5.", 5.0),
    ("0,500", 0.5),
    ("38,000", 38_000.0),
    ("1,234,567.5", 1_234_567.5),
    ("1.234,5", 1_234.5),
    ("1.234.567", 1_234_567.0),
    ("38 000", 38_000.0),
    ("38\u202f000,5", 38_000.5),
    ("1'234.5", 1_234.5),
    ("-4", -4.0),
    ("1e3", 1_000.0),
    ("−4", -4.0),  # noqa: RUF001 - the minus of a phone
    ("١٢٫٥", 12.5),  # noqa: RUF001 - Arabic-Indic digits
    ("१२", 12.0),
    ("１２", 12.0),  # noqa: RUF001 - full-width digits
)
NO_NUMBER = (
    "12x",
    "😀",
    "--5",
    "1,2,3",
    "nan",
    "inf",
    "0x10",
    "1" * 10_000,
    "9" * 40,
    "9" * 20,
    "²",
    "12 34",
)


@pytest.mark.parametrize(("text", "number"), SURE)
def test_a_number_is_read_however_it_is_typed(text: str, number: float) -> None:
    assert typed_number(text) == number


@pytest.mark.parametrize("text", NO_NUMBER)
def test_what_is_no_number_is_not_made_one(text: str) -> None:
    assert typed_number(text) is None
    assert kept_number(text) == text


@pytest.mark.parametrize(
    ("text", "unit", "number"),
    [("12 mV", "mV", 12.0), ("$148", "$/h", 148.0), ("7.25%", "%", 7.25), ("40gal", "gal", 40.0)],
)
def test_the_unit_of_the_field_may_stand_with_the_number(
    text: str, unit: str, number: float
) -> None:
    assert typed_number(text, unit) == number


def test_the_unit_of_another_field_may_not() -> None:
    assert typed_number("12 V", "mV") is None


def test_an_empty_field_keeps_nothing() -> None:
    assert kept_number("  ") is None


@pytest.mark.parametrize(("kept", "shown"), [(40, "40"), (40.0, "40"), (0.59, "0.59"), ("x", "x")])
def test_a_kept_number_is_shown_bare(kept: float | str, shown: str) -> None:
    assert number_shown(kept) == shown


@pytest.mark.parametrize("typed", NO_NUMBER)
@pytest.mark.parametrize(
    "field",
    [
        Field("heater.tank_volume_gal", "Tank size", unit="gal"),
        Field("readings.millivolts_open", "Open circuit", unit="mV"),
        Field("household.people", "People in the home", "whole"),
        Field("work.discount", "Discount", unit="%"),
    ],
    ids=lambda field: field.path,
)
def test_what_is_no_number_stays_in_its_field_with_a_word(field: Field, typed: str) -> None:
    draft = put({"visit": {"note": "kept"}}, field.path, kept_number(typed, field.unit))
    [shown] = filled((field,), draft)
    assert shown.value == typed
    assert shown.problem.startswith(f"{field.label} ")
    assert len(shown.problem) < 200
    assert read(draft, "visit.note") == "kept"


def test_half_a_person_is_said_at_the_field_and_not_cut_off() -> None:
    field = Field("household.people", "People in the home", "whole")
    [shown] = filled((field,), put({}, field.path, 2.5))
    assert shown.value == 2.5
    assert shown.problem
