"""Discounting: what is refused, and where a measure has no meaning."""

from __future__ import annotations

import pytest

from estimator.discounting import equivalent_annual_cost, spv, upv, upv_star
from estimator.errors import InputTrouble
from estimator.supplementary_measures import airr, discounted_payback, simple_payback, sir


def test_without_discounting_a_year_is_a_year() -> None:
    assert spv(0.0, 12) == 1.0
    assert upv(0.0, 12) == 12.0
    assert equivalent_annual_cost(1_200.0, 0.0, 12) == pytest.approx(100.0)


@pytest.mark.parametrize("rate", [-0.5, -2.0, float("nan"), float("inf")])
def test_impossible_rate_is_refused(rate: float) -> None:
    with pytest.raises(InputTrouble) as refused:
        spv(rate, 1)
    assert str(refused.value) == (
        f"Discount rate is {rate}; it must be above -0.5 and finite. "
        "Give it as a fraction of one a year, such as 0.03."
    )


def test_no_years_are_refused() -> None:
    with pytest.raises(InputTrouble) as refused:
        upv(0.03, 0)
    assert str(refused.value) == (
        "Number of years is 0; it must be 1 or more. Correct the number of years."
    )
    with pytest.raises(InputTrouble, match="Number of years is 0"):
        upv_star(0.03, [])
    with pytest.raises(InputTrouble, match="Number of years is -1"):
        spv(0.03, -1)


def test_no_extra_investment_leaves_the_ratio_without_meaning() -> None:
    assert sir(500.0, 0.0) is None
    assert sir(500.0, -200.0) is None
    assert airr(None, 0.03, 10) is None
    assert airr(-0.4, 0.03, 10) is None


def test_payback_divides_the_last_year_in_proportion() -> None:
    assert simple_payback(250.0, [100.0, 100.0, 100.0]) == 2.5
    assert simple_payback(301.0, [100.0, 100.0, 100.0]) is None
    assert simple_payback(0.0, [100.0]) == 0.0
    assert simple_payback(100.0, [-50.0, 100.0, 100.0]) == 2.5
    later = discounted_payback(250.0, [100.0, 100.0, 100.0], 0.05)
    assert later is not None
    assert later > 2.5
