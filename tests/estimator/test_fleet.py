"""Many heaters at once against the engine that serves one."""

from __future__ import annotations

import tracemalloc
from typing import NamedTuple

import numpy as np
import pytest

from estimator.comparison import Challenger, Comparison, Defender, Terms
from estimator.errors import InputTrouble
from estimator.fleet import compare_fleet
from estimator.fleet_columns import (
    ChallengerColumns,
    DefenderColumns,
    FleetAnswer,
    FleetColumns,
    FleetGroup,
    UnitKind,
)
from estimator.life_cycle import compare
from estimator.price_outlook import flat_indices
from estimator.survival import LifeDistribution, conditional_survival, mean_life_left

WITHIN = 1e-9
CHALLENGERS = 3


class Fleet(NamedTuple):
    columns: FleetColumns
    groups: tuple[FleetGroup, ...]
    terms: Terms


def random_kind(rng: np.random.Generator, years: int) -> UnitKind:
    life = LifeDistribution(
        shape=float(rng.choice([0.8, 1.0, 2.0, rng.uniform(1, 6)])),
        scale_years=float(rng.uniform(3, 30)),
        delay_years=float(rng.choice([0.0, 1.0, rng.uniform(0, 8)])),
    )
    return UnitKind(life, flat_indices(float(rng.uniform(-0.03, 0.05)), years))


def random_fleet(seed: int, rows: int, *, groups: int = 2) -> Fleet:
    rng = np.random.default_rng(seed)
    years = int(rng.integers(1, 41))
    terms = Terms(
        years=years,
        real_discount_rate=float(rng.uniform(-0.01, 0.1)),
        install_price_escalation=float(rng.choice([0.0, rng.uniform(-0.02, 0.03)])),
        urgency_premium=float(rng.uniform(0, 0.5)),
        failure_damage=float(rng.uniform(0, 500)),
        aging=float(rng.choice([0.0, rng.uniform(0, 0.03)])),
    )
    ages = np.where(
        rng.random(rows) < 0.7,
        rng.integers(0, 60 * 365, rows) / 365.25,
        np.where(
            rng.random(rows) < 0.5, rng.integers(0, 500, rows) / 10, rng.uniform(0, 150, rows)
        ),
    )
    columns = FleetColumns(
        DefenderColumns(
            age_years=ages,
            energy_cost_per_year=rng.uniform(0, 900, rows),
            yearly_upkeep=float(rng.uniform(0, 90)) if seed % 2 else rng.uniform(0, 90, rows),
            installed_price=rng.uniform(500, 4000, rows),
            repair_price=rng.uniform(0, 1500, rows),
        ),
        tuple(
            ChallengerColumns(
                energy_cost_per_year=rng.uniform(0, 700, rows),
                yearly_upkeep=float(rng.uniform(0, 150)),
                installed_price=2000.0 if seed % 3 == 0 else rng.uniform(500, 6000, rows),
                incentives=rng.uniform(0, 500, rows),
                is_open=np.ones(rows, bool) if place == 0 else rng.random(rows) < 0.8,
            )
            for place in range(CHALLENGERS)
        ),
        group=rng.integers(0, groups, rows).astype(np.int8) if groups > 1 else 0,
    )
    kinds = tuple(
        FleetGroup(
            random_kind(rng, years), tuple(random_kind(rng, years) for _ in range(CHALLENGERS))
        )
        for _ in range(groups)
    )
    return Fleet(columns, kinds, terms)


def at(column: object, row: int) -> float:
    return (
        float(np.broadcast_to(np.asarray(column, dtype=float), (row + 1,))[row])
        if np.ndim(column) == 0
        else float(np.asarray(column)[row])
    )


def units(fleet: Fleet, row: int) -> tuple[Defender, list[Challenger]]:
    """Give the units of one row to the engine that serves one heater; closed ones left out."""
    columns = fleet.columns
    group = fleet.groups[int(at(columns.group, row))]
    given = columns.defender
    defender = Defender(
        name="in place",
        life=group.defender.life,
        price_indices=group.defender.price_indices,
        energy_cost_per_year=at(given.energy_cost_per_year, row),
        upkeep_per_year=at(given.yearly_upkeep, row),
        installed_price=at(given.installed_price, row),
        age_years=at(given.age_years, row),
        repair_price=at(given.repair_price, row),
    )
    challengers = [
        Challenger(
            name=str(place),
            life=kind.life,
            price_indices=kind.price_indices,
            energy_cost_per_year=at(each.energy_cost_per_year, row),
            upkeep_per_year=at(each.yearly_upkeep, row),
            installed_price=at(each.installed_price, row),
            incentives=at(each.incentives, row),
        )
        for place, (each, kind) in enumerate(
            zip(columns.challengers, group.challengers, strict=True)
        )
        if at(each.is_open, row)
    ]
    return defender, challengers


def assert_equal(answer: FleetAnswer, row: int, alone: Comparison) -> None:
    def close(amount: float) -> object:
        return pytest.approx(amount, abs=WITHIN, rel=0)

    assert answer.repair_lcc[row] == close(alone.repair.lcc)
    for path in alone.challengers:
        assert answer.challenger_lcc[int(path.name), row] == close(path.lcc)
    chosen = int(answer.cheapest[row])
    costs = {int(path.name): path.lcc for path in alone.challengers}
    assert costs[chosen] == close(min(costs.values()))
    assert answer.break_even_repair_price[row] == close(alone.break_even_repair_price)
    if alone.best_planned is None:
        assert answer.best_planned_year[row] == 0
        assert np.isnan(answer.best_planned_lcc[row])
    else:
        assert answer.best_planned_lcc[row] == close(alone.best_planned.lcc)
        # A heater that is sure to fail before costs the same whatever later year is planned.
        if abs(alone.best_planned.saves_against_running_to_failure) > WITHIN:
            assert answer.best_planned_year[row] == alone.best_planned.year


@pytest.mark.parametrize("seed", range(40))
def test_every_row_against_the_single_heater_engine(seed: int) -> None:
    """10,000 heaters in all, over 40 sets of terms, lives and prices."""
    fleet = random_fleet(seed, 250)
    answer = compare_fleet(*fleet)
    for row in range(250):
        alone = compare(*units(fleet, row), fleet.terms, with_break_even_age=False)
        assert_equal(answer, row, alone)


@pytest.mark.filterwarnings("error")
@pytest.mark.parametrize("shape", [0.25, 0.7, 3.0, 15.0, 20.0])
@pytest.mark.parametrize("scale_years", [1e-30, 1e-3, 0.4, 60.0, 160.0])
def test_lives_beyond_any_heater_against_the_single_heater_engine(
    shape: float, scale_years: float
) -> None:
    """Exponents that overflow, survivals below the smallest float, ages up to 150."""
    fleet = random_fleet(int(10 * shape), 20, groups=1)
    group = fleet.groups[0]
    life = LifeDistribution(shape=shape, scale_years=scale_years, delay_years=0.5)
    group = FleetGroup(UnitKind(life, group.defender.price_indices), group.challengers)
    fleet = fleet._replace(groups=(group,))
    answer = compare_fleet(*fleet)
    for row in range(20):
        alone = compare(*units(fleet, row), fleet.terms, with_break_even_age=False)
        assert_equal(answer, row, alone)


def test_worked_case_against_an_independent_loop() -> None:
    """Repair 4,878.35, replace 5,178.39, break-even 580.04: an independent plain loop."""
    kind = UnitKind(
        LifeDistribution(shape=2, scale_years=12, delay_years=1), flat_indices(0.01, 12)
    )
    columns = FleetColumns(
        DefenderColumns(np.array([8.0]), 310.0, 20 + 0.06 * 240, 1800.0, 280.0),
        (ChallengerColumns(265.0, 20 + 0.03 * 240, 1800.0),),
    )
    terms = Terms(years=12, urgency_premium=0.15, failure_damage=150)
    answer = compare_fleet(columns, [FleetGroup(kind, (kind,))], terms)
    assert answer.repair_lcc[0] == pytest.approx(4878.35, abs=0.005)
    assert answer.challenger_lcc[0, 0] == pytest.approx(5178.39, abs=0.005)
    assert answer.break_even_repair_price[0] == pytest.approx(580.04, abs=0.005)


def futures(fleet: Fleet, row: int) -> tuple[list[float], list[float], float]:
    """Cost and chance of each future of the heater in place, by a plain loop."""
    defender, challengers = units(fleet, row)
    terms, n = fleet.terms, fleet.terms.years
    best = min(
        compare(defender, challengers, terms, with_break_even_age=False).challengers,
        key=lambda path: path.lcc,
    )
    new = next(each for each in challengers if each.name == best.name)

    def spv(j: int) -> float:
        return float((1 + terms.real_discount_rate) ** -j)

    def anew(start: int) -> float:
        """Cost of starting anew at the end of a year: a shorter study, brought to today."""
        price = new.installed_price * (1 + terms.install_price_escalation) ** start
        if start == n:
            return -price * spv(n)
        shorter = terms.model_copy(update={"years": n - start})
        later = new.model_copy(
            update={
                "price_indices": new.price_indices[start:],
                "installed_price": price,
                "incentives": 0.0,
            }
        )
        path = compare(defender, [later], shorter, with_break_even_age=False).challengers[0]
        return (path.lcc - price) * spv(start)

    alive = conditional_survival(defender.life, defender.age_years, np.arange(n + 1.0))
    cost, chance, paid = [], [], defender.repair_price
    for j in range(1, n + 1):
        grown = (1 + terms.aging) ** (defender.age_years + j - 1)
        run = defender.energy_cost_per_year * grown * defender.price_indices[j - 1]
        paid += (run + defender.upkeep_per_year) * spv(j)
        price = new.installed_price * (1 + terms.install_price_escalation) ** j
        urgent = price * (1 + terms.urgency_premium) + terms.failure_damage
        cost.append(paid + urgent * spv(j) + anew(j))
        chance.append(float(alive[j - 1] - alive[j]))

    left = float(mean_life_left(defender.life, defender.age_years + n))
    left *= defender.installed_price * (1 + terms.install_price_escalation) ** n * spv(n)
    cost.append(paid - left / float(mean_life_left(defender.life, 0.0)))
    chance.append(float(alive[n]))
    return cost, chance, best.lcc


@pytest.mark.parametrize("seed", [2, 5, 11, 17])
def test_chance_against_a_plain_loop_over_futures(seed: int) -> None:
    fleet = random_fleet(seed, 30)
    answer = compare_fleet(*fleet)
    for row in range(30):
        cost, chance, replace = futures(fleet, row)
        mean = sum(c * p for c, p in zip(cost, chance, strict=True))
        assert mean == pytest.approx(answer.repair_lcc[row], abs=1e-6)
        below = sum(p for c, p in zip(cost, chance, strict=True) if c < replace)
        assert answer.chance_repair_cheaper[row] == pytest.approx(below, abs=1e-9)
        assert answer.chance_fails_first_year[row] == pytest.approx(chance[0], abs=1e-12)


def test_threads_and_chunks_change_nothing() -> None:
    fleet = random_fleet(3, 40_000)
    one, two = compare_fleet(*fleet, threads=1), compare_fleet(*fleet, threads=2)
    for name in vars(one):
        np.testing.assert_array_equal(getattr(one, name), getattr(two, name), err_msg=name)
    few = 33
    part = FleetColumns(
        DefenderColumns(
            *(
                value[-few:] if np.ndim(value) else value
                for value in vars(fleet.columns.defender).values()
            )
        ),
        tuple(
            ChallengerColumns(
                *(value[-few:] if np.ndim(value) else value for value in vars(each).values())
            )
            for each in fleet.columns.challengers
        ),
        group=fleet.columns.group[-few:],  # type: ignore[index]
    )
    alone = compare_fleet(part, fleet.groups, fleet.terms)
    np.testing.assert_allclose(alone.repair_lcc, one.repair_lcc[-few:], rtol=1e-13)


def test_memory_above_the_input_at_most_100_bytes_a_heater() -> None:
    fleet = random_fleet(4, 300_000, groups=1)
    compare_fleet(*random_fleet(4, 1000, groups=1))
    tracemalloc.start()
    try:
        answer = compare_fleet(*fleet)
        _, peak = tracemalloc.get_traced_memory()
    finally:
        tracemalloc.stop()
    # A million heaters may take 100 MB; a third of them a third, and chunks under way.
    assert peak < 100 * 300_000 + 2 * 40 * 16_384 * 8
    assert len(answer.repair_lcc) == 300_000


def test_no_rows_give_no_rows() -> None:
    fleet = random_fleet(1, 0)
    answer = compare_fleet(*fleet)
    assert answer.repair_lcc.shape == (0,)
    assert answer.challenger_lcc.shape == (CHALLENGERS, 0)


def one_row(**changed: object) -> FleetColumns:
    given: dict[str, object] = {
        "age_years": np.array([8.0, 9.0]),
        "energy_cost_per_year": 300.0,
        "yearly_upkeep": 20.0,
        "installed_price": 1800.0,
        "repair_price": 300.0,
    }
    return FleetColumns(
        DefenderColumns(**(given | changed)),  # type: ignore[arg-type]
        (ChallengerColumns(250.0, 20.0, 1900.0),),
    )


KIND = UnitKind(LifeDistribution(shape=2, scale_years=12), flat_indices(0.0, 10))
GROUP = FleetGroup(KIND, (KIND,))


@pytest.mark.parametrize(
    ("columns", "groups", "message"),
    [
        (
            one_row(age_years=np.array([8.0, -1.0])),
            [GROUP],
            "Column age_years holds -1 in row 2; it must be from 0 to 150. "
            "Correct the row or leave it out.",
        ),
        (
            one_row(repair_price=np.array([np.nan, 1.0])),
            [GROUP],
            "Column repair_price holds nan in row 1; it must be from 0 to 1e+09. "
            "Correct the row or leave it out.",
        ),
        (
            one_row(repair_price=np.array([1.0, 2.0, 3.0])),
            [GROUP],
            "Column repair_price has shape (3,); it must have 2 rows or be one number. "
            "Give all columns the same length.",
        ),
        (
            FleetColumns(one_row().defender, ()),
            [GROUP],
            "There is no challenger to compare with. "
            "Give at least one heater that could replace those in place.",
        ),
        (
            one_row(),
            [FleetGroup(UnitKind(KIND.life, (1.0,)), (KIND,))],
            "Group 0 has 1 price indices for a study of 10 years; it must have one for each "
            "year. Give more indices or a shorter study period.",
        ),
        (
            FleetColumns(one_row().defender, (ChallengerColumns(1.0, 1.0, 1.0, is_open=False),)),
            [GROUP],
            "No challenger is open in row 1. Leave that heater out, or open one.",
        ),
        (
            FleetColumns(one_row().defender, one_row().challengers, np.array([0, 1], np.int8)),
            [GROUP],
            "Column group holds 1 in row 2; it must be from 0 to 0. "
            "Correct the row or leave it out.",
        ),
        (
            one_row(),
            [FleetGroup(KIND, ())],
            "Group 0 has 0 challengers; there are 1 columns of them. Give a kind for each.",
        ),
    ],
)
def test_refusals_as_text(columns: FleetColumns, groups: list[FleetGroup], message: str) -> None:
    with pytest.raises(InputTrouble) as refused:
        compare_fleet(columns, groups, Terms(years=10))
    assert str(refused.value) == message
