"""Random futures of a study: lives, fuel price, hot water, later repairs, later prices.

Every factor has the mean 1 and is independent of the others, and the cost of a path is
linear in each; so the mean cost over the futures meets the exact expectation of
`estimator.life_cycle`, whatever the spreads.

Each kind of chance has a random stream of its own: turning one spread off leaves the
draws of the others as they were.
"""

from __future__ import annotations

from enum import IntEnum
from typing import TYPE_CHECKING, Annotated, NamedTuple

import numpy as np
from numpy.typing import NDArray
from pydantic import BaseModel, ConfigDict, Field

if TYPE_CHECKING:
    from numpy.random import Generator

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
Factor = Floats | float

COMMON_PRACTICE = "common practice, no source"


class Spread(BaseModel):
    """How far the future may stray from what is expected; 0 is not at all.

    Lives are always drawn. Each default is common practice, no source.
    """

    model_config = ConfigDict(frozen=True, extra="forbid")

    fuel_price_deviation: Annotated[float, Field(ge=0, le=1, allow_inf_nan=False)] = Field(
        default=0.08,
        description="standard deviation of one year's change in the price of energy, over that "
        f"price; the changes add up [1]; {COMMON_PRACTICE}",
    )
    hot_water_draw_deviation: Annotated[float, Field(ge=0, le=2, allow_inf_nan=False)] = Field(
        default=0.20,
        description="standard deviation of the hot water that this household draws, over the "
        f"draw assumed [1]; {COMMON_PRACTICE}",
    )
    energy_with_draw: Annotated[float, Field(ge=0, le=1)] = Field(
        default=0.75,
        description="share of a heater's energy that goes up and down with the draw, the rest "
        f"is standby loss [1]; {COMMON_PRACTICE}",
    )
    installed_price_deviation: Annotated[float, Field(ge=0, le=2, allow_inf_nan=False)] = Field(
        default=0.15,
        description="standard deviation of the price of a heater bought later, over the price "
        f"expected; today's prices are quoted and firm [1]; {COMMON_PRACTICE}",
    )
    later_repairs: bool = Field(
        default=True,
        description="later repairs come one by one, by chance; else their expected cost is "
        "paid every year",
    )


LIVES_ALONE = Spread(
    fuel_price_deviation=0,
    hot_water_draw_deviation=0,
    installed_price_deviation=0,
    later_repairs=False,
)
"""Nothing but lives by chance."""


class Stream(IntEnum):
    """One random stream for each kind of chance; the numbers are part of every result."""

    LIVES = 1
    FUEL_PRICE = 2
    HOT_WATER_DRAW = 3
    INSTALLED_PRICE = 4
    LATER_REPAIRS = 5


class Repairs(NamedTuple):
    """Later repairs that may befall a heater, at the highest rate of all heaters.

    Attributes
    ----------
    year, draw
        Year 1..N and future of each, shapes (K,).
    mark
        It befalls those heaters that need more than `mark` repairs a year [1/yr], shape (K,).
    """

    year: Ints
    draw: Ints
    mark: Floats


def stream(seed: int, which: Stream) -> Generator:
    """Return the random numbers of one kind of chance.

    Parameters
    ----------
    seed
        Seed of all futures, 0 or more.
    which
        The kind of chance.

    Returns
    -------
    A generator at its beginning.
    """
    return np.random.Generator(np.random.PCG64([seed, which]))


def years_lived(alive: Floats, uniforms: Floats) -> Ints:
    """Return the whole steps of a survival table that each draw outlives.

    Parameters
    ----------
    alive
        Survival to the end of steps 0..N, falling from 1 [1], shape (N+1,).
    uniforms
        Uniform random numbers, 0 to below 1, shape (K,).

    Returns
    -------
    Steps 0..N, shape (K,). A unit that outlives ``n < N`` steps fails in step ``n + 1``;
    one that outlives N has not failed within the table.

    Notes
    -----
    Inverse of the survival curve: a unit outlives step ``j`` with the chance ``alive[j]``
    when it does so for uniform numbers below ``alive[j]``. The same number gives a long
    life for every heater: lives of different heaters go up and down together.
    """
    rising = alive[:0:-1]
    lived: Ints = len(rising) - rising.searchsorted(uniforms, side="right")
    return lived


def mean_one_factor(generator: Generator, deviation: float, draws: int) -> Factor:
    """Return lognormal factors of mean 1.

    Parameters
    ----------
    generator
        Where the random numbers come from.
    deviation
        Standard deviation of the factor [1].
    draws
        How many futures D.

    Returns
    -------
    One factor for each future [1], shape (D,); the number 1 where the deviation is 0.
    """
    if deviation == 0:
        return 1.0
    variance = np.log1p(deviation**2)
    factor: Floats = np.exp(np.sqrt(variance) * generator.standard_normal(draws) - 0.5 * variance)
    return factor


def fuel_price_paths(
    generator: Generator, deviation: float, years: int, draws: int
) -> Floats | None:
    """Return paths of the price of energy over the price expected.

    Parameters
    ----------
    generator
        Where the random numbers come from.
    deviation
        Standard deviation of one year's change [1].
    years
        Study period N [yr].
    draws
        How many futures D.

    Returns
    -------
    Factors on the price of years 1..N [1], shape (N, D); ``None`` where the deviation is 0.

    Notes
    -----
    A random walk of the logarithm, each year's mean held at 1: the spread grows with the
    square root of the years. One path holds for all fuels.
    """
    if deviation == 0:
        return None
    variance = np.log1p(deviation**2)
    paths = generator.standard_normal((years, draws))
    paths *= np.sqrt(variance)
    paths -= 0.5 * variance
    for year in range(1, years):
        paths[year] += paths[year - 1]
    return np.exp(paths, out=paths)


def repairs_to_come(generator: Generator, highest_rate: float, years: int, draws: int) -> Repairs:
    """Draw later repairs for the heater that needs most, marked so as to serve for all.

    Parameters
    ----------
    generator
        Where the random numbers come from.
    highest_rate
        Repairs a year of the heater that needs most [1/yr].
    years
        Study period N [yr].
    draws
        How many futures D.

    Returns
    -------
    The repairs over all years and futures.

    Notes
    -----
    Poisson counts, thinned by their mark: a heater of half the rate has half of the same
    repairs, its counts again Poisson.
    """
    count = int(generator.poisson(highest_rate * years * draws))
    cell = generator.integers(0, years * draws, count)
    year, draw = np.divmod(cell, draws)
    return Repairs(year + 1, draw, highest_rate * generator.random(count))
