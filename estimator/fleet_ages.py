"""The distinct ages of a fleet, and what each age alone decides."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from estimator.heater import DAYS_PER_YEAR
from estimator.survival import conditional_survival, mean_life_left

if TYPE_CHECKING:
    from estimator.renewal import Horizon
    from estimator.survival import LifeDistribution

Floats = NDArray[np.float64]

Spread = Callable[[Callable[[int], None], Iterable[int]], Iterable[None]]
"""Runs a function on each number: `map`, or that of a pool."""

STEPS_PER_YEAR = (DAYS_PER_YEAR, 100.0, 12.0)
"""Ages come as whole days, hundredths of a year, or months."""

_SLAB = 2_048


@dataclass(frozen=True, eq=False)
class DistinctAges:
    """The distinct ages that rows share, and where each row's age is among them.

    Attributes
    ----------
    ages
        Distinct ages [yr], shape (A,).
    place
        Place of each row's age in `ages`, -1 where it falls on no step, shape (n,).
    """

    ages: Floats
    place: NDArray[np.int32]

    @classmethod
    def of(cls, age_years: Floats, oldest_years: float, chunk_rows: int) -> DistinctAges:
        """Find the distinct ages without sorting.

        Parameters
        ----------
        age_years
            Age of each row [yr], shape (n,).
        oldest_years
            Greatest age that may occur [yr].
        chunk_rows
            Rows looked at together, which bounds the memory taken.

        Returns
        -------
        The ages; an age is shared only if a whole number of steps gives it back bit by bit.
        """
        sizes = [int(oldest_years * steps) + 2 for steps in STEPS_PER_YEAR]
        firsts = np.concatenate([[0], np.cumsum(sizes)])
        code = np.full(len(age_years), -1, dtype=np.int32)
        seen = np.zeros(int(firsts[-1]), dtype=bool)
        for start in range(0, len(age_years), chunk_rows):
            here = age_years[start : start + chunk_rows]
            found = code[start : start + chunk_rows]
            for steps_per_year, first in zip(STEPS_PER_YEAR, firsts[:-1], strict=True):
                steps = np.rint(here * steps_per_year)
                hit = (steps / steps_per_year == here) & (found < 0)
                np.copyto(found, (steps + first).astype(np.int32), where=hit)
                if hit.all():
                    break
            seen[found[found >= 0]] = True
        codes = np.flatnonzero(seen)
        rank = np.full(len(seen) + 1, -1, dtype=np.int32)  # the last place is for code -1
        rank[codes] = np.arange(len(codes), dtype=np.int32)
        which = np.searchsorted(firsts, codes, side="right") - 1
        ages = (codes - firsts[which]) / np.array(STEPS_PER_YEAR)[which]
        return cls(ages=ages, place=rank[code])


@dataclass(frozen=True, eq=False)
class AgeTable:
    """What the age of the heater in place decides, for A ages of one life.

    Attributes
    ----------
    alive
        Chance that it runs at the end of each year 0..N [1], shape (N+1, A).
    growth
        Growth of its energy use by now [1], shape (A,).
    left
        Present value at the study's end, per dollar of today's price, of one that still
        runs then [1], shape (A,).
    """

    alive: Floats
    growth: Floats
    left: Floats

    @classmethod
    def of(
        cls, life: LifeDistribution, ages: Floats, horizon: Horizon, spread: Spread = map
    ) -> AgeTable:
        """Work the table out, by the functions that serve one heater.

        Parameters
        ----------
        life
            Weibull with delay.
        ages
            The ages [yr], shape (A,).
        horizon
            The study.
        spread
            Runs a function over slabs of the ages, maybe several at a time.

        Returns
        -------
        The table.
        """
        elapsed = np.arange(horizon.years + 1, dtype=np.float64)
        new = mean_life_left(life, 0.0)
        alive = np.empty((len(elapsed), len(ages)))
        left = np.empty(len(ages))

        def fill(start: int) -> None:
            slab = slice(start, start + _SLAB)
            alive[:, slab] = conditional_survival(life, ages[None, slab], elapsed[:, None])
            left[slab] = mean_life_left(life, ages[slab] + horizon.years) / new

        # Slab by slab, so that what is needed on the way stays small.
        list(spread(fill, range(0, len(ages), _SLAB)))
        left *= horizon.planned[-1]
        return cls(alive=alive, growth=(1.0 + horizon.aging) ** ages, left=left)
