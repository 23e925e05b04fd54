"""Cost of keeping a heater year by year: plain loops, sampled lives, refusals."""

from __future__ import annotations

import numpy as np
import pytest

from estimator.comparison import Defender, Terms
from estimator.economic_life import cost_of_owning, keeping_cost
from estimator.errors import InputTrouble
from estimator.survival import LifeDistribution, conditional_survival

LIFE = LifeDistribution(shape=2.0, scale_years=12.0, delay_years=1.0)
TERMS = Terms(years=12, urgency_premium=0.15, failure_damage=150, install_price_escalation=0.01)
INDICES = tuple(1.01**year for year in range(1, 13))
OLD = Defender(
    name="old", life=LIFE, energy_cost_per_year=310, price_indices=INDICES, upkeep_per_year=20,
    later_repairs_per_year=0.06, later_repair_price=240, installed_price=1_800, age_years=8,
    repair_price=280,
)  # fmt: skip


def year_cost(year: int) -> float:
    """Energy, upkeep, repairs, and the premium of a failure times its chance, by definition."""
    before, after = (float(conditional_survival(LIFE, 8.0, y)) for y in (year - 1, year))
    premium = 1_800 * 1.01**year * 0.15 + 150
    return 310 * 1.01**year + 20 + 0.06 * 240 + (1 - after / before) * premium


def test_yearly_costs_against_plain_loops() -> None:
    found = cost_of_owning(OLD, 280.0, 8.0, 1_800.0, TERMS)
    assert found.marginal[0] == pytest.approx(280 * 1.03 + year_cost(1), rel=1e-12)
    for year in range(2, 13):
        assert found.marginal[year - 1] == pytest.approx(year_cost(year), rel=1e-12)
    paid = served = 0.0
    for year in range(1, 13):
        alive = float(conditional_survival(LIFE, 8.0, year - 1)) * 1.03**-year
        paid, served = paid + alive * year_cost(year), served + alive
        assert found.annual[year - 1] == pytest.approx((280 + paid) / served, rel=1e-12)


def test_annual_cost_against_sampled_lives() -> None:
    """Mean cost over mean service of 200,000 sampled lives, kept at most seven years."""
    random = np.random.default_rng(8)
    left = (
        LIFE.delay_years
        + LIFE.scale_years * (random.exponential(size=200_000) + ((8 - 1) / 12) ** 2) ** 0.5
        - 8.0
    )
    last = np.minimum(np.ceil(left), 7).astype(int)
    fails = left <= 7
    worth = 1.03 ** -np.arange(0, 8)
    served = np.cumsum(np.concatenate([[0], worth[1:]]))[last]
    run = np.array([0, *[310 * 1.01**y + 20 + 14.4 for y in range(1, 8)]])
    premium = 1_800 * 1.01 ** np.arange(0, 8) * 0.15 + 150
    paid = 280 + np.cumsum(run * worth)[last] + fails * (premium * worth)[last]
    ratio = paid.mean() / served.mean()
    error = np.std(paid - ratio * served) / served.mean() / len(left) ** 0.5
    assert cost_of_owning(OLD, 280.0, 8.0, 1_800.0, TERMS).annual[6] == pytest.approx(
        ratio, abs=4 * error
    )


def test_a_plan_cheaper_by_the_year_is_cheaper_in_all() -> None:
    """Keep n years, then 500 a year for ever, against 500 a year for ever from now."""
    found = cost_of_owning(OLD, 280.0, 8.0, 1_800.0, TERMS)
    for year in range(1, 13):
        alive = [float(conditional_survival(LIFE, 8.0, y)) for y in range(13)]
        worth = [1.03**-y for y in range(13)]
        cost = 280 + sum(alive[y - 1] * worth[y] * year_cost(y) for y in range(1, year + 1))
        later = (
            500
            / 0.03
            * (
                alive[year] * worth[year]
                + sum((alive[y - 1] - alive[y]) * worth[y] for y in range(1, year + 1))
            )
        )
        assert (cost + later < 500 / 0.03) == (found.annual[year - 1] < 500)


def test_a_heater_far_past_any_life_still_has_a_cost() -> None:
    found = cost_of_owning(OLD, 280.0, 150.0, 1_800.0, TERMS)
    assert all(np.isfinite(found.annual))
    assert found.marginal[0] > 280 + 310 + 0.9 * (270 + 150)


def test_economic_life_is_the_least_of_equals() -> None:
    assert keeping_cost(0, [100, 100, 100], 0.0).economic_life_years == 1
    assert keeping_cost(100, [10, 10, 500], 0.03).economic_life_years == 2


def test_rows_of_unequal_length_are_refused() -> None:
    with pytest.raises(InputTrouble) as refused:
        keeping_cost(100, [10, 10], 0.03, resale_price=[5])
    assert str(refused.value) == (
        "There are 2 yearly costs, 1 resale prices and 3 chances; the rows must be of one "
        "length, the chances one longer. Give one of each for every year."
    )
    with pytest.raises(InputTrouble, match="There are 0 yearly costs"):
        keeping_cost(100, [], 0.03)


def test_too_few_indices_are_refused() -> None:
    short = OLD.model_copy(update={"price_indices": INDICES[:5]})
    with pytest.raises(
        InputTrouble, match="old has 5 price indices for 12 years; it must have one for each year"
    ):
        cost_of_owning(short, 280.0, 8.0, 1_800.0, TERMS)


def test_a_new_heater_of_even_cost_is_best_run_until_it_fails() -> None:
    """With a memoryless life no further year is dearer than the one before."""
    even = OLD.model_copy(
        update={
            "life": LifeDistribution(shape=1.0, scale_years=12.0),
            "price_indices": (1.0,) * 40,
        }
    )
    terms = Terms(years=40, urgency_premium=0.15, failure_damage=150)
    found = cost_of_owning(even, 1_800.0, 0.0, 1_800.0, terms)
    assert found.economic_life_years == 40
    assert found.marginal[1:] == pytest.approx([found.marginal[1]] * 39, rel=1e-9)
