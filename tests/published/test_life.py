"""Lives against NIST, scipy's Weibull distribution, and quadrature."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest
from scipy.integrate import quad
from scipy.optimize import minimize
from scipy.special import gamma, gammaincc
from scipy.stats import CensoredData, ecdf, weibull_min

from estimator.heater import HeaterClass
from estimator.kaplan_meier import kaplan_meier
from estimator.life_fit import fit_life
from estimator.survival import (
    DEFAULT_LIVES,
    LifeDistribution,
    conditional_survival,
    mean_life,
    mean_life_left,
    survival,
)
from tests.published.row import Printed, rows

NIST = "NIST/SEMATECH e-Handbook, 8.4.1.3"
FAILED_AT_HOURS = [54, 187, 216, 240, 244, 335, 361, 373, 375, 386]
DURATIONS = [*FAILED_AT_HOURS, *[500] * 10]
MARKS = [True] * 10 + [False] * 10
LIVES = [
    LifeDistribution(shape=0.7, scale_years=9.0),
    LifeDistribution(shape=1.0, scale_years=11.0, delay_years=2.0),
    LifeDistribution(shape=2.0, scale_years=12.0, delay_years=1.0),
    LifeDistribution(shape=5.5, scale_years=14.0, delay_years=0.5),
]


def fitted(what: str) -> float:
    return float(getattr(fit_life(DURATIONS, MARKS), what))


def mean_of_fit_hours() -> float:
    fit = fit_life(DURATIONS, MARKS)
    # A life is in years and at most 200 long: hours are carried in tens.
    return 10 * mean_life(LifeDistribution(shape=fit.shape, scale_years=fit.scale / 10))


@rows(
    Printed("shape of the censored sample", fitted, ("shape",), "1.7208", NIST),
    Printed(
        "scale of the censored sample",
        fitted,
        ("scale",),
        "606.5280",
        NIST,
        within=606.5 * 1e-6,
        note="the handbook's iteration stops within a millionth of the root, 606.52756",
    ),
    Printed("log-likelihood of the fit", fitted, ("log_likelihood",), "-75.135", NIST),
    Printed("mean of the fitted life", mean_of_fit_hours, (), "540.737", NIST),
)
def test_censored_fit_against_nist(row: Printed) -> None:
    row.check()


def test_uncensored_fit_against_scipy() -> None:
    """scipy.stats.weibull_min.fit with the location held."""
    sample = weibull_min.rvs(2.2, loc=1.0, scale=13.0, size=400, random_state=7)
    shape, _, scale = weibull_min.fit(sample, floc=1.0)
    ours = fit_life(sample, np.full(400, True), delay=1.0)
    assert ours.shape == pytest.approx(shape, rel=1e-4)
    assert ours.scale == pytest.approx(scale, rel=1e-4)
    assert ours.shape_interval[0] < 2.2 < ours.shape_interval[1]
    assert ours.scale_interval[0] < 13.0 < ours.scale_interval[1]


def test_censored_fit_against_scipy() -> None:
    """scipy.stats.weibull_min.fit on CensoredData, the handbook's sample."""
    sample = CensoredData.right_censored(DURATIONS, [not mark for mark in MARKS])
    shape, _, scale = weibull_min.fit(sample, floc=0)
    ours = fit_life(DURATIONS, MARKS)
    assert ours.shape == pytest.approx(shape, rel=1e-5)
    assert ours.scale == pytest.approx(scale, rel=1e-5)


@pytest.mark.parametrize(("delay", "seed"), [(0.0, 3), (1.0, 4), (2.5, 5)])
def test_truncated_fit_against_scipy(delay: float, seed: int) -> None:
    """Records of the last ten of thirty years: scipy's densities, maximised by Nelder-Mead.

    What is maximised is the density of each failure and the survival of each heater still
    running, over the survival to the age at which its record begins.
    """
    ends, dead, since = late_sample(delay, seed)

    def against(logs: np.ndarray) -> float:
        law = weibull_min(np.exp(logs[0]), loc=delay, scale=np.exp(logs[1]))
        seen = law.logpdf(ends[dead]).sum() + law.logsf(ends[~dead]).sum()
        return float(law.logsf(since).sum() - seen)

    best = minimize(against, [0.5, 2.3], method="Nelder-Mead", options={"xatol": 1e-9})
    ours = fit_life(ends, dead, delay, since)
    assert (ours.shape, ours.scale) == pytest.approx(tuple(np.exp(best.x)), rel=1e-5)
    assert ours.log_likelihood == pytest.approx(-best.fun, rel=1e-9)


def late_sample(delay: float, seed: int) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """Thirty years of installs of which the last ten are recorded: ends, failed, beginnings."""
    random = np.random.default_rng(seed)
    installed = random.uniform(-30.0, 0.0, 900)
    failed = installed + weibull_min.rvs(2.4, delay, 12.0, size=900, random_state=random)
    installed, failed = installed[failed > -10.0], failed[failed > -10.0]
    dead, since = failed < 0.0, np.maximum(-10.0 - installed, 0.0)
    return np.where(dead, failed, 0.0) - installed, dead, since


@pytest.mark.parametrize("sample", ["handbook", "late"])
def test_intervals_against_the_curvature_of_scipys_likelihood(sample: str) -> None:
    """Second differences of scipy's log-likelihood on the logs, and first ones of its mean."""
    if sample == "handbook":
        ends, dead = np.array(DURATIONS, dtype=float), np.array(MARKS)
        since = np.zeros(20)
    else:
        ends, dead, since = late_sample(0.0, 6)
    ours = fit_life(ends, dead, since_years=since)
    top, step = np.log([ours.shape, ours.scale]), 1e-4

    def law(shift: np.ndarray) -> Any:
        shape, scale = np.exp(top + shift)
        return weibull_min(shape, scale=scale)

    def height(shift: np.ndarray) -> float:
        at = law(shift)
        seen = at.logpdf(ends[dead]).sum() + at.logsf(ends[~dead]).sum()
        return float(seen - at.logsf(since).sum())

    def curve(a: np.ndarray, b: np.ndarray) -> float:
        return height(a + b) - height(a - b) - height(b - a) + height(-a - b)

    unit = np.eye(2) * step
    covariance = np.linalg.inv(
        -np.array([[curve(a, b) for b in unit] for a in unit]) / 4 * step**-2
    )
    slope = np.array([np.log(law(a).mean() / law(-a).mean()) / (2 * step) for a in unit])
    errors = [*np.sqrt(np.diag(covariance)), np.sqrt(slope @ covariance @ slope)]
    intervals = [
        (ours.shape, ours.shape_interval),
        (ours.scale, ours.scale_interval),
        (ours.mean, ours.mean_interval),
    ]
    for error, (value, (low, high)) in zip(errors, intervals, strict=True):
        assert np.log(high / value) == pytest.approx(1.959964 * error, rel=1e-3)
        assert low * high == pytest.approx(value**2)


@pytest.mark.parametrize("sample", ["handbook", "tied"])
def test_product_limit_against_scipy(sample: str) -> None:
    """scipy.stats.ecdf of CensoredData, its log-log interval."""
    if sample == "handbook":
        times, dead = np.array(DURATIONS, dtype=float), np.array(MARKS)
    else:
        random = np.random.default_rng(11)
        times, dead = random.integers(1, 25, 200).astype(float), random.random(200) < 0.6
    ours = kaplan_meier(times, dead)
    theirs = ecdf(CensoredData.right_censored(times, ~dead)).sf
    bounds = theirs.confidence_interval(0.95, method="log-log")
    at = np.searchsorted(theirs.quantiles, ours.ages)
    np.testing.assert_allclose(ours.surviving, theirs.probabilities[at], rtol=1e-12)
    known = ours.surviving > 0
    np.testing.assert_allclose(ours.low[known], bounds.low.probabilities[at][known], rtol=1e-9)
    np.testing.assert_allclose(ours.high[known], bounds.high.probabilities[at][known], rtol=1e-9)


def kaplan_meier_after(years: float) -> float:
    """Share of the handbook's sample that outlives some hours."""
    found = kaplan_meier(DURATIONS, MARKS)
    return float(found.surviving[np.searchsorted(found.ages, years, side="right") - 1])


@rows(
    Printed(
        "ten of twenty outlive 386 h", kaplan_meier_after, (386,), ".5", f"{NIST}, counted by hand"
    ),
    Printed(
        "nineteen of twenty outlive 54 h",
        kaplan_meier_after,
        (54,),
        ".95",
        f"{NIST}, counted by hand",
    ),
)
def test_product_limit_against_counts(row: Printed) -> None:
    """Before any heater is censored the estimate is a plain share of those started with."""
    row.check()


@pytest.mark.parametrize("life", LIVES, ids=str)
def test_survival_and_mean_life_against_scipy(life: LifeDistribution) -> None:
    """scipy.stats.weibull_min, located at the delay."""
    theirs = weibull_min(life.shape, loc=life.delay_years, scale=life.scale_years)
    ages = np.array([0.0, 0.5, 1.0, 2.0, 6.5, 13.0, 25.0, 40.0])
    np.testing.assert_allclose(survival(life, ages), theirs.sf(ages), rtol=1e-12)
    assert mean_life(life) == pytest.approx(theirs.mean(), rel=1e-12)
    assert mean_life_left(life, 0.0) == pytest.approx(theirs.mean(), rel=1e-12)
    years = np.array([0.0, 1.0, 5.0, 12.0])
    np.testing.assert_allclose(
        conditional_survival(life, 8.0, years), theirs.sf(8.0 + years) / theirs.sf(8.0), rtol=1e-12
    )


@pytest.mark.parametrize("life", LIVES, ids=str)
@pytest.mark.parametrize("age", [0.0, 0.25, 1.0, 8.0, 20.0, 40.0, 75.0, 93.0, 95.0, 150.0, 1e4])
def test_mean_life_left_against_quadrature(life: LifeDistribution, age: float) -> None:
    """scipy.integrate.quad of the conditional survival, scaled to where it falls off."""

    def alive(years: float) -> float:
        now, then = (max(x - life.delay_years, 0) / life.scale_years for x in (age, age + years))
        return float(np.exp(now**life.shape - then**life.shape))

    ours = mean_life_left(life, age)
    knee = max(life.delay_years - age, 0.0)
    before, _ = quad(alive, 0, knee) if knee else (0.0, 0.0)
    step, after = max(ours - knee, 1e-12), 0.0
    for start in range(0, 400, 4):
        piece, _ = quad(alive, knee + start * step, knee + (start + 4) * step, epsrel=1e-12)
        after += piece
        if piece < 1e-14 * after:
            break
    # The exponents of the plain integrand lose digits at ages far past any life.
    assert ours == pytest.approx(before + after, rel=1e-9 if age < 200 else 1e-6)


@pytest.mark.parametrize("shape", [0.25, 0.4, 0.8, 1.0, 1.3, 1.7208, 2.0, 2.5, 3.7, 6.0, 20.0])
def test_mean_life_left_against_the_incomplete_gamma_of_scipy(shape: float) -> None:
    """scipy.special.gammaincc, up to exponents of 60, on both sides of every change of method."""
    life = LifeDistribution(shape=shape, scale_years=12.0)
    spent = np.concatenate([[0.0, 1e-9, 1.999999, 2.0, 2.000001], np.geomspace(1e-4, 60.0, 400)])
    theirs = np.exp(spent) * gammaincc(1 / shape, spent) * gamma(1 / shape) * 12.0 / shape
    ours = mean_life_left(life, 12.0 * spent ** (1 / shape))
    np.testing.assert_allclose(ours, theirs, rtol=3e-12)


def test_memoryless_life_against_the_exponential_distribution() -> None:
    """With shape 1 the mean life left is the scale at every age: NIST e-Handbook 8.1.6.1."""
    life = LifeDistribution(shape=1.0, scale_years=11.0, delay_years=2.0)
    np.testing.assert_allclose(mean_life_left(life, np.array([2.0, 9.0, 150.0])), 11.0, rtol=1e-12)


@pytest.mark.parametrize(
    ("heater_class", "mean_years"),
    [
        (HeaterClass.GAS_STORAGE, 13.0),
        (HeaterClass.GAS_INSTANTANEOUS, 20.0),
    ],
)
def test_default_mean_life_against_doe(heater_class: HeaterClass, mean_years: float) -> None:
    """DOE technical support documents: gas storage 13 yr (2010), instantaneous 20; memory."""
    life = DEFAULT_LIVES[heater_class]
    assert mean_life(life) == pytest.approx(mean_years, abs=0.05)
    assert life.delay_years + life.scale_years * gamma(1.5) == pytest.approx(mean_years, abs=0.05)
    assert "memory" in life.source
