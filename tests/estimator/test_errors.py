"""Messages in plain words: what, where, how to mend it."""

from __future__ import annotations

from datetime import date
from decimal import Decimal
from typing import Annotated, Literal

import pytest
from pydantic import BaseModel, ConfigDict, Field, model_validator

from estimator.errors import (
    CatalogTrouble,
    InputTrouble,
    LedgerTrouble,
    PartNotFound,
    QuoteNotFound,
    RateSheetTrouble,
    Trouble,
    checked,
)
from estimator.heater import Fuel, RatingPlate


class Tube(BaseModel):
    model_config = ConfigDict(extra="forbid")
    bore_in: Annotated[float, Field(gt=0, lt=1, allow_inf_nan=False)]
    ends: tuple[Literal["flare", "push_in"], ...] = ()


class Kit(BaseModel):
    model_config = ConfigDict(extra="forbid")
    name: Annotated[str, Field(min_length=1, max_length=10)]
    price: Annotated[Decimal, Field(ge=0)]
    pieces: Annotated[int, Field(le=1000)] = 1
    listed: bool = False
    tube: Tube | None = None
    tubes: tuple[Tube, ...] = ()
    by_fuel: dict[Fuel, Tube] = {}
    features: dict[str, str | float | bool] = {}

    @model_validator(mode="after")
    def _listed_has_a_tube(self) -> Kit:
        if self.listed and self.tube is None:
            raise ValueError("a listed kit has no tube; add its tube")
        return self


def told(**changes: object) -> str:
    values = {"name": "kit", "price": 3} | changes
    with pytest.raises(InputTrouble) as refused:
        checked(Kit, values, "kits.toml")
    return str(refused.value)


TUBE = {"bore_in": 0.25}

CASES = [
    ({"price": -5}, "price is -5 in kits.toml; it must be 0 or more."),
    ({"price": "cheap"}, 'price is "cheap" in kits.toml; it must be a number.'),
    ({"pieces": 1001}, "pieces is 1001 in kits.toml; it must be 1,000 or less."),
    ({"pieces": 1.5}, "pieces is 1.5 in kits.toml; it must be a whole number."),
    ({"listed": "maybe"}, 'listed is "maybe" in kits.toml; it must be true or false.'),
    ({"name": 7}, "name is 7 in kits.toml; it must be text in quotes."),
    ({"name": ""}, 'name is "" in kits.toml; it must be 1 or more characters long.'),
    (
        {"name": "x" * 60},
        f'name is "{"x" * 40}…" in kits.toml; it must be at most 10 characters long.',
    ),
    ({"tube": {"bore_in": 0}}, "tube.bore_in is 0 in kits.toml; it must be above 0."),
    ({"tube": {"bore_in": 1}}, "tube.bore_in is 1 in kits.toml; it must be below 1."),
    (
        {"tube": {"bore_in": float("nan")}},
        "tube.bore_in is not a number in kits.toml; give a number.",
    ),
    (
        {"tube": {"bore_in": float("inf")}},
        "tube.bore_in is inf in kits.toml; it must be a finite number.",
    ),
    ({"tube": {}}, 'The key "tube.bore_in" is missing in kits.toml.'),
    ({"tube": 3}, "tube is 3 in kits.toml; it must be a section with keys of its own."),
    ({"tubes": 3}, "tubes is 3 in kits.toml; it must be a list."),
    (
        {"tubes": [TUBE, {"bore": 0.25, "bore_in": 0.25}]},
        'The key "tubes #2.bore" is not known in kits.toml; did you mean "bore_in"?',
    ),
    (
        {"tubes": [TUBE | {"ends": ["flair"]}]},
        'tubes #1.ends #1 is "flair" in kits.toml; it must be flare or push_in '
        '(did you mean "flare"?).',
    ),
    (
        {"by_fuel": {"propane": {"bore_inch": 0.25}}},
        'The key "by_fuel.propane.bore_inch" is not known in kits.toml; did you mean "bore_in"?',
    ),
    (
        {"by_fuel": {"propan": TUBE}},
        'The key "by_fuel.propan" is not known in kits.toml; did you mean "propane"?',
    ),
    (
        {"features": {"length_in": [1]}},
        "features.length_in is a list in kits.toml; it must be text, a number, or true or false.",
    ),
    ({"nmae": "x"}, 'The key "nmae" is not known in kits.toml; did you mean "name"?'),
    (
        {"zzzz": 1},
        'The key "zzzz" is not known in kits.toml; known here: name, price, pieces, listed, '
        "tube, tubes, by_fuel, features.",
    ),
    ({"listed": True}, "A listed kit has no tube in kits.toml; add its tube."),
]


@pytest.mark.parametrize(("changes", "message"), CASES, ids=lambda case: str(case)[:40])
def test_one_fault_is_told_by_its_key(changes: dict[str, object], message: str) -> None:
    assert told(**changes) == f"{message} Correct this and try again."


def test_a_misspelt_key_is_one_fault_not_two() -> None:
    with pytest.raises(InputTrouble) as refused:
        checked(Kit, {"name": "kit", "prise": 3}, "kits.toml")
    assert str(refused.value) == (
        'The key "prise" is not known in kits.toml; did you mean "price"? '
        "Correct this and try again."
    )


def test_several_faults_are_told_together() -> None:
    assert told(price=-5, pieces="x", nmae=1) == (
        "3 things are wrong in kits.toml; price is -5 (it must be 0 or more); "
        'pieces is "x" (it must be a whole number); the key "nmae" is not known '
        '(did you mean "name"?). Correct these and try again.'
    )


def test_at_most_five_faults_are_told() -> None:
    message = told(**{f"zz{number}": 1 for number in range(8)})
    assert message.startswith("8 things are wrong in kits.toml; ")
    assert message.count("is not known") == 5
    assert message.endswith("; and 3 more. Correct these and try again.")


def test_no_words_of_the_checking_library_reach_a_person() -> None:
    for changes, _ in CASES:
        message = told(**changes)
        for word in ("Input should", "pydantic", "validation", "Value error", "<Fuel", "url"):
            assert word not in message


def test_what_is_not_a_section_at_all_is_told() -> None:
    with pytest.raises(InputTrouble) as refused:
        checked(Kit, [], "kits.toml")  # type: ignore[arg-type]
    assert str(refused.value) == (
        "What was given is a list in kits.toml; it must be a section with keys of its own. "
        "Correct this and try again."
    )


def test_a_fault_across_keys_of_a_section_names_the_section() -> None:
    plate = {
        "fuel": "propane",
        "tank_volume_gal": 40,
        "input_btu_per_h": 38_000,
        "ignition": "pilot_thermocouple",
        "manufactured": "2016-05-01",
        "energy_factor": 0.6,
        "uniform_energy_factor": 0.6,
    }

    class Inside(BaseModel):
        heater: RatingPlate

    with pytest.raises(InputTrouble) as refused:
        checked(Inside, {"heater": plate}, "visit.toml")
    assert str(refused.value) == (
        "heater: the label carries either an energy factor or a uniform energy factor, not both "
        "in visit.toml; give the one that is printed. Correct this and try again."
    )


def test_a_date_that_is_none_is_told() -> None:
    class Day(BaseModel):
        day: date

    with pytest.raises(InputTrouble) as refused:
        checked(Day, {"day": "last spring"}, "visit.toml")
    assert str(refused.value) == (
        'day is "last spring" in visit.toml; it must be a date, year first, such as 2019-05-31. '
        "Correct this and try again."
    )


def test_the_family_asked_for_is_raised_without_its_cause() -> None:
    with pytest.raises(RateSheetTrouble) as refused:
        checked(Kit, {}, "rates.toml", RateSheetTrouble)
    assert refused.value.__suppress_context__


def test_the_place_stands_between_the_fault_and_what_it_must_be() -> None:
    trouble = Trouble(
        "Tank size is -40 gal; it must be above 0",
        "heaters.csv row 17",
        "Correct the row and import again.",
    )
    assert str(trouble) == (
        "Tank size is -40 gal in heaters.csv row 17; it must be above 0. "
        "Correct the row and import again."
    )


@pytest.mark.parametrize(
    ("trouble", "message"),
    [
        (Trouble("The lamp is out"), "The lamp is out."),
        (Trouble("The lamp is out.", "the hall"), "The lamp is out in the hall."),
        (Trouble("The lamp is out", mend="Light it."), "The lamp is out. Light it."),
    ],
)
def test_a_message_stands_without_place_or_mend(trouble: Trouble, message: str) -> None:
    assert str(trouble) == message


def test_the_tree_of_errors() -> None:
    assert issubclass(RateSheetTrouble, InputTrouble)
    assert issubclass(PartNotFound, CatalogTrouble)
    assert issubclass(QuoteNotFound, LedgerTrouble)
    for family in (InputTrouble, CatalogTrouble, LedgerTrouble):
        assert issubclass(family, Trouble)


def test_a_choice_of_numbers_is_named() -> None:
    class Classed(BaseModel):
        output_class_mv: Literal[30, 750]

    with pytest.raises(InputTrouble, match="output_class_mv is 40 in plate; it must be 30 or 750"):
        checked(Classed, {"output_class_mv": 40}, "plate")
