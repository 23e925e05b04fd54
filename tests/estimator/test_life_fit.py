"""Fitting lives from a shop's records: what is refused and what is reported."""

from __future__ import annotations

import numpy as np
import pytest

from estimator.errors import InputTrouble
from estimator.kaplan_meier import kaplan_meier
from estimator.life_fit import fit_life

TEN = [4.0, 6.5, 7.0, 8.5, 9.0, 10.0, 11.5, 12.0, 13.5, 16.0]


def test_a_fit_in_years_becomes_a_life_with_its_sample_in_the_source() -> None:
    life = fit_life([*TEN, *[9.0] * 5], [True] * 10 + [False] * 5).life()
    assert life.shape > 1
    assert life.source.startswith("fitted to 10 failures and 5 heaters still running; shape ")


def test_censored_records_lengthen_the_life() -> None:
    died = fit_life(TEN, [True] * 10)
    with_running = fit_life([*TEN, *[15.0] * 10], [True] * 10 + [False] * 10)
    assert with_running.scale > died.scale


def test_the_unit_of_the_durations_does_not_matter() -> None:
    years, days = fit_life(TEN, [True] * 10), fit_life(np.array(TEN) * 365, [True] * 10)
    assert days.shape == pytest.approx(years.shape, rel=1e-9)
    assert days.scale == pytest.approx(years.scale * 365, rel=1e-9)


def test_too_few_failures_are_refused() -> None:
    with pytest.raises(InputTrouble) as refused:
        fit_life(TEN, [True] * 9 + [False])
    assert str(refused.value) == (
        "There are 9 failures; a life needs at least 10. "
        "Keep the default life until the records hold more failures."
    )


def test_unequal_rows_are_refused() -> None:
    with pytest.raises(InputTrouble, match="There are 10 durations and 3 marks of failure"):
        fit_life(TEN, [True] * 3)


@pytest.mark.parametrize("bad", [0.0, -2.0, float("nan"), float("inf")])
def test_impossible_durations_are_refused(bad: float) -> None:
    with pytest.raises(InputTrouble, match="A duration is not a number above the delay"):
        fit_life([*TEN, bad], [True] * 11)


def test_failures_all_at_one_age_are_refused() -> None:
    with pytest.raises(InputTrouble, match="fall together so closely"):
        fit_life([12.0] * 12, [True] * 12)


def test_a_life_that_no_heater_has_is_refused() -> None:
    in_days = fit_life(np.array(TEN) * 365, [True] * 10)
    with pytest.raises(InputTrouble, match="Check that the durations are in years"):
        in_days.life()


def late_records(seed: int) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """Thirty years of invented installs, of which a shop has recorded the last ten."""
    random = np.random.default_rng(seed)
    installed = random.uniform(-30.0, 0.0, 4_000)
    failed = installed + 12.0 * random.weibull(2.2, 4_000)
    known = failed > -10.0
    installed, failed = installed[known], failed[known]
    dead = failed < 0.0
    ends = np.where(dead, failed - installed, -installed)
    return ends, dead, np.maximum(-10.0 - installed, 0.0)


def test_records_that_begin_late_do_not_lengthen_the_life() -> None:
    ends, dead, since = late_records(5)
    told, blind = fit_life(ends, dead, since_years=since), fit_life(ends, dead)
    assert told.shape_interval[0] < 2.2 < told.shape_interval[1]
    assert told.scale_interval[0] < 12.0 < told.scale_interval[1]
    assert blind.scale_interval[0] > 12.5  # the failures that nobody recorded are missing
    assert told.entered_late == int((since > 0).sum())
    assert f", {told.entered_late} of them recorded late" in told.life().source


def test_the_intervals_hold_the_truth_about_as_often_as_they_say() -> None:
    held = 0
    for seed in range(200):
        ends, dead, since = (column[:150] for column in late_records(seed))
        low, high = fit_life(ends, dead, since_years=since).mean_interval
        held += low < 12.0 * 0.885625 < high  # gamma(1 + 1/2.2) = .885625
    assert 180 <= held <= 199


def test_a_record_that_begins_with_the_heater_is_as_if_no_beginning_were_given() -> None:
    marks = [True] * 10 + [False] * 5
    plain = fit_life([*TEN, *[9.0] * 5], marks)
    same = fit_life([*TEN, *[9.0] * 5], marks, since_years=[0.0] * 15)
    assert same == plain


def test_a_heater_still_running_before_the_delay_says_nothing() -> None:
    with_young = fit_life([*TEN, 0.0, 0.5], [True] * 10 + [False] * 2, delay=1.0)
    without = fit_life(TEN, [True] * 10, delay=1.0)
    assert with_young.shape == pytest.approx(without.shape, rel=1e-12)
    assert with_young.scale == pytest.approx(without.scale, rel=1e-12)
    assert with_young.still_running == 2


@pytest.mark.parametrize("since", [-1.0, 17.0, float("nan")])
def test_a_record_that_begins_outside_the_life_is_refused(since: float) -> None:
    with pytest.raises(InputTrouble) as refused:
        fit_life(TEN, [True] * 10, since_years=[0.0] * 9 + [since])
    assert str(refused.value) == (
        "A record begins before the heater was installed or after it ends. "
        "Correct the record or leave it out."
    )


def test_records_that_all_begin_just_before_their_end_settle_no_life() -> None:
    ends = np.linspace(2.0, 20.0, 12)
    with pytest.raises(InputTrouble, match="begin so late that they do not settle a life"):
        fit_life(ends, [True] * 12, since_years=ends - 1e-6 * ends)


def test_the_mean_life_holds_the_delay() -> None:
    fit = fit_life(np.array(TEN) + 1.0, [True] * 10, delay=1.0)
    plain = fit_life(TEN, [True] * 10)
    assert fit.mean == pytest.approx(plain.mean + 1.0, rel=1e-9)
    assert fit.mean_interval[0] == pytest.approx(plain.mean_interval[0] + 1.0, rel=1e-9)


def by_hand(ends: np.ndarray, dead: np.ndarray, since: np.ndarray) -> list[tuple[float, float]]:
    share, steps = 1.0, []
    for age in sorted(set(ends[dead].tolist())):
        at_risk = sum(1 for s, e in zip(since, ends, strict=True) if s < age <= e)
        died = sum(1 for e, d in zip(ends, dead, strict=True) if d and e == age)
        share *= 1.0 - died / at_risk
        steps.append((age, share))
    return steps


def test_product_limit_with_late_records_against_plain_loops() -> None:
    ends, dead, since = (column[:300] for column in late_records(3))
    ends, since = ends.round(1), since.round(1)
    found = kaplan_meier(ends, dead, since)
    ages, shares = zip(*by_hand(ends, dead, since), strict=True)
    np.testing.assert_allclose(found.ages, ages)
    np.testing.assert_allclose(found.surviving, shares, rtol=1e-12)
    assert np.all(found.low <= found.surviving)
    assert np.all(found.high >= found.surviving)


def test_plotted_shares_lie_midway_and_never_reach_all() -> None:
    found = kaplan_meier([1.0, 2.0, 3.0, 4.0], [True] * 4)
    np.testing.assert_allclose(found.plotted, [0.125, 0.375, 0.625, 0.875])
    assert found.low[-1] == 0.0  # nobody is left: nothing bounds the share from above either
    assert found.high[-1] == 1.0


def test_records_without_a_failure_have_no_product_limit() -> None:
    with pytest.raises(InputTrouble, match="No heater in the records has failed"):
        kaplan_meier([1.0, 2.0], [False, False])
