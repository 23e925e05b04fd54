"""Drawn lives, repairs and prices against the distributions of scipy, and draw against WHAM.

Source of every expected distribution: scipy.stats (weibull_min, poisson, lognorm). The
seeds are fixed. A probability below 0.001 refuses; each test also shows that a wrong
distribution is refused.
"""

import numpy as np
import pytest
from scipy import stats

from estimator.draws import (
    Spread,
    Stream,
    fuel_price_paths,
    mean_one_factor,
    repairs_to_come,
    stream,
    years_lived,
)
from estimator.survival import LifeDistribution, conditional_survival
from estimator.wham import storage_btu_per_day

DRAWS = 10_000
REFUSED = 0.001
STEPS_A_YEAR = 2000

LIVES = [
    (LifeDistribution(shape=2.0, scale_years=13.54, delay_years=1.0), 0.0),
    (LifeDistribution(shape=2.0, scale_years=13.54, delay_years=1.0), 0.6),
    (LifeDistribution(shape=2.0, scale_years=13.54, delay_years=1.0), 8.0),
    (LifeDistribution(shape=2.0, scale_years=13.54, delay_years=1.0), 31.5),
    (LifeDistribution(shape=0.8, scale_years=6.0), 3.0),
    (LifeDistribution(shape=5.0, scale_years=20.0, delay_years=2.5), 12.0),
]


def left_cdf(life, age, years):
    """Distribution of the life left at an age, by scipy's own survival function."""
    whole = stats.weibull_min(life.shape, loc=life.delay_years, scale=life.scale_years)
    return 1.0 - np.exp(whole.logsf(age + years) - whole.logsf(age))


@pytest.mark.parametrize(("life", "age"), LIVES)
def test_lives_drawn_against_scipy_weibull_by_kolmogorov_smirnov(life, age):
    elapsed = np.arange(80 * STEPS_A_YEAR + 1) / STEPS_A_YEAR
    alive = conditional_survival(life, age, elapsed)
    steps = years_lived(alive, stream(11, Stream.LIVES).random(DRAWS))
    lives = (steps + 0.5) / STEPS_A_YEAR
    # Half a step, 1/4000 yr, is far finer than the 0.02 that the test can tell apart.
    assert stats.kstest(lives, lambda x: left_cdf(life, age, x)).pvalue > REFUSED
    other = life.model_copy(update={"scale_years": life.scale_years * 1.1})
    assert stats.kstest(lives, lambda x: left_cdf(other, age, x)).pvalue < 1e-6


@pytest.mark.parametrize(("life", "age"), LIVES)
def test_failure_years_drawn_against_scipy_weibull_by_chi_square(life, age):
    years = 13
    alive = conditional_survival(life, age, np.arange(years + 1.0))
    lived = years_lived(alive, stream(12, Stream.LIVES).random(DRAWS))
    counts = np.bincount(lived, minlength=years + 1)
    reached = left_cdf(life, age, np.arange(years + 1.0))
    expected = DRAWS * np.append(np.diff(reached), 1.0 - reached[-1])
    seen = expected >= 5
    assert counts[expected == 0].sum() == 0
    rest, counts_rest = expected[~seen].sum(), counts[~seen].sum()
    observed = np.append(counts[seen], counts_rest)[: seen.sum() + (rest > 0)]
    wanted = np.append(expected[seen], rest)[: seen.sum() + (rest > 0)]
    assert stats.chisquare(observed, wanted).pvalue > REFUSED
    late = np.roll(wanted, 1)
    assert stats.chisquare(observed, late).pvalue < 1e-6


@pytest.mark.parametrize("share", [1.0, 0.5, 0.1])
def test_later_repairs_drawn_against_scipy_poisson(share):
    highest, years = 0.4, 10
    repairs = repairs_to_come(stream(13, Stream.LATER_REPAIRS), highest, years, DRAWS)
    befalls = repairs.mark < share * highest
    counts = np.bincount(repairs.draw[befalls], minlength=DRAWS)
    law = stats.poisson(share * highest * years)
    top = int(law.ppf(0.999))
    observed = np.bincount(np.minimum(counts, top), minlength=top + 1)
    expected = DRAWS * np.append(law.pmf(np.arange(top)), law.sf(top - 1))
    assert stats.chisquare(observed, expected).pvalue > REFUSED
    assert repairs.year.min() == 1
    assert repairs.year.max() == years
    by_year = np.bincount(repairs.year[befalls], minlength=years + 1)[1:]
    assert stats.chisquare(by_year).pvalue > REFUSED


@pytest.mark.parametrize("deviation", [0.1, 0.5])
def test_factors_drawn_against_scipy_lognormal(deviation):
    factor = mean_one_factor(stream(14, Stream.HOT_WATER_DRAW), deviation, DRAWS)
    shape = np.sqrt(np.log1p(deviation**2))
    law = stats.lognorm(shape, scale=np.exp(-(shape**2) / 2))
    assert law.mean() == pytest.approx(1.0)
    assert law.std() == pytest.approx(deviation)
    assert stats.kstest(factor, law.cdf).pvalue > REFUSED
    assert stats.kstest(factor, stats.lognorm(shape).cdf).pvalue < 1e-3


@pytest.mark.parametrize("year", [1, 5, 13])
def test_fuel_price_paths_against_scipy_lognormal(year):
    deviation = 0.08
    paths = fuel_price_paths(stream(15, Stream.FUEL_PRICE), deviation, 13, DRAWS)
    shape = np.sqrt(year * np.log1p(deviation**2))
    law = stats.lognorm(shape, scale=np.exp(-(shape**2) / 2))
    assert law.mean() == pytest.approx(1.0)
    assert stats.kstest(paths[year - 1], law.cdf).pvalue > REFUSED
    assert (
        stats.kstest(paths[year - 1], stats.lognorm(1.2 * shape, scale=law.median()).cdf).pvalue
        < 1e-6
    )


def test_changes_of_the_fuel_price_do_not_depend_on_each_other():
    paths = np.log(fuel_price_paths(stream(16, Stream.FUEL_PRICE), 0.08, 13, DRAWS))
    changes = np.diff(paths, axis=0)
    correlation = np.corrcoef(changes)[np.triu_indices(12, 1)]
    assert np.max(np.abs(correlation)) * np.sqrt(DRAWS) < 4.0


@pytest.mark.parametrize("gallons_per_day", [40.0, 55.0, 70.0])
def test_share_of_energy_that_goes_with_the_draw_against_wham(gallons_per_day):
    """Source: WHAM (Lutz et al., ACEEE 1998), 40 gal tank of EF .59, RE .76, 38,000 Btu/h.

    Its energy is a straight line in the draw; the default share is common practice and
    must lie within a tenth of the line's own share at usual draws.
    """

    def energy(draw):
        return storage_btu_per_day(10.2232, 0.76, 38_000.0, draw)

    share = (energy(2 * gallons_per_day) - energy(gallons_per_day)) / energy(gallons_per_day)
    assert Spread().energy_with_draw == pytest.approx(share, abs=0.1)
