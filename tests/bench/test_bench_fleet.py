"""Speed and memory of many heaters at once, as ratios within one run."""

from __future__ import annotations

import time
import tracemalloc
from typing import TYPE_CHECKING, Any

import numpy as np
import pandas as pd
import pytest

from estimator.comparison import Challenger, Defender, Terms
from estimator.fleet import compare_fleet
from estimator.fleet_columns import (
    ChallengerColumns,
    DefenderColumns,
    FleetColumns,
    FleetGroup,
    UnitKind,
)
from estimator.heater import Fuel, HeaterClass
from estimator.life_cycle import compare
from estimator.price_outlook import price_indices
from estimator.renewal import Horizon, NewUnit, keeping, renewing
from estimator.survival import DEFAULT_LIVES, LifeDistribution

if TYPE_CHECKING:
    from collections.abc import Callable

pytestmark = pytest.mark.bench

YEARS = 13
TERMS = Terms(years=YEARS, real_discount_rate=0.03, urgency_premium=0.15, failure_damage=150.0)
GAS, ELECTRIC = (price_indices(fuel, YEARS, 2026) for fuel in (Fuel.NATURAL_GAS, Fuel.ELECTRICITY))
KINDS = (
    UnitKind(DEFAULT_LIVES[HeaterClass.GAS_STORAGE], GAS),
    UnitKind(DEFAULT_LIVES[HeaterClass.GAS_INSTANTANEOUS], GAS),
    UnitKind(DEFAULT_LIVES[HeaterClass.HEAT_PUMP], ELECTRIC),
)
GROUPS = (FleetGroup(KINDS[0], KINDS),)
FITTED = UnitKind(LifeDistribution(shape=2.37, scale_years=14.2, delay_years=0.4), GAS)
"""A life as a shop's own records may give it: its shape is no whole number."""
UPKEEP = (28.7, 66.0, 54.0)
MILLION = 1_000_000


def fleet(rows: int, ages: str = "days") -> FleetColumns:
    rng = np.random.default_rng(rows)
    age = {
        "days": lambda: rng.integers(0, 25 * 365, rows) / 365.25,
        "months": lambda: rng.integers(0, 300, rows) / 12,
        "any": lambda: rng.uniform(0, 25, rows),
    }[ages]()
    return FleetColumns(
        DefenderColumns(
            age_years=age,
            energy_cost_per_year=rng.uniform(200, 500, rows),
            yearly_upkeep=37.4,
            installed_price=rng.uniform(1200, 2500, rows),
            repair_price=rng.uniform(100, 900, rows),
        ),
        tuple(
            ChallengerColumns(rng.uniform(150, 400, rows), upkeep, rng.uniform(1200, 4000, rows))
            for upkeep in UPKEEP
        ),
    )


def best(what: Callable[[], object], times: int = 5) -> float:
    """Least processor time of several runs, of all threads together [s].

    Another program on the machine must not bend the ratios; on idle cores two threads
    take less wall time than this.
    """
    taken = []
    for _ in range(times):
        start = time.process_time()
        what()
        taken.append(time.process_time() - start)
    return min(taken)


def engine_alone(row: Any) -> float:
    """One heater by the engine that serves one; `row` gives its numbers by name."""
    defender = Defender(
        name="in place",
        life=KINDS[0].life,
        price_indices=GAS,
        energy_cost_per_year=row["energy"],
        upkeep_per_year=37.4,
        installed_price=row["price"],
        age_years=row["age"],
        repair_price=row["repair"],
    )
    challengers = [
        Challenger(
            name=str(place),
            life=kind.life,
            price_indices=kind.price_indices,
            energy_cost_per_year=row[f"energy_{place}"],
            upkeep_per_year=UPKEEP[place],
            installed_price=row[f"price_{place}"],
        )
        for place, kind in enumerate(KINDS)
    ]
    return compare(defender, challengers, TERMS, with_break_even_age=False).repair.lcc


def frame(columns: FleetColumns) -> pd.DataFrame:
    given = columns.defender
    named = {
        "age": given.age_years,
        "energy": given.energy_cost_per_year,
        "price": given.installed_price,
        "repair": given.repair_price,
    }
    for place, each in enumerate(columns.challengers):
        named[f"energy_{place}"] = each.energy_cost_per_year
        named[f"price_{place}"] = each.installed_price
    return pd.DataFrame(named)


HORIZON = Horizon.of(YEARS, 0.03, 0.0, 0.15, 150.0, 0.0)
RENEWALS = [renewing(NewUnit.of(kind.life, HORIZON), kind.price_indices, HORIZON) for kind in KINDS]


def plain_kernel(table: dict[str, np.ndarray]) -> np.ndarray:
    """Both paths by whole columns at once: every age by itself, years beside rows."""
    energies = [table[f"energy_{place}"] for place in range(3)]
    prices = [table[f"price_{place}"] for place in range(3)]
    costs = np.stack(
        [
            prices[place]
            + of.energy[0] * energies[place]
            + of.upkeep[0] * UPKEEP[place]
            + of.price[0] * prices[place]
            + of.constant[0]
            for place, of in enumerate(RENEWALS)
        ]
    )
    cheapest = costs.argmin(axis=0)
    after = np.choose(
        cheapest,
        [
            np.outer(of.energy, energies[place])
            + of.upkeep[:, None] * UPKEEP[place]
            + np.outer(of.price + HORIZON.unplanned, prices[place])
            + (of.constant + HORIZON.damage)[:, None]
            for place, of in enumerate(RENEWALS)
        ],
    )[1:]
    kept = keeping(KINDS[0].life, table["age"], GAS, HORIZON)
    run = kept.energy.T * table["energy"] + kept.upkeep.T * 37.4
    by_year = np.cumsum(run + kept.failing.T * after, axis=0)
    planned = np.choose(cheapest, prices) * (HORIZON.planned - HORIZON.unplanned)[1:, None]
    planned = by_year + kept.alive.T[1:] * (after + planned - HORIZON.damage[1:, None])
    planned[:-1].argmin(axis=0)
    return np.asarray(table["repair"] + by_year[-1] - kept.residual * table["price"])


def test_ratios_to_other_ways() -> None:
    columns = fleet(MILLION)
    whole = frame(columns)
    few, many = whole.head(300), whole.head(200_000)
    table = {name: many[name].to_numpy() for name in many}
    answer = compare_fleet(columns, GROUPS, TERMS)
    alone = [engine_alone(row) for row in few.to_dict("records")]
    np.testing.assert_allclose(answer.repair_lcc[:300], alone, rtol=0, atol=1e-9)
    np.testing.assert_allclose(answer.repair_lcc[:200_000], plain_kernel(table), atol=1e-9)
    per_heater = {
        "many at once": best(lambda: compare_fleet(columns, GROUPS, TERMS)) / MILLION,
        "loop over compare()": best(
            lambda: [engine_alone(row) for row in few.to_dict("records")], 1
        )
        / len(few),
        "pandas apply, row by row": best(lambda: few.apply(engine_alone, axis=1), 1) / len(few),
        "plain vectorised kernel": best(lambda: plain_kernel(table), 3) / len(many),
        "copying the columns": best(whole.copy) / MILLION,
    }
    ours = per_heater["many at once"]
    print()
    for name, seconds in per_heater.items():
        print(f"{name:<28}{seconds * 1e6:>12.4f} us a heater{seconds / ours:>12.2f} x")
    # Two cores have half a second of processor time in a quarter of a second.
    assert ours * MILLION <= 2 * 0.25
    assert per_heater["loop over compare()"] > 500 * ours
    assert per_heater["pandas apply, row by row"] > 500 * ours
    assert per_heater["plain vectorised kernel"] > 2 * ours


SIZES = {10_000: 50, 100_000: 15, MILLION: 7, 10 * MILLION: 3}
"""Heaters, and how often they are costed: the least time counts."""


@pytest.mark.parametrize(
    ("ages", "kind"),
    [("months", KINDS[0]), ("days", KINDS[0]), ("any", KINDS[0]), ("any", FITTED)],
    ids=["months", "days", "any", "any-fitted-life"],
)
def test_cost_of_a_heater_does_not_hang_on_their_number(ages: str, kind: UnitKind) -> None:
    groups = (FleetGroup(kind, KINDS),)
    print()
    cost = {}
    for rows, times in SIZES.items():
        columns = fleet(rows, ages)
        walls, processors = [], []
        for _ in range(times):
            start, processor = time.perf_counter(), time.process_time()
            compare_fleet(columns, groups, TERMS)
            processors.append(time.process_time() - processor)
            walls.append(time.perf_counter() - start)
        # By processor time: another program on the machine must not bend the line.
        cost[rows] = min(processors) / rows
        print(
            f"ages: {ages:<7} shape {kind.life.shape:<5}{rows:>11,} heaters {min(walls):>8.4f} s, "
            f"of both cores {min(processors):>8.4f} s, {cost[rows] * 1e6:>6.3f} us a heater"
        )
    flatness = max(cost.values()) / min(cost.values())
    print(f"ages: {ages:<7} the dearest size costs {flatness:.2f} times the cheapest, by heater")
    assert flatness < 1.6
    assert cost[MILLION] * MILLION <= 2 * 0.25


@pytest.mark.parametrize("ages", ["months", "days", "any"])
def test_memory_above_the_input(ages: str) -> None:
    columns = fleet(MILLION, ages)
    tracemalloc.start()
    try:
        compare_fleet(columns, GROUPS, TERMS)
        _, peak = tracemalloc.get_traced_memory()
    finally:
        tracemalloc.stop()
    print(f"\n{peak / 1e6:.1f} MB above the input for a million heaters, the answers in it")
    assert peak <= 100e6
