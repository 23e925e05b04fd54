"""Fitting lives from a shop's records: what is refused and what is reported."""

from __future__ import annotations

import numpy as np
import pytest

from estimator.errors import InputTrouble
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
