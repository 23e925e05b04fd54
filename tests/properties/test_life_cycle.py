"""Properties of the comparison over random cases, with a plain-loop engine beside it."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from estimator.comparison import Challenger, Comparison, Defender, Terms, Unit
from estimator.discounting import nominal_rate
from estimator.life_cycle import cheapest_to_own, compare, saved_by_repairing
from estimator.survival import LifeDistribution
from tests.properties import plain_engine as plain

LEAST_DIFFERENCE = 1e-9


def between(low: float, high: float) -> st.SearchStrategy[float]:
    return st.floats(low, high, allow_nan=False).map(lambda x: round(x, 4))


@st.composite
def lives(draw: st.DrawFn) -> LifeDistribution:
    return LifeDistribution(
        shape=draw(between(0.6, 6.0)),
        scale_years=draw(between(3.0, 30.0)),
        delay_years=draw(between(0.0, 6.0)),
    )


@st.composite
def cases(draw: st.DrawFn) -> tuple[Defender, list[Challenger], Terms]:
    years = draw(st.integers(1, 25))

    def common() -> dict[str, Any]:
        step = draw(between(-0.04, 0.06))
        return {
            "life": draw(lives()),
            "energy_cost_per_year": draw(between(0.0, 900.0)),
            "price_indices": tuple((1 + step) ** year for year in range(1, years + 1)),
            "upkeep_per_year": draw(between(0.0, 90.0)),
            "later_repairs_per_year": draw(between(0.0, 0.5)),
            "later_repair_price": draw(between(0.0, 500.0)),
            "installed_price": draw(between(500.0, 6_000.0)),
        }

    defender = Defender(
        name="in place",
        age_years=draw(between(0.0, 60.0)),
        repair_price=draw(between(0.0, 1_500.0)),
        **common(),
    )
    challengers = [
        Challenger(name=f"new {n}", incentives=draw(between(0.0, 400.0)), **common())
        for n in range(draw(st.integers(1, 3)))
    ]
    terms = Terms(
        years=years,
        real_discount_rate=draw(between(-0.02, 0.12)),
        install_price_escalation=draw(between(-0.02, 0.04)),
        urgency_premium=draw(between(0.0, 0.5)),
        failure_damage=draw(between(0.0, 500.0)),
        aging=draw(between(0.0, 0.02)),
    )
    return defender, challengers, terms


Case = tuple[Defender, list[Challenger], Terms]


def plain_unit(unit: Unit) -> plain.PlainUnit:
    life = plain.PlainLife(unit.life.shape, unit.life.scale_years, unit.life.delay_years)
    upkeep = unit.upkeep_per_year + unit.later_repairs_per_year * unit.later_repair_price
    indices = unit.price_indices
    return plain.PlainUnit(life, unit.energy_cost_per_year, indices, upkeep, unit.installed_price)


def plain_terms(terms: Terms) -> plain.PlainTerms:
    return plain.PlainTerms(
        terms.years,
        terms.real_discount_rate,
        terms.install_price_escalation,
        terms.urgency_premium,
        terms.failure_damage,
        terms.aging,
    )


def cheapest_of(case: Case, found: Comparison) -> Challenger:
    return next(unit for unit in case[1] if unit.name == found.cheapest)


def close(value: float, scale: float = 1.0) -> Any:
    return pytest.approx(value, rel=1e-7, abs=1e-6 * max(1.0, scale))


@settings(max_examples=60, deadline=None)
@given(cases())
def test_every_cost_agrees_with_the_plain_loops(case: Case) -> None:
    defender, challengers, terms = case
    found = compare(defender, challengers, terms)
    by_hand = plain_terms(terms)
    costs = []
    for unit, path in zip(challengers, found.challengers, strict=True):
        starts = plain.from_new(plain_unit(unit), by_hand)
        costs.append(unit.installed_price - unit.incentives + starts[0])
        assert path.lcc == close(costs[-1])
    best = challengers[int(np.argmin([path.lcc for path in found.challengers]))]
    assert found.cheapest == best.name
    new = plain_unit(best)
    starts = plain.from_new(new, by_hand)
    run = plain.expected(plain_unit(defender), defender.age_years, 0, new, starts, by_hand)
    repair = defender.repair_price + run
    assert found.repair.lcc == close(repair)
    assert found.break_even_repair_price == close(defender.repair_price + min(costs) - repair)


@settings(max_examples=25, deadline=None)
@given(cases())
def test_best_planned_year_agrees_with_trying_each(case: Case) -> None:
    defender, challengers, terms = case
    found = compare(defender, challengers, terms)
    if terms.years == 1:
        assert found.best_planned is None
        return
    assert found.best_planned is not None
    new = plain_unit(cheapest_of(case, found))
    tried = {
        at: plain.replace_on_plan(
            plain_unit(defender), defender.age_years, defender.repair_price, at, new,
            plain_terms(terms),
        )
        for at in range(1, terms.years)
    }  # fmt: skip
    assert found.best_planned.lcc == close(min(tried.values()))
    assert tried[found.best_planned.year] == close(min(tried.values()))
    saves = found.best_planned.saves_against_running_to_failure
    assert saves == close(found.repair.lcc - found.best_planned.lcc)


@settings(max_examples=40, deadline=None)
@given(cases())
def test_cumulative_cost_ends_in_the_life_cycle_cost(case: Case) -> None:
    found = compare(*case)
    for path in (found.repair, *found.challengers):
        assert len(path.cumulative) == len(path.running) == case[2].years + 1
        assert path.cumulative[0] == path.first_cost
        assert path.running[0] == 0.0
        assert abs(path.cumulative[-1] - path.residual - path.lcc) <= 1e-9 * max(1.0, abs(path.lcc))
        assert np.all(np.diff(path.cumulative) >= -LEAST_DIFFERENCE)
        assert np.all(np.diff(path.running) >= -LEAST_DIFFERENCE)


@settings(max_examples=30, deadline=None)
@given(cases())
def test_the_short_ways_agree_with_the_whole_comparison(case: Case) -> None:
    defender, challengers, terms = case
    found = compare(*case)
    least = min(path.lcc for path in found.challengers)
    assert saved_by_repairing(defender, challengers, terms) == close(least - found.repair.lcc)
    assert cheapest_to_own(challengers, terms).name == found.cheapest


@settings(max_examples=30, deadline=None)
@given(cases(), between(0.0, 800.0))
def test_a_dearer_repair_costs_its_own_price_and_no_less(case: Case, more: float) -> None:
    defender, challengers, terms = case
    dearer = defender.model_copy(update={"repair_price": defender.repair_price + more})
    before, after = compare(*case), compare(dearer, challengers, terms)
    assert after.repair.lcc - before.repair.lcc == close(more)
    assert after.break_even_repair_price == close(before.break_even_repair_price)
    assert after.challengers == before.challengers


@settings(max_examples=30, deadline=None)
@given(cases())
def test_at_the_break_even_repair_price_both_paths_cost_the_same(case: Case) -> None:
    defender, challengers, terms = case
    price = compare(*case).break_even_repair_price
    assume(price >= 0)
    even = compare(defender.model_copy(update={"repair_price": price}), challengers, terms)
    assert even.repair.lcc == close(min(path.lcc for path in even.challengers))


def test_paths_that_meet_at_the_heater_s_own_age_break_even_there() -> None:
    """Where they meet to the last bit, that bit hangs on how many ages are worked at once."""
    flat = (1.0,) * 22
    defender = Defender(
        name="in place", age_years=25.5859, energy_cost_per_year=0.0, price_indices=flat,
        upkeep_per_year=0.0, later_repairs_per_year=0.0, later_repair_price=0.0,
        installed_price=658.0, repair_price=0.0,
        life=LifeDistribution(shape=1.4531, scale_years=10.0312, delay_years=1.375),
    )  # fmt: skip
    new = Challenger(
        name="new", energy_cost_per_year=0.0, price_indices=flat, upkeep_per_year=86.5,
        later_repairs_per_year=0.4297, later_repair_price=277.0, installed_price=2819.254,
        life=LifeDistribution(shape=2.4763, scale_years=12.0, delay_years=4.25),
    )  # fmt: skip
    terms = Terms(
        years=22, real_discount_rate=0.1, install_price_escalation=0.0, urgency_premium=0.0044,
        failure_damage=48.9375, aging=0.0,
    )  # fmt: skip
    price = compare(defender, [new], terms).break_even_repair_price
    even = compare(defender.model_copy(update={"repair_price": price}), [new], terms)
    assert even.break_even_age_years == pytest.approx(defender.age_years, abs=0.01)


@settings(max_examples=40, deadline=None)
@given(cases())
def test_at_the_break_even_age_both_paths_cost_the_same(case: Case) -> None:
    defender, challengers, terms = case
    found = compare(*case)

    def excess(age: float) -> float:
        tried = compare(defender.model_copy(update={"age_years": age}), challengers, terms)
        return tried.repair.lcc - min(path.lcc for path in tried.challengers)

    age = found.break_even_age_years
    if age is None:
        signs = {np.sign(excess(age)) for age in (0.0, 5.0, 15.0, 40.0, 150.0)}
        assert len(signs) == 1
        return
    assert 0 <= age <= 150
    # A root: the excess changes sign across it, or is nothing there.
    below, above = excess(max(age - 1e-6, 0.0)), excess(min(age + 1e-6, 150.0))
    assert below * above <= 0 or abs(excess(age)) < 1e-5


@settings(max_examples=30, deadline=None)
@given(cases(), between(0.2, 3.0))
def test_costs_are_linear_in_all_prices(case: Case, factor: float) -> None:
    defender, challengers, terms = case

    def scaled(unit: Any) -> Any:
        money = {
            "energy_cost_per_year", "upkeep_per_year", "later_repair_price", "installed_price",
            "repair_price", "incentives",
        }  # fmt: skip
        changes = {key: getattr(unit, key) * factor for key in money if hasattr(unit, key)}
        return unit.model_copy(update=changes)

    more = terms.model_copy(update={"failure_damage": terms.failure_damage * factor})
    before = compare(*case)
    after = compare(scaled(defender), [scaled(unit) for unit in challengers], more)
    assert after.repair.lcc == close(before.repair.lcc * factor)
    assert after.break_even_repair_price == close(before.break_even_repair_price * factor)


@settings(max_examples=30, deadline=None)
@given(cases(), between(0.0, 0.1))
def test_a_nominal_analysis_agrees_with_the_real_one(case: Case, inflation: float) -> None:
    """Every yearly amount grown by inflation, discounted at the nominal rate.

    The damage of a failure and the upkeep grow by way of the same factor, so they are put
    where a factor can reach them: into energy cost and installed price.
    """
    defender, challengers, terms = case
    up = [(1 + inflation) ** year for year in range(1, terms.years + 1)]

    def bare(unit: Any, *, nominal: bool) -> Any:
        grown = tuple(i * u for i, u in zip(unit.price_indices, up, strict=True))
        return unit.model_copy(
            update={
                "upkeep_per_year": 0.0,
                "later_repairs_per_year": 0.0,
                "price_indices": grown if nominal else unit.price_indices,
            }
        )

    real_terms = terms.model_copy(update={"failure_damage": 0.0})
    nominal_terms = real_terms.model_copy(
        update={
            "real_discount_rate": nominal_rate(terms.real_discount_rate, inflation),
            "install_price_escalation": nominal_rate(terms.install_price_escalation, inflation),
        }
    )
    real = compare(
        bare(defender, nominal=False), [bare(u, nominal=False) for u in challengers], real_terms
    )
    nominal = compare(
        bare(defender, nominal=True), [bare(u, nominal=True) for u in challengers], nominal_terms
    )
    assert nominal.repair.lcc == close(real.repair.lcc)
    for one, other in zip(nominal.challengers, real.challengers, strict=True):
        assert one.lcc == close(other.lcc)


def test_sampled_lives_meet_the_expectation() -> None:
    """The worked case by chance: draw lives, follow each path, average."""
    rng = np.random.default_rng(20_240_501)
    life = LifeDistribution(shape=2.0, scale_years=12.0, delay_years=1.0)
    terms = Terms(years=12, urgency_premium=0.15, failure_damage=150.0)
    indices = tuple(1.01**year for year in range(1, 13))
    old = Defender(
        name="in place", life=life, energy_cost_per_year=310, price_indices=indices,
        upkeep_per_year=20, later_repairs_per_year=0.06, later_repair_price=240,
        installed_price=1_800, age_years=8, repair_price=280,
    )  # fmt: skip
    new = Challenger(
        name="new", life=life, energy_cost_per_year=265, price_indices=indices,
        upkeep_per_year=20, later_repairs_per_year=0.03, later_repair_price=240,
        installed_price=1_800,
    )  # fmt: skip
    worked = plain_unit(new).life

    def life_left(age: float) -> float:
        """Inverse of the conditional survival."""
        spent = worked.hazard(age) - np.log(rng.random())
        return float(worked.delay + worked.scale * spent ** (1 / worked.shape) - age)

    def one_path(*, repair: bool) -> float:
        unit, age, dies = (old, 8.0, life_left(8.0)) if repair else (new, 0.0, life_left(0.0))
        total = 280.0 if repair else 1_800.0
        for year in range(1, 13):
            rate = 0.06 if unit is old else 0.03
            run = unit.energy_cost_per_year * indices[year - 1] + 20 + rate * 240
            total += run * 1.03**-year
            age, dies = age + 1, dies - 1
            if dies < 0:
                total += (1_800 * 1.15 + 150) * 1.03**-year
                unit, age, dies = new, 0.0, life_left(0.0)
        left = worked.mean_left(age) / worked.mean_left(0.0)
        return float(total - 1_800 * left * 1.03**-12)

    found = compare(old, [new], terms)
    for lcc, repair in ((found.repair.lcc, True), (found.challengers[0].lcc, False)):
        drawn = np.array([one_path(repair=repair) for _ in range(4_000)])
        error = drawn.std(ddof=1) / len(drawn) ** 0.5
        assert abs(drawn.mean() - lcc) < 3 * error
