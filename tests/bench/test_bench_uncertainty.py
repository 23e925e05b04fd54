"""Speed of the random futures, as ratios to named alternatives in the same run."""

import time

import numpy as np
import pytest

from estimator.comparison import Challenger, Defender, Terms
from estimator.draws import LIVES_ALONE, Spread
from estimator.life_cycle import cheapest_to_own, compare
from estimator.sensitivity import swings, turning_points
from estimator.survival import LifeDistribution, conditional_survival, mean_life_left
from estimator.uncertainty import BAND, DRAWS, draw_futures

YEARS = 13
TANK = LifeDistribution(shape=2.0, scale_years=13.54, delay_years=1.0)
LONG = LifeDistribution(shape=2.0, scale_years=21.44, delay_years=1.0)
COMMON = {
    "price_indices": tuple(1.01**j for j in range(1, YEARS + 1)),
    "upkeep_per_year": 20.0,
    "later_repair_price": 240.0,
}
KEPT = Defender(
    name="in place",
    life=TANK,
    energy_cost_per_year=310.0,
    later_repairs_per_year=0.06,
    installed_price=1800.0,
    age_years=8.0,
    repair_price=280.0,
    **COMMON,
)
NEW = [
    Challenger(
        name=f"new {at}",
        life=LONG if at == 3 else TANK,
        energy_cost_per_year=265.0 - 20 * at,
        later_repairs_per_year=0.03,
        installed_price=1800.0 + 300 * at,
        **COMMON,
    )
    for at in range(4)
]
TERMS = Terms(years=YEARS, urgency_premium=0.15, failure_damage=150.0)

pytestmark = pytest.mark.bench


def by_age(life, age):
    """Chance to live one more year, and life left over that when new, 0..N years from `age`."""
    ages = age + np.arange(YEARS + 1.0)
    return conditional_survival(life, ages, 1.0), mean_life_left(life, ages) / mean_life_left(
        life, 0.0
    )


def year_by_year(spread, draws, seed):
    """Simulate in plain numpy: every year of every path, hazards by age from a table.

    Returns mean and standard error of each path, repair first; works out the same bands.
    """
    random = np.random.default_rng(seed)
    variance = np.log1p(spread.fuel_price_deviation**2)
    steps = random.normal(-variance / 2, np.sqrt(variance), (draws, YEARS))
    fuel = np.exp(np.cumsum(steps, axis=1))
    wet = np.log1p(spread.hot_water_draw_deviation**2)
    energy_factor = 1 + spread.energy_with_draw * (
        random.lognormal(-wet / 2, np.sqrt(wet), draws) - 1
    )
    dear = np.log1p(spread.installed_price_deviation**2)
    price = random.lognormal(-dear / 2, np.sqrt(dear), draws)
    luck = random.random((draws, YEARS))
    found = []
    cheapest = cheapest_to_own(NEW, TERMS)
    for first, later, age in [(KEPT, cheapest, KEPT.age_years)] + [
        (each, each, 0.0) for each in NEW
    ]:
        start = KEPT.repair_price if first is KEPT else first.installed_price - first.incentives
        alive_own, left_own = by_age(first.life, age)
        alive_new, left_new = by_age(later.life, 0.0)
        total, own, ages = np.full(draws, start), np.full(draws, True), np.zeros(draws, int)
        by_year = [total.copy()]
        for year in range(1, YEARS + 1):
            energy = np.where(own, first.energy_cost_per_year, later.energy_cost_per_year)
            energy = energy * first.price_indices[year - 1] * fuel[:, year - 1] * energy_factor
            rate = np.where(own, first.later_repairs_per_year, later.later_repairs_per_year)
            mended = random.poisson(rate) if spread.later_repairs else rate
            alive = np.where(own, alive_own[ages], alive_new[ages])
            fails = luck[:, year - 1] >= alive
            new = later.installed_price * price * (1 + TERMS.urgency_premium) + TERMS.failure_damage
            spent = energy + 20.0 + mended * 240.0 + np.where(fails, new, 0.0)
            total = total + spent * (1 + TERMS.real_discount_rate) ** -year
            by_year.append(total.copy())
            ages, own = np.where(fails, 0, ages + 1), own & ~fails
        left = np.where(own, left_own[ages], left_new[ages])
        worth = np.where(own, first.installed_price, later.installed_price) * price * left
        lcc = total - worth * (1 + TERMS.real_discount_rate) ** -YEARS
        np.percentile(np.array(by_year), [100 * share for share in BAND], axis=1)
        np.percentile(lcc, [100 * share for share in BAND])
        found.append((lcc.mean(), lcc.std() / np.sqrt(draws)))
    return found


def best_ms(work, times=40):
    """Least processor time of several runs [ms]: another program must not bend the ratios."""
    work()
    taken = []
    for _ in range(times):
        start = time.process_time()
        work()
        taken.append(time.process_time() - start)
    return 1e3 * min(taken)


def test_random_futures_against_a_year_by_year_simulation_and_the_exact_engine():
    spread = Spread()
    futures, exact = draw_futures(KEPT, NEW, TERMS, spread), compare(KEPT, NEW, TERMS)
    plain = year_by_year(spread, DRAWS, 3)
    ours = [(path.mean, path.standard_error) for path in (futures.repair, *futures.challengers)]
    paths = (exact.repair, *exact.challengers)
    for sampled in (ours, plain):  # only equal answers may be compared for speed
        for (mean, error), path in zip(sampled, paths, strict=True):
            assert abs(mean - path.lcc) < 4.5 * error

    all_spreads = best_ms(lambda: draw_futures(KEPT, NEW, TERMS, spread))
    lives = best_ms(lambda: draw_futures(KEPT, NEW, TERMS, LIVES_ALONE))
    by_year = best_ms(lambda: year_by_year(spread, DRAWS, 3), 5)
    engine = best_ms(lambda: compare(KEPT, NEW, TERMS))
    print(
        f"\n{DRAWS:,} futures, repair and {len(NEW)} challengers, {YEARS} years:"
        f"\n  all spreads        {all_spreads:8.2f} ms"
        f"\n  lives alone        {lives:8.2f} ms   {lives / all_spreads:6.2f} of all spreads"
        f"\n  year by year       {by_year:8.2f} ms   {by_year / all_spreads:6.2f} times as long"
        f"\n  exact engine       {engine:8.2f} ms   {all_spreads / engine:6.2f} times as fast"
    )
    assert all_spreads <= 15
    assert by_year > 2 * all_spreads


def test_turning_points_and_swings_against_the_exact_engine():
    engine = best_ms(lambda: compare(KEPT, NEW, TERMS))
    points = best_ms(lambda: turning_points(KEPT, NEW, TERMS), 5)
    moved = best_ms(lambda: swings(KEPT, NEW, TERMS))
    print(
        f"\n  exact engine       {engine:8.2f} ms"
        f"\n  swings             {moved:8.2f} ms   {moved / engine:6.2f} comparisons for 10 answers"
        f"\n  turning points     {points:8.2f} ms   {points / engine:6.2f} comparisons"
    )
