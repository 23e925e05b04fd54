"""Properties of survival, mean life left, and the round trip of ratings."""

from __future__ import annotations

from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from estimator.efficiency import Rating
from estimator.heater import DrawBin
from estimator.survival import (
    LifeDistribution,
    conditional_survival,
    mean_life_left,
    survival,
)
from estimator.wham import fuel_ua, load_btu_per_day, rating_test_conditions, storage_btu_per_day

LIVES = st.builds(
    LifeDistribution,
    shape=st.floats(0.25, 20.0),
    scale_years=st.floats(0.01, 200.0),
    delay_years=st.floats(0.0, 50.0),
)
AGES = st.floats(0.0, 150.0)


@settings(deadline=None)
@given(LIVES, AGES, st.lists(st.floats(0.0, 60.0), min_size=2, max_size=20))
def test_survival_never_rises(life: LifeDistribution, age: float, years: list[float]) -> None:
    later = np.sort(np.array(years))
    for alive in (survival(life, later), conditional_survival(life, age, later)):
        assert np.all(np.isfinite(alive))
        assert np.all((alive >= 0) & (alive <= 1))
        # A power may be off by its last digit, so equal ages may differ by one in the last.
        assert np.all(np.diff(alive) <= 1e-15)
    assert conditional_survival(life, age, 0.0) == 1.0


@settings(deadline=None)
@given(LIVES, AGES)
def test_mean_life_left_is_finite_and_shrinks_with_age_where_wear_out(
    life: LifeDistribution, age: float
) -> None:
    left, later = mean_life_left(life, age), mean_life_left(life, age + 1.0)
    assert np.isfinite(left)
    assert left >= 0
    if life.shape >= 1:
        assert later <= left * (1 + 1e-9)


@settings(deadline=None)
@given(LIVES, AGES)
def test_mean_life_left_follows_from_a_year_of_survival(life: LifeDistribution, age: float) -> None:
    """What is left now is this year's expected part and, if it lives, what is left then."""
    nodes, weights = np.polynomial.legendre.leggauss(80)
    # Split at the end of the delay, where survival has its kink.
    knee = min(max(life.delay_years - age, 0.0), 1.0)
    fine = knee + (1 - knee) * np.linspace(0, 1, 9) ** 4
    points = np.unique(np.concatenate([[0.0, knee], fine]))
    part = 0.0
    for low, high in pairwise(points):
        at = low + (high - low) * (nodes + 1) / 2
        part += (high - low) / 2 * float(weights @ conditional_survival(life, age, at))
    rest = conditional_survival(life, age, 1.0) * mean_life_left(life, age + 1.0)
    if mean_life_left(life, age) > 0.02:  # a life of days is too sharp for these nodes
        assert part + rest == pytest.approx(mean_life_left(life, age), rel=1e-3)


@settings(deadline=None)
@given(
    st.floats(0.3, 0.95),
    st.floats(0.001, 0.3),
    st.floats(20_000, 200_000),
    st.sampled_from([None, *DrawBin]),
)
def test_rating_to_ua_and_back(
    value: float, above: float, input_btu_per_h: float, draw_bin: DrawBin | None
) -> None:
    rating = Rating(
        value=value,
        metric="EF" if draw_bin is None else "UEF",
        draw_bin=draw_bin,
        recovery_efficiency=min(value + above, 0.999),
    )
    draw, setpoint = rating_test_conditions(rating)
    used = storage_btu_per_day(
        fuel_ua(rating, input_btu_per_h),
        rating.recovery_efficiency,
        input_btu_per_h,
        draw,
        setpoint_f=setpoint,
    )
    assert load_btu_per_day(draw, setpoint, 58.0) / used == pytest.approx(value, rel=1e-9)
