"""Textbook cases of keeping or replacing a machine, through the engine's own analysis.

What a machine could be sold for is known in them, so nothing is left to chance.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

import numpy as np
import numpy_financial as npf
import pytest
import pyxirr

from estimator.economic_life import KeepingCost, keeping_cost
from tests.published.row import Printed, rows


class Machine(NamedTuple):
    first: float
    market: Sequence[float]
    running: Sequence[float]
    rate: float

    def cost(self) -> KeepingCost:
        return keeping_cost(self.first, self.running, self.rate, resale_price=self.market)


COURSE = Machine(
    25_000, (16_000, 13_000, 11_000, 10_000, 9_500), (5_000, 8_000, 11_000, 14_000, 17_000), 0.08
)
BLANK = Machine(13_000, (9_000, 8_000, 6_000, 2_000, 0), (2_500, 2_700, 3_000, 3_500, 4_500), 0.10)
NEWNAN = Machine(
    50_000, [50_000 * 0.8**year for year in range(1, 11)],
    [3_500 + 2_000 * year for year in range(10)], 0.09,
)  # fmt: skip
SULLIVAN = Machine(
    30_000, (22_500, 16_875, 12_750, 9_750, 7_125), (3_000, 4_500, 7_000, 10_000, 13_000), 0.10
)
GENERATOR = Machine(
    9_500, (8_000, 7_000, 6_000, 5_000, 4_000, 3_000, 2_000, 1_000),
    (1_000, 1_000, 1_200, 1_500, 2_000, 2_000, 2_000, 3_000), 0.12,
)  # fmt: skip
FORKLIFT = Machine(
    30_000, (24_000, 19_200, 16_320, 13_872, 11_791.2, 10_022.52, 8_519.14, 7_241.27, 6_155.08),
    (400, 400, 750, 950, 1_150, 1_350, 1_550, 1_750, 1_950), 0.10,
)  # fmt: skip
OVERHAUL = Machine(4_000, (0, 0, 0, 0, 0), (1_800, 1_800, 2_800, 3_800, 4_800), 0.08)

COURSE_SOURCE = "engineering economy course exercise, 8 %"
BLANK_SOURCE = "Blank and Tarquin, Engineering Economy, Example 11.2, 10 %"
NEWNAN_SOURCE = "Newnan, Eschenbach, Lavelle, Engineering Economic Analysis, 13th ed., 13-10, 9 %"
SULLIVAN_SOURCE = (
    "Sullivan, Wicks, Koelling, Engineering Economy, Example 9-4, Table 9-2, 10 %, as quoted "
    "in a question-and-answer thread"
)
GENERATOR_SOURCE = "engineering economy course, assignment 5 with solutions (generator), 12 %"
FORKLIFT_SOURCE = (
    "Newnan, Eschenbach, Lavelle, problem 13-24, 10 %, worked in a question-and-answer thread"
)
OVERHAUL_SOURCE = "Newnan and others, Engineering Economic Analysis, chapter 13, overhaul, 8 %"


def annual(machine: Machine, years: int) -> float:
    return machine.cost().annual[years - 1]


def marginal(machine: Machine, year: int) -> float:
    return machine.cost().marginal[year - 1]


def by_year(
    name: str, function: object, machine: Machine, source: str, *printed: str, **named: object
) -> list[Printed]:
    return [
        Printed(f"{name}, year {year}", function, (machine, year), value, source, **named)  # type: ignore[arg-type]
        for year, value in enumerate(printed, start=1)
    ]


@rows(
    *by_year(
        "course EAC",
        annual,
        COURSE,
        COURSE_SOURCE,
        "16,000",
        "14,212",
        "14,159",
        "14,541",
        "15,181",
    ),
    *by_year("Blank AW", annual, BLANK, BLANK_SOURCE, "7,800", "6,276", "6,132"),
    Printed("Newnan 13-10 EUAC, year 4", annual, (NEWNAN, 4), "17,240", NEWNAN_SOURCE),
    *by_year(
        "Sullivan EUAC",
        annual,
        SULLIVAN,
        SULLIVAN_SOURCE,
        "13,500",
        "12,964",
        "12,918",
        "13,211",
        "13,766",
        within=0.7,
        note="the source adds up rounded factors and marginal costs",
    ),
    *by_year(
        "generator AEC",
        annual,
        GENERATOR,
        GENERATOR_SOURCE,
        "3640",
        "3319.25",
        "3236.5",
        "3233.07",
        "3290.81",
        "3314.16",
        "3318.68",
        "3393.52",
        within=0.35,
        note="the source multiplies by factors of four decimals",
    ),
    *by_year(
        "forklift EUAC",
        annual,
        FORKLIFT,
        FORKLIFT_SOURCE,
        "9400.00",
        "8542.86",
        "7638.67",
        "7076.58",
        "6673.87",
        "6365.91",
        "6122.40",
        "5926.29",
        "5766.79",
    ),
)
def test_annual_worth_against_textbooks(row: Printed) -> None:
    row.check()


@rows(
    *by_year(
        "course marginal cost",
        marginal,
        COURSE,
        COURSE_SOURCE,
        "16,000",
        "12,280",
        "14,040",
        "15,880",
        "18,300",
    ),
    *by_year(
        "Sullivan marginal cost",
        marginal,
        SULLIVAN,
        SULLIVAN_SOURCE,
        "13,500",
        "12,375",
        "12,813",
        "14,275",
        "16,600",
    ),
    *by_year(
        "overhaul marginal cost",
        marginal,
        OVERHAUL,
        OVERHAUL_SOURCE,
        "6120",
        "1800",
        "2800",
        "3800",
        "4800",
    ),
)
def test_marginal_cost_against_textbooks(row: Printed) -> None:
    row.check()


@pytest.mark.parametrize(
    ("machine", "years"), [(COURSE, 3), (NEWNAN, 4), (SULLIVAN, 3), (GENERATOR, 4)]
)
def test_economic_life_against_textbooks(machine: Machine, years: int) -> None:
    """The sources above: years 3, 4, 3 and 4."""
    assert machine.cost().economic_life_years == years


def test_year_of_replacement_against_newnan() -> None:
    """The overhaul again: year 5 costs 4800, above the challenger's 4589; kept 4 more years.

    The first year costs more than the challenger too, which is why it is the annual cost of
    the years kept, not the marginal cost of the first, that the decision now goes by.
    """
    found = OVERHAUL.cost()
    assert found.least_per_year < 4_589 < found.marginal[4]
    later = range(found.economic_life_years, 6)
    assert next(year for year in later if found.marginal[year - 1] > 4_589) == 5


def test_replacement_decision_against_white_case_pratt() -> None:
    """White, Case, Pratt, 5th ed., Example 11.10, 15 %: -428.56 a year, replace.

    The book multiplies 27,000 and 10,000 by factors rounded to five decimals.
    """
    keep = Machine(9_000, (0, 0, 0, 0, 2_000), [7_000 + 1_000 * n for n in range(5)], 0.15)
    replace = Machine(36_000, (0, 0, 0, 0, 12_000), [1_000 * n for n in range(5)], 0.15)
    assert annual(replace, 5) - annual(keep, 5) == pytest.approx(-428.56, abs=37_000 * 0.5e-5)


@rows(
    Printed(
        "keep 5 years, then a new press, 10 years",
        annual,
        (
            Machine(
                0,
                [0.0] * 9 + [15_000],
                [7_000, 8_000, 9_000, 10_000, 11_000 + 29_000, 0, 1_000, 2_000, 3_000, 4_000],
                0.15,
            ),
            10,
        ),
        "8,532.30",
        "White, Case, Pratt, 5th ed., Example 11.3, 15 %",
        within=0.5,
        note="the book multiplies by factors rounded to five decimals",
    ),
    Printed(
        "replace now, 10 years",
        annual,
        (Machine(27_000, [0.0] * 9 + [3_000], [1_000 * n for n in range(10)], 0.15), 10),
        "8,615.20",
        "White, Case, Pratt, 5th ed., Example 11.3, 15 %",
        within=0.5,
        note="the book multiplies by factors rounded to five decimals",
    ),
)
def test_ten_year_plans_against_white_case_pratt(row: Printed) -> None:
    row.check()


@pytest.mark.parametrize("seed", range(4))
def test_annual_cost_of_keeping_against_numpy_financial_and_pyxirr(seed: int) -> None:
    """`pmt` of the `npv` of each plan: first cost, yearly costs, and the sale at its end."""
    random = np.random.default_rng(seed)
    rate = float(random.uniform(0.01, 0.15))
    running, market = random.uniform(100, 900, 12), np.sort(random.uniform(0, 4_000, 12))[::-1]
    ours = keeping_cost(5_000, running.tolist(), rate, resale_price=market.tolist())
    for years in range(1, 13):
        flows = np.array([5_000, *running[:years]])
        flows[-1] -= market[years - 1]
        worth = npf.npv(rate, flows)
        assert ours.annual[years - 1] == pytest.approx(-npf.pmt(rate, years, worth), rel=1e-12)
        assert worth == pytest.approx(pyxirr.npv(rate, flows.tolist()), rel=1e-12)
        assert ours.annual[years - 1] == pytest.approx(-pyxirr.pmt(rate, years, worth), rel=1e-12)
