"""Warnings on a rate sheet, each held against prices worked out by the pricing itself."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

import pytest

from app.desk.rate_cautions import rate_cautions
from app.files import read_toml
from app.wiring import DEMO_DATA
from estimator.price_lines import part_price
from estimator.rates import RateSheet, rate_sheet_from


def sheet(**sections: dict[str, Any]) -> RateSheet:
    values = read_toml(DEMO_DATA / "rates.toml")
    return rate_sheet_from({k: {**v, **sections.get(k, {})} for k, v in values.items()}, "test")


def codes(found: RateSheet) -> list[str]:
    return [caution.code for caution in rate_cautions(found)]


QUIET: dict[str, dict[str, Any]] = {
    "parts": {"markup_bands": [{"markup": "1.0"}]},
    "trip": {"credited_when_work_goes_ahead": False},
}


def test_a_sheet_without_a_fault_gives_no_warning() -> None:
    assert rate_cautions(sheet(**QUIET)) == ()


def test_a_dearer_part_that_sells_for_less_is_named_at_each_edge() -> None:
    found = sheet(trip=QUIET["trip"])
    told = [it.message for it in rate_cautions(found)]
    assert told[0] == (
        "A part that costs $15.00 sells for $45.00, and one that costs $15.01 for $37.53. "
        "Parts that cost up to about $18.00 sell for less than the cheaper one."
    )
    assert len(told) == 3
    # The claim itself, by the pricing: just under the level it sells for less, at it no more.
    assert part_price(Decimal("17.99"), None, found.parts) < Decimal("45.00")
    assert part_price(Decimal("18.00"), None, found.parts) == Decimal("45.00")


def test_bands_without_a_step_down_are_no_fault() -> None:
    bands = [{"up_to_cost": "10", "markup": "1.0"}, {"markup": "1.0"}]
    assert codes(sheet(**{**QUIET, "parts": {"markup_bands": bands}})) == []


@pytest.mark.parametrize(
    ("section", "key", "faulty", "sound", "code"),
    [
        ("quote", "margin_floor", "0.26", "0.25", "heater_under_floor"),
        ("quote", "margin_floor", "0.46", "0.45", "target_under_floor"),
        ("quote", "margin_floor", "0.51", "0.50", "part_under_floor"),
        ("quote", "margin_floor", "0.61", "0.60", "labor_under_floor"),
        ("labor", "regular_per_h", "58.49", "58.50", "labor_below_cost"),
        ("labor", "after_hours_per_h", "77.99", "78.00", "labor_below_cost"),
        ("labor", "cost_per_h", "18.49", "18.50", "labor_far_above_cost"),
        ("labor", "after_hours_per_h", "147.99", "148.00", "after_hours_below_regular"),
        ("trip", "amount", "37.99", "38.00", "trip_below_cost"),
        ("trip", "credited_when_work_goes_ahead", True, False, "trip_not_paid_for"),
        ("other", "sundries_price", "3.19", "3.20", "sundries_below_cost"),
        ("discounts", "plan_member", "0.51", "0.50", "discount_below_cost"),
    ],
)
def test_each_fault_is_found_and_not_a_step_before(
    section: str, key: str, faulty: object, sound: object, code: str
) -> None:
    def at(value: object) -> list[str]:
        return codes(sheet(**{**QUIET, section: {**QUIET.get(section, {}), key: value}}))

    assert code in at(faulty)
    assert code not in at(sound)


def test_heaters_under_the_floor_are_told_with_both_figures() -> None:
    found = rate_cautions(sheet(**{**QUIET, "quote": {"margin_floor": "0.30"}}))
    assert [it.message for it in found] == [
        "The margin floor is 30%, and heaters bring 25.9% alone: a job that is mostly heaters "
        "may not be issued without you."
    ]
    assert all(it.topic == "money" for it in found)
