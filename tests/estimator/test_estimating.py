"""The whole estimate of one visit: what decides it, and what must not."""

from __future__ import annotations

import tomllib
from datetime import date
from decimal import Decimal
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from estimator.case import Case
from estimator.errors import InputTrouble
from estimator.estimate import Estimate, OwnerEstimate
from estimator.estimating import estimate_case
from estimator.findings import Finding, Hazards, Readings, Remedy
from estimator.heater import DrawBin, Fuel, HeaterClass, Household, Ignition, RatingPlate
from estimator.rates import RateSheet, rate_sheet_from
from estimator.supply import (
    FitClass,
    Incentive,
    Operation,
    PartFamily,
    ReplacementHeater,
    SuppliedPart,
    Supply,
)
from estimator.verdict import VerdictKind

ON = date(2026, 11, 24)
PLATE = RatingPlate(
    fuel=Fuel.NATURAL_GAS,
    tank_volume_gal=40,
    input_btu_per_h=38_000,
    ignition=Ignition.PILOT_THERMOCOUPLE,
    manufactured=date(2015, 9, 1),
    energy_factor=0.59,
    recovery_efficiency=0.76,
)
CASE = Case(
    heater=PLATE,
    household=Household(people=3, inlet_f=58),
    finding=Finding.ELEMENT_WORN,
    remedy=Remedy.REPLACE_ELEMENT,
)
ELEMENT = SuppliedPart(
    number="X-1",
    description="Sensing element",
    family=PartFamily.SENSING_ELEMENT,
    fit_class=FitClass.LISTED,
    unit_cost=Decimal("9.50"),
)
ORDER = [VerdictKind.REPAIR, VerdictKind.EITHER, VerdictKind.REPLACE]


def rates(**economics: Any) -> RateSheet:
    path = Path(__file__).parents[2] / "demo_data" / "rates.toml"
    values = tomllib.loads(path.read_text(), parse_float=Decimal)
    values["economics"] |= economics
    return rate_sheet_from(values, "rates.toml")


RATES = rates()


def tank(slug: str, cost: str, uef: float = 0.60, **more: Any) -> ReplacementHeater:
    given: dict[str, Any] = {
        "slug": slug,
        "name": f"Tank {slug}",
        "heater_class": HeaterClass.GAS_STORAGE,
        "fuel": Fuel.NATURAL_GAS,
        "like_for_like": slug == "same",
        "volume_gal": 40,
        "input_btu_per_h": 40_000,
        "uniform_energy_factor": uef,
        "draw_bin": DrawBin.MEDIUM,
        "recovery_efficiency": 0.79,
        "first_hour_rating_gal": 70,
        "unit_cost": Decimal(cost),
        "install": Operation(slug="install", name="Install", hours=Decimal(4)),
    }
    return ReplacementHeater(**(given | more))


def supply(*replacements: ReplacementHeater, **more: Any) -> Supply:
    given: dict[str, Any] = {
        "catalog_version": "test",
        "parts": (ELEMENT,),
        "operations": (Operation(slug="op", name="Replace the element", hours=Decimal("0.8")),),
        "replacements": replacements or (tank("same", "515"),),
    }
    return Supply(**(given | more))


def estimated(case: Case = CASE, given: Supply | None = None, sheet: RateSheet = RATES) -> Estimate:
    return whole(case, given, sheet).estimate


def whole(
    case: Case = CASE, given: Supply | None = None, sheet: RateSheet = RATES
) -> OwnerEstimate:
    return estimate_case(case, given or supply(), sheet, ON)


def with_part_cost(cost: Decimal) -> Supply:
    return supply(parts=(ELEMENT.model_copy(update={"unit_cost": cost}),))


@settings(max_examples=25, deadline=None)
@given(
    cheap=st.decimals(1, 900, places=2),
    more=st.decimals(0, 900, places=2),
    made=st.dates(date(1995, 1, 1), date(2026, 1, 1)),
)
def test_a_dearer_repair_never_turns_the_verdict_toward_repair(
    cheap: Decimal, more: Decimal, made: date
) -> None:
    # One target margin, so that a dearer part is always a dearer repair.
    parts = RATES.parts.model_copy(update={"markup_bands": (), "target_margin": Decimal("0.5")})
    sheet = RATES.model_copy(update={"parts": parts})
    case = CASE.model_copy(update={"heater": PLATE.model_copy(update={"manufactured": made})})
    before = estimated(case, with_part_cost(cheap), sheet)
    after = estimated(case, with_part_cost(cheap + more), sheet)
    assert after.repair.priced.total >= before.repair.priced.total
    assert ORDER.index(after.verdict.kind) >= ORDER.index(before.verdict.kind)


def test_margin_moves_neither_verdict_nor_anything_the_customer_sees() -> None:
    # Labor that costs the shop more, at the same rate, only thins the margin.
    dear = RATES.labor.model_copy(
        update={"cost_per_h": Decimal(120), "after_hours_cost_per_h": Decimal(140)}
    )
    before, after = whole(), whole(sheet=RATES.model_copy(update={"labor": dear}))
    assert after.estimate == before.estimate
    assert after.repair_margin.gross_margin < before.repair_margin.gross_margin


def test_repairing_is_compared_with_the_cheapest_by_life_cycle_cost_not_by_price() -> None:
    frugal = tank("frugal", "560", uef=0.68)
    found = estimated(given=supply(tank("same", "515"), frugal))
    assert found.replacements[0].slug == "frugal"
    assert found.replacements[0].priced.total > found.replacements[1].priced.total
    gap = found.replacements[0].cost.lcc - found.repair.cost.lcc
    expected = float(found.repair.priced.total) + gap
    assert float(found.repair.break_even_price) == pytest.approx(expected, abs=0.01)


def test_what_is_not_settled_is_not_what_repairing_is_compared_with() -> None:
    maybe = tank("maybe", "300", uef=0.68, unsettled=("Look whether it fits.",))
    found = estimated(given=supply(tank("same", "515"), maybe))
    assert [path.slug for path in found.replacements] == ["same", "maybe"]
    assert any("Tank maybe would cost less" in turn for turn in found.verdict.turns_at)


def test_a_closed_replacement_is_priced_but_comes_last() -> None:
    shut = tank("shut", "300", closed_reason="There is no drain here.")
    found = estimated(given=supply(shut, tank("same", "515")))
    assert [path.slug for path in found.replacements] == ["same", "shut"]
    assert found.replacements[1].closed_reason == "There is no drain here."
    assert found.replacements[1].cost.lcc > 0


def test_with_every_replacement_closed_repair_is_said_with_the_reason() -> None:
    shut = tank("same", "515", closed_reason="There is no drain here.")
    verdict = estimated(given=supply(shut)).verdict
    assert verdict.kind is VerdictKind.REPAIR
    assert "There is no drain here" in verdict.reasons[0]


def test_an_incentive_never_pays_more_than_the_price() -> None:
    given = tank("same", "515", incentives=(Incentive(name="Gift", amount=Decimal(99_999)),))
    path = estimated(given=supply(given)).replacements[0]
    assert path.price_after_incentives == 0
    assert path.incentives == path.priced.total


@pytest.mark.parametrize(
    ("changed", "years"),
    [
        ({}, 13),
        ({"household": Household(people=3, inlet_f=58, years_in_house=4)}, 4),
        ({"years": 7, "household": Household(people=3, inlet_f=58, years_in_house=4)}, 7),
    ],
)
def test_the_study_lasts_as_the_customer_says_else_the_life_of_a_tank(
    changed: dict[str, Any], years: int
) -> None:
    assert estimated(CASE.model_copy(update=changed)).study_years == years


@pytest.mark.parametrize("hazard", sorted(Hazards.model_fields))
def test_every_hazard_closes_the_repair_whatever_it_costs(hazard: str) -> None:
    case = CASE.model_copy(update={"hazards": Hazards(**{hazard: True})})
    found = estimated(case, with_part_cost(Decimal("0.01")))
    assert found.verdict.kind is VerdictKind.CLOSED
    assert not found.repair.open
    assert found.repair.closed_reason == found.stops[0].why


def test_no_part_closes_the_repair_for_today() -> None:
    found = estimated(given=supply(parts=(), no_part_reason="None is made any more."))
    assert found.verdict.kind is VerdictKind.CLOSED
    assert found.repair.closed_reason == "None is made any more."


def test_an_opened_limit_needs_its_cause() -> None:
    case = CASE.model_copy(update={"finding": Finding.LIMIT_OPEN, "remedy": Remedy.RESET_LIMIT})
    assert estimated(case).verdict.kind is VerdictKind.CLOSED
    told = case.model_copy(update={"readings": Readings(opened_cause="Lint in the arrestor")})
    assert estimated(told).verdict.kind is not VerdictKind.CLOSED


def test_a_free_repair_price_at_break_even_brings_both_paths_level() -> None:
    parts = RATES.parts.model_copy(update={"markup_bands": (), "target_margin": Decimal("0")})
    sheet = RATES.model_copy(
        update={"parts": parts, "tax": RATES.tax.model_copy(update={"rate": Decimal(0)})}
    )
    base = estimated(given=with_part_cost(Decimal("0")), sheet=sheet)
    to_break_even = base.repair.break_even_price - base.repair.priced.total
    level = estimated(given=with_part_cost(to_break_even), sheet=sheet)
    assert level.repair.cost.lcc == pytest.approx(level.replacements[0].cost.lcc, abs=0.01)
    assert level.verdict.kind is VerdictKind.EITHER


def test_the_published_outlook_and_a_flat_one_differ_only_through_fuel() -> None:
    flat = estimated(sheet=rates(price_outlook="flat", fuel_escalation=0))
    published = estimated()
    assert flat.repair.priced == published.repair.priced
    assert flat.repair.cost.lcc != published.repair.cost.lcc


def test_a_catalog_without_replacements_is_refused() -> None:
    empty = Supply(catalog_version="bare", parts=(ELEMENT,))
    with pytest.raises(
        InputTrouble, match=r"no replacement heater to compare with in catalog bare"
    ):
        estimate_case(CASE, empty, RATES, ON)


def test_a_job_beyond_any_price_is_refused_in_plain_words() -> None:
    dear = with_part_cost(Decimal(9_900_000))
    with pytest.raises(InputTrouble, match=r"Repair comes to \$.*; at most \$10,000,000 can be"):
        estimated(given=dear)
