"""Textbook cases of keeping or replacing a machine, through our discounting functions.

What a machine could be sold for is known in them, so nothing is left to chance; they check
the factors and the equivalent annual cost that the engine reports by.
"""

from __future__ import annotations

from collections.abc import Sequence

import pytest

from estimator.discounting import capital_recovery, equivalent_annual_cost, spv


def cost_of_keeping(
    first: float, market: Sequence[float], running: Sequence[float], rate: float, years: int
) -> float:
    """Equivalent annual cost of owning for some years and selling then."""
    present = first - market[years - 1] * spv(rate, years)
    present += sum(running[year - 1] * spv(rate, year) for year in range(1, years + 1))
    return equivalent_annual_cost(present, rate, years)


COURSE = (25_000.0, (16_000, 13_000, 11_000, 10_000, 9_500), (5_000, 8_000, 11_000, 14_000, 17_000))


@pytest.mark.parametrize(
    ("years", "printed"), [(1, 16_000), (2, 14_212), (3, 14_159), (4, 14_541), (5, 15_181)]
)
def test_annual_cost_against_course_exercise(years: int, printed: int) -> None:
    """Engineering economy course exercise, 8 %."""
    assert cost_of_keeping(*COURSE, 0.08, years) == pytest.approx(printed, abs=0.5)


@pytest.mark.parametrize(
    ("year", "printed"), [(1, 16_000), (2, 12_280), (3, 14_040), (4, 15_880), (5, 18_300)]
)
def test_marginal_cost_against_course_exercise(year: int, printed: int) -> None:
    """The same exercise: total annual costs of n and n-1 years differ by the marginal cost."""
    total = cost_of_keeping(*COURSE, 0.08, year) / capital_recovery(0.08, year)
    before = 0.0
    if year > 1:
        before = cost_of_keeping(*COURSE, 0.08, year - 1) / capital_recovery(0.08, year - 1)
    assert (total - before) / spv(0.08, year) == pytest.approx(printed, abs=0.5)


def test_economic_life_against_course_exercise() -> None:
    """The same exercise: three years."""
    assert min(range(1, 6), key=lambda n: cost_of_keeping(*COURSE, 0.08, n)) == 3


@pytest.mark.parametrize(("years", "printed"), [(1, 7_800), (2, 6_276), (3, 6_132)])
def test_annual_worth_against_blank_and_tarquin(years: int, printed: int) -> None:
    """Blank and Tarquin, Engineering Economy, Example 11.2, 10 %."""
    market, running = (9_000, 8_000, 6_000, 2_000, 0), (2_500, 2_700, 3_000, 3_500, 4_500)
    found = cost_of_keeping(13_000, market, running, 0.10, years)
    assert found == pytest.approx(printed, abs=0.5)


def test_economic_life_against_newnan() -> None:
    """Newnan, Eschenbach, Lavelle, 13th ed., problem 13-10, 9 %: 4 years, 17,240."""
    market = [50_000 * 0.8**year for year in range(1, 11)]
    running = [3_500 + 2_000 * year for year in range(10)]
    costs = {n: cost_of_keeping(50_000, market, running, 0.09, n) for n in range(1, 11)}
    assert min(costs, key=costs.__getitem__) == 4
    assert costs[4] == pytest.approx(17_240, abs=0.5)


def test_replacement_decision_against_white_case_pratt() -> None:
    """White, Case, Pratt, 5th ed., Example 11.10, 15 %: -428.56 a year, replace.

    The book multiplies 27,000 and 10,000 by factors rounded to five decimals.
    """
    keep = cost_of_keeping(
        9_000, (0, 0, 0, 0, 2_000), [7_000 + 1_000 * n for n in range(5)], 0.15, 5
    )
    replace = cost_of_keeping(36_000, (0, 0, 0, 0, 12_000), [1_000 * n for n in range(5)], 0.15, 5)
    assert replace - keep == pytest.approx(-428.56, abs=37_000 * 0.5e-5)
