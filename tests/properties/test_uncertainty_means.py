"""The mean over the futures meets the exact expectation, and its standard error is honest."""

import numpy as np
import pytest

from estimator.comparison import Challenger, Defender, Terms
from estimator.draws import LIVES_ALONE, Spread
from estimator.life_cycle import compare
from estimator.survival import LifeDistribution
from estimator.uncertainty import draw_futures

CASES = 80


def random_case(number):
    """A case with failures enough that a mean of 10,000 futures is near normal."""
    random = np.random.default_rng([20, number])
    years = int(random.integers(8, 25))

    def between(low, high):
        return float(random.uniform(low, high))

    def values(name):
        return {
            "name": name,
            "life": LifeDistribution(
                shape=between(0.8, 4.0),
                scale_years=between(4.0, 15.0),
                delay_years=float(random.choice([0.0, 1.0, 2.5])),
            ),
            "energy_cost_per_year": between(80.0, 500.0),
            "price_indices": tuple(between(0.8, 1.3) for _ in range(years)),
            "upkeep_per_year": between(0.0, 60.0),
            "later_repairs_per_year": between(0.0, 0.3),
            "later_repair_price": between(80.0, 400.0),
            "installed_price": between(900.0, 4500.0),
        }

    kept = Defender(
        **values("in place"), age_years=between(0.0, 25.0), repair_price=between(50.0, 900.0)
    )
    challengers = [Challenger(**values(f"new {at}"), incentives=between(0, 300)) for at in (1, 2)]
    terms = Terms(
        years=years,
        real_discount_rate=between(0.0, 0.08),
        install_price_escalation=between(-0.02, 0.03),
        urgency_premium=between(0.0, 0.4),
        failure_damage=between(0.0, 500.0),
        aging=float(random.choice([0.0, 0.0, 0.01, 0.03])),
    )
    return kept, challengers, terms


def deviations(spread):
    """Sampled less exact mean over the standard error, by case: repair and both challengers."""
    found = []
    for number in range(CASES):
        case = random_case(number)
        exact, drawn = compare(*case), draw_futures(*case, spread, seed=number)
        assert drawn.cheapest == exact.cheapest
        pairs = zip(
            (drawn.repair, *drawn.challengers), (exact.repair, *exact.challengers), strict=True
        )
        found.append([(ours.mean - path.lcc) / ours.standard_error for ours, path in pairs])
    return np.array(found)


@pytest.mark.parametrize("spread", [LIVES_ALONE, Spread()], ids=["lives alone", "all spreads"])
def test_mean_cost_against_the_exact_expectation(spread):
    """Each of the three columns holds 80 independent cases, in standard errors.

    Of 80 standard normal numbers three or more lie beyond 3 once in 700 such columns, one
    beyond 4.5 once in 1,800; their root mean square is 1 with a standard deviation of 0.08,
    their mean times the root of 80 is standard normal again. The seeds are fixed, so the
    test gives one answer; a wrong mean or a wrong standard error moves it far out of these
    bounds, as the next test shows.
    """
    z = deviations(spread)
    assert np.max(np.abs(z)) < 4.5
    assert np.all(np.sum(np.abs(z) > 3.0, axis=0) <= 2)
    root_mean_square = np.sqrt(np.mean(z**2, axis=0))
    assert np.all((root_mean_square > 0.75) & (root_mean_square < 1.25)), root_mean_square
    assert np.all(np.abs(np.mean(z, axis=0)) * CASES**0.5 < 3.5)


def test_mean_cost_by_a_wrong_life_is_caught():
    """The same measure refuses a defender whose life is a twentieth too long."""
    beyond = 0
    for number in range(20):
        kept, challengers, terms = random_case(number)
        longer = kept.life.model_copy(update={"scale_years": kept.life.scale_years * 1.05})
        exact = compare(kept.model_copy(update={"life": longer}), challengers, terms)
        drawn = draw_futures(kept, challengers, terms, LIVES_ALONE, seed=number)
        beyond += abs(drawn.repair.mean - exact.repair.lcc) > 3 * drawn.repair.standard_error
    assert beyond >= 5
