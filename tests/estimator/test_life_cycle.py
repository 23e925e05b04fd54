"""The comparison: worked case, terms at their ends, and what is refused."""

from __future__ import annotations

from typing import Any

import pytest

from estimator.comparison import Challenger, Defender, Terms
from estimator.errors import InputTrouble
from estimator.life_cycle import compare
from estimator.paths import yearly_upkeep
from estimator.savings import savings_measures
from estimator.survival import LifeDistribution

LIFE = LifeDistribution(shape=2.0, scale_years=12.0, delay_years=1.0)
TERMS = Terms(years=12, real_discount_rate=0.03, urgency_premium=0.15, failure_damage=150.0)
INDICES = tuple(1.01**year for year in range(1, 41))


def defender(**changes: Any) -> Defender:
    values = {
        "name": "in place", "life": LIFE, "energy_cost_per_year": 310, "price_indices": INDICES,
        "upkeep_per_year": 20, "later_repairs_per_year": 0.06, "later_repair_price": 240,
        "installed_price": 1_800, "age_years": 8, "repair_price": 280,
    }  # fmt: skip
    return Defender.model_validate(values | changes)


def challenger(**changes: Any) -> Challenger:
    values = {
        "name": "tank", "life": LIFE, "energy_cost_per_year": 265, "price_indices": INDICES,
        "upkeep_per_year": 20, "later_repairs_per_year": 0.03, "later_repair_price": 240,
        "installed_price": 1_800,
    }  # fmt: skip
    return Challenger.model_validate(values | changes)


def test_worked_case_to_the_cent() -> None:
    """Worked apart from this engine by plain loops."""
    found = compare(defender(), [challenger()], TERMS)
    assert round(found.repair.lcc, 2) == 4878.35
    assert round(found.challengers[0].lcc, 2) == 5178.39
    assert round(found.break_even_repair_price, 2) == 580.04
    assert found.cheapest == "tank"


def test_one_year_has_no_planned_year() -> None:
    found = compare(defender(), [challenger()], TERMS.model_copy(update={"years": 1}))
    assert found.best_planned is None
    assert len(found.repair.cumulative) == 2


def test_two_years_have_one_planned_year() -> None:
    found = compare(defender(), [challenger()], TERMS.model_copy(update={"years": 2}))
    assert found.best_planned is not None
    assert found.best_planned.year == 1


def test_challengers_stay_in_order_and_the_cheapest_is_compared() -> None:
    dear, cheap = challenger(name="dear", installed_price=2_600), challenger(name="cheap")
    found = compare(defender(), [dear, cheap], TERMS)
    assert [path.name for path in found.challengers] == ["dear", "cheap"]
    assert found.cheapest == "cheap"
    alone = compare(defender(), [cheap], TERMS)
    assert found.repair == alone.repair
    assert found.break_even_repair_price == alone.break_even_repair_price


def test_incentives_count_once() -> None:
    plain = compare(defender(), [challenger()], TERMS)
    helped = compare(defender(), [challenger(incentives=300)], TERMS)
    assert helped.challengers[0].lcc == pytest.approx(plain.challengers[0].lcc - 300)
    assert helped.repair == plain.repair, "a renewal after a failure gets no incentive"


def test_more_indices_than_years_are_left_over() -> None:
    cut = [challenger(price_indices=INDICES[:12])]
    assert compare(defender(price_indices=INDICES[:12]), cut, TERMS) == compare(
        defender(), [challenger()], TERMS
    )


def test_too_few_indices_are_refused_by_name() -> None:
    with pytest.raises(InputTrouble) as refused:
        compare(defender(), [challenger(price_indices=(1.0, 1.0))], TERMS)
    assert str(refused.value) == (
        "tank has 2 price indices for a study of 12 years; it must have one for each year. "
        "Give more indices or a shorter study period."
    )


def test_no_challenger_is_refused() -> None:
    with pytest.raises(InputTrouble) as refused:
        compare(defender(), [], TERMS)
    assert str(refused.value) == (
        "There is no challenger to compare with. "
        "Give at least one heater that could replace the one in place."
    )


def test_break_even_age_is_none_where_the_paths_never_meet() -> None:
    found = compare(defender(repair_price=5_000), [challenger()], TERMS)
    assert found.break_even_age_years is None


def test_break_even_age_of_the_worked_case_is_a_root() -> None:
    age = compare(defender(), [challenger()], TERMS).break_even_age_years
    assert age is not None
    even = compare(defender(age_years=age), [challenger()], TERMS)
    assert even.repair.lcc == pytest.approx(even.challengers[0].lcc, abs=1e-6)


def test_of_two_break_even_ages_the_nearer_is_given() -> None:
    """Early deaths make a new unit risky, ageing an old one dear: even twice."""
    early_deaths = LifeDistribution(shape=0.5, scale_years=6.0)
    aging = TERMS.model_copy(update={"aging": 0.02})

    def even_age(age: float) -> float:
        old = defender(life=early_deaths, age_years=age, repair_price=1_500)
        found = compare(old, [challenger()], aging).break_even_age_years
        assert found is not None
        even = compare(old.model_copy(update={"age_years": found}), [challenger()], aging)
        assert even.repair.lcc == pytest.approx(even.challengers[0].lcc, abs=1e-6)
        return found

    assert even_age(0.0) < 5
    assert 20 < even_age(60.0) < 60


@pytest.mark.parametrize("age", [0.0, 1.0, 59.9, 93.7, 150.0])
def test_any_age_gives_finite_costs(age: float) -> None:
    found = compare(defender(age_years=age), [challenger()], TERMS)
    assert 0 < found.repair.lcc < 20_000
    if age >= 59:
        # So old a heater fails this year all but surely: a purchase in a year, dearer.
        assert found.repair.lcc > found.challengers[0].lcc


def test_yearly_upkeep_adds_later_repairs() -> None:
    assert yearly_upkeep(defender()) == pytest.approx(20 + 0.06 * 240)


def test_savings_measures_of_the_worked_case() -> None:
    found = compare(defender(), [challenger()], TERMS)
    measures = savings_measures(found.repair, found.challengers[0], 0.03)
    assert measures.net_savings == pytest.approx(-300.0365, abs=1e-4)
    running = found.repair.running[-1] - found.challengers[0].running[-1]
    assert measures.sir == pytest.approx(running / (running + 300.0365334), rel=1e-9)
    assert measures.airr is not None
    assert measures.airr < 0.03, "less than the discount rate, for it loses money"
    assert measures.simple_payback_years is None
    assert measures.discounted_payback_years is None


def test_a_replacement_no_dearer_than_the_repair_is_paid_back_at_once() -> None:
    found = compare(defender(repair_price=2_500), [challenger()], TERMS)
    measures = savings_measures(found.repair, found.challengers[0], 0.03)
    assert measures.simple_payback_years == 0.0
    assert measures.sir is None
    assert measures.airr is None
    assert measures.net_savings > 0


def test_net_savings_above_nothing_mean_a_discounted_payback_within_the_study() -> None:
    found = compare(defender(repair_price=900, age_years=11), [challenger()], TERMS)
    measures = savings_measures(found.repair, found.challengers[0], 0.03)
    assert measures.net_savings > 0
    assert measures.discounted_payback_years is not None
    assert measures.discounted_payback_years <= 12
