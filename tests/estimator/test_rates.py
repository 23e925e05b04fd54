"""The rate sheet: exact numbers, round trips, words for what is refused."""

from __future__ import annotations

import json
import tomllib
from decimal import Decimal
from pathlib import Path
from typing import Any

import pytest
import tomli_w

from estimator.errors import RateSheetTrouble
from estimator.heater import Access, HeaterClass
from estimator.rates import LineKind, RateSheet, rate_sheet_from, rate_sheet_to

DEMO = Path(__file__).parents[2] / "demo_data" / "rates.toml"


def demo() -> dict[str, Any]:
    return tomllib.loads(DEMO.read_text(encoding="utf-8"))


def read(values: dict[str, Any]) -> RateSheet:
    return rate_sheet_from(values, "rates.toml")


def test_the_demo_shop_is_complete_and_invented() -> None:
    sheet = read(demo())
    assert sheet.shop.invented
    assert set(sheet.labor.access_factor) == set(Access)
    assert set(sheet.economics.lives) == set(HeaterClass)
    assert set(sheet.economics.challenger_upkeep) == set(HeaterClass)
    assert sheet.other.permit_markup == sheet.other.disposal_markup == 0


def test_every_key_of_the_rate_sheet_is_in_the_demo_file() -> None:
    """An owner who copies the demo file sees every key that there is."""
    text = DEMO.read_text(encoding="utf-8")
    for section, field in RateSheet.model_fields.items():
        model = field.annotation
        assert model is not None
        for key in model.model_fields:
            assert key in text, f"{section}.{key}"


@pytest.mark.parametrize("written", [0.1, "0.1", Decimal("0.1")])
def test_a_tenth_is_exactly_a_tenth(written: object) -> None:
    values = demo()
    values["discounts"]["plan_member"] = written
    assert read(values).discounts.plan_member == Decimal("0.1")


def test_toml_numbers_become_exact_decimals() -> None:
    text = DEMO.read_text(encoding="utf-8").replace("rate = 0.0725", "rate = 0.08875")
    assert read(tomllib.loads(text)).tax.rate == Decimal("0.08875")
    exact = tomllib.loads(text, parse_float=Decimal)
    assert read(exact) == read(tomllib.loads(text))


def test_whole_numbers_are_taken_where_a_decimal_is_meant() -> None:
    values = demo()
    values["labor"]["regular_per_h"] = 150
    values["economics"]["urgency_premium"] = 0
    values["fuel_prices"]["natural_gas_per_therm"] = 2
    sheet = read(values)
    assert sheet.labor.regular_per_h == 150
    assert sheet.economics.urgency_premium == 0.0


def test_round_trip_through_toml_and_json_is_exact() -> None:
    sheet = read(demo())
    through_toml = read(tomllib.loads(tomli_w.dumps(rate_sheet_to(sheet))))
    through_json = read(json.loads(json.dumps(rate_sheet_to(sheet))))
    assert sheet == through_toml == through_json
    assert rate_sheet_to(through_toml) == rate_sheet_to(sheet)
    assert RateSheet.model_validate_json(sheet.model_dump_json()) == sheet


def test_round_trip_keeps_a_target_margin() -> None:
    values = demo()
    values["parts"] = {"target_margin": "0.475"}
    again = read(tomllib.loads(tomli_w.dumps(rate_sheet_to(read(values)))))
    assert again.parts.target_margin == Decimal("0.475")
    assert again.parts.markup_bands == ()


def test_defaults_discount_parts_and_labor_and_tax_goods() -> None:
    values = demo()
    del values["discounts"], values["tax"]["taxable"]
    sheet = read(values)
    assert sheet.discounts.kinds == (LineKind.PART, LineKind.LABOR)
    assert sheet.discounts.technician_limit == 0
    assert sheet.tax.taxable == (LineKind.PART, LineKind.MATERIAL, LineKind.HEATER)


def with_change(path: str, value: object) -> dict[str, Any]:
    values = demo()
    *sections, key = path.split(".")
    inner = values
    for section in sections:
        inner = inner.setdefault(section, {})
    inner[key] = value
    return values


BANDS_OPEN_FIRST = [{"markup": 1}, {"up_to_cost": 5, "markup": 2}]
BANDS_FALLING = [{"up_to_cost": 9, "markup": 1}, {"up_to_cost": 5, "markup": 2}, {"markup": 1}]
CASES = [
    (
        "labor.regular_per_hr",
        140,
        'The key "labor.regular_per_hr" is not known in rates.toml; did you mean "regular_per_h"?',
    ),
    ("labor.minimum_h", 9, "labor.minimum_h is 9 in rates.toml; it must be 8 or less."),
    (
        "labor.cost_per_h",
        "a lot",
        'labor.cost_per_h is "a lot" in rates.toml; it must be a number.',
    ),
    (
        "labor.cost_per_h",
        True,
        "labor: cost_per_h is true in rates.toml; give a number or text.",
    ),
    (
        "labor.access_factor",
        {"open": 1, "tight": 1.2},
        "labor: access_factor lacks very_tight in rates.toml; give each a factor.",
    ),
    (
        "labor.access_factor.tight",
        0.8,
        "labor.access_factor.tight is 0.8 in rates.toml; it must be 1 or more.",
    ),
    (
        "parts.target_margin",
        0.5,
        "parts: both markup_bands and target_margin are given in rates.toml; keep one of the two.",
    ),
    (
        "parts.markup_bands",
        [],
        "parts: there is neither markup_bands nor target_margin in rates.toml; "
        "give one of the two.",
    ),
    (
        "parts.markup_bands",
        BANDS_OPEN_FIRST,
        "parts: the markup bands do not cover every cost in rates.toml; give each but the last "
        "its up_to_cost, and the last none.",
    ),
    (
        "parts.markup_bands",
        BANDS_FALLING,
        "parts: the markup bands do not rise in up_to_cost in rates.toml; put the cheapest first.",
    ),
    ("tax.rate", 7.25, "tax.rate is 7.25 in rates.toml; it must be below 1."),
    ("tax.rate", float("nan"), "tax.rate is not a number in rates.toml; give a number."),
    (
        "tax.taxable",
        ["parts"],
        'tax.taxable #1 is "parts" in rates.toml; it must be part, labor, trip, permit, disposal, '
        'material or heater (did you mean "part"?).',
    ),
    ("quote.valid_days", 0, "quote.valid_days is 0 in rates.toml; it must be 1 or more."),
    (
        "quote.words_es",
        "Loop = Circuito\n\nPump, pequeña bomba\n",
        'quote.words_es: line 3 is not "English = Spanish" in rates.toml.',
    ),
    ("quote.valid_days", 7.5, "quote.valid_days is 7.5 in rates.toml; it must be a whole number."),
    (
        "economics.lives.gas_storage.shpe",
        2,
        'The key "economics.lives.gas_storage.shpe" is not known in rates.toml; '
        'did you mean "shape"?',
    ),
    (
        "economics.lives.gas_tank",
        {"shape": 2, "scale_years": 13},
        'The key "economics.lives.gas_tank" is not known in rates.toml; '
        'did you mean "gas_storage"?',
    ),
    (
        "economics.price_outlook",
        "publish",
        'economics.price_outlook is "publish" in rates.toml; it must be published or flat '
        '(did you mean "published"?).',
    ),
]


@pytest.mark.parametrize(("path", "value", "message"), CASES, ids=[case[0] for case in CASES])
def test_what_is_refused_is_told(path: str, value: object, message: str) -> None:
    with pytest.raises(RateSheetTrouble) as told:
        read(with_change(path, value))
    assert str(told.value) == f"{message} Correct this and try again."


def test_own_words_are_pairs_in_one_language() -> None:
    terms = read(with_change("quote.words_es", "\n Loop = Circuito \nA=B = C\n")).quote
    assert terms.own_words("es") == (("Loop", "Circuito"), ("A", "B = C"))
    assert terms.own_words("en") == ()


def test_a_missing_key_is_told() -> None:
    values = demo()
    del values["labor"]["cost_per_h"]
    with pytest.raises(RateSheetTrouble) as told:
        read(values)
    assert str(told.value) == (
        'The key "labor.cost_per_h" is missing in rates.toml. Correct this and try again.'
    )
