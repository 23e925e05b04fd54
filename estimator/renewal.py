"""Expected cost of owning a heater and each one after it, as coefficients.

The expected cost is linear in the energy cost, the upkeep and the installed price of a
unit. What multiplies them depends on its life, its age and the terms of the study alone:
that is what this module works out, so that a thousand heaters of one class and age
share one set of coefficients.

Present values throughout; year ``j`` ends ``j`` years from today.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from estimator.survival import conditional_survival, mean_life_left

if TYPE_CHECKING:
    from collections.abc import Sequence

    from estimator.survival import LifeDistribution

Floats = NDArray[np.float64]


@dataclass(frozen=True, eq=False)
class Horizon:
    """The years of a study and what a dollar is worth at the end of each.

    Attributes
    ----------
    years
        Study period N [yr].
    discount
        Present value factor of years 0..N [1], shape (N+1,).
    escalation
        Installed price over today's, of years 0..N [1], shape (N+1,).
    urgency_premium
        Extra share of the price that an unplanned replacement costs [1].
    failure_damage
        Expected loss at an unplanned failure [USD].
    aging
        Growth of energy use for each year of age [1/yr].
    """

    years: int
    discount: Floats
    escalation: Floats
    urgency_premium: float
    failure_damage: float
    aging: float

    @classmethod
    def of(
        cls,
        years: int,
        discount_rate: float,
        price_escalation: float,
        urgency_premium: float,
        failure_damage: float,
        aging: float,
    ) -> Horizon:
        """Build the yearly factors from the rates of a study."""
        at = np.arange(years + 1, dtype=np.float64)
        return cls(
            years=years,
            discount=(1.0 + discount_rate) ** -at,
            escalation=(1.0 + price_escalation) ** at,
            urgency_premium=urgency_premium,
            failure_damage=failure_damage,
            aging=aging,
        )

    @property
    def planned(self) -> Floats:
        """Present value of a planned replacement per dollar of today's price, shape (N+1,)."""
        return self.discount * self.escalation

    @property
    def unplanned(self) -> Floats:
        """The same for a replacement after a failure, without damage, shape (N+1,)."""
        return self.planned * (1.0 + self.urgency_premium)

    @property
    def damage(self) -> Floats:
        """Present value of the damage of one failure at each year's end [USD], shape (N+1,)."""
        return self.discount * self.failure_damage


@dataclass(frozen=True, eq=False)
class Keeping:
    """Coefficients of running one unit from some age until it fails or the study ends.

    With A ages and N years; present values.

    Attributes
    ----------
    energy
        Per dollar of yearly energy cost, by year 1..N [1], shape (A, N).
    upkeep
        Per dollar of yearly upkeep and later repairs, by year 1..N [1], shape (A, N).
    failing
        Chance that the unit fails in each year 1..N [1], shape (A, N).
    alive
        Chance that it runs at the end of each year 0..N [1], shape (A, N+1).
    residual
        Per dollar of its installed price, at the end of the study [1], shape (A,).
    """

    energy: Floats
    upkeep: Floats
    failing: Floats
    alive: Floats
    residual: Floats


@dataclass(frozen=True, eq=False)
class Renewing:
    """Coefficients of a unit that is new at the end of year ``i`` and renews with itself.

    Row ``i`` of 0..N; the purchase at ``i`` is not in it. Present values.

    Attributes
    ----------
    energy, upkeep, price
        Per dollar of yearly energy cost, yearly upkeep and installed price [1], shape (N+1,).
    constant
        What depends on none of the three: damage [USD], shape (N+1,).
    """

    energy: Floats
    upkeep: Floats
    price: Floats
    constant: Floats

    def cost(self, energy_cost: float, upkeep_cost: float, installed_price: float) -> Floats:
        """Return the expected cost from each year 0..N on [USD], shape (N+1,)."""
        return np.asarray(
            self.energy * energy_cost
            + self.upkeep * upkeep_cost
            + self.price * installed_price
            + self.constant
        )


def keeping(
    life: LifeDistribution, ages: Floats, price_indices: Sequence[float], horizon: Horizon
) -> Keeping:
    """Work out the coefficients of running units of some ages from today on.

    Parameters
    ----------
    life
        Weibull with delay.
    ages
        Age of the unit today [yr], shape (A,).
    price_indices
        Fuel price index of each year 1..N [1].
    horizon
        The study.

    Returns
    -------
    The coefficients, one row for each age.

    Notes
    -----
    A unit that fails in a year still has that whole year's running cost, paid at its end.
    """
    years = horizon.years
    elapsed = np.arange(years + 1, dtype=np.float64)
    alive = conditional_survival(life, ages[:, None], elapsed[None, :])
    worth = alive[:, :-1] * horizon.discount[1:]
    grown = (1.0 + horizon.aging) ** (ages[:, None] + elapsed[None, :-1])
    left = mean_life_left(life, ages + years) / mean_life_left(life, 0.0)
    return Keeping(
        energy=worth * grown * np.asarray(price_indices[:years]),
        upkeep=worth,
        failing=alive[:, :-1] - alive[:, 1:],
        alive=alive,
        residual=alive[:, -1] * left * horizon.planned[-1],
    )


@dataclass(frozen=True, eq=False)
class NewUnit:
    """One new unit by years since it was bought, before discounting.

    Attributes
    ----------
    alive
        Survival to the end of each year of its life 0..N [1], shape (N+1,).
    failing
        Chance of failure in each year of its life 1..N [1], shape (N,).
    growth
        Growth of energy use at the start of each year of its life [1], shape (N,).
    life_left
        Mean life left at the end of each year of its life, over that of a new one [1],
        shape (N+1,).
    """

    alive: Floats
    failing: Floats
    growth: Floats
    life_left: Floats

    @classmethod
    def of(cls, life: LifeDistribution, horizon: Horizon) -> NewUnit:
        """Lay out the life of a new unit over the years of a study."""
        elapsed = np.arange(horizon.years + 1, dtype=np.float64)
        alive = conditional_survival(life, 0.0, elapsed)
        left = mean_life_left(life, elapsed)
        return cls(
            alive=alive,
            failing=alive[:-1] - alive[1:],
            growth=(1.0 + horizon.aging) ** elapsed[:-1],
            life_left=left / left[0],
        )


def renewing(new: NewUnit, price_indices: Sequence[float], horizon: Horizon) -> Renewing:
    """Work out the coefficients of a new unit that renews with itself to the study's end.

    Parameters
    ----------
    new
        The life of a new unit.
    price_indices
        Fuel price index of each year 1..N [1].
    horizon
        The study.

    Returns
    -------
    The coefficients of starting anew at the end of each year 0..N.

    Notes
    -----
    Backward recursion: a failure in year ``j`` costs what it costs at its end, and from
    there on the expected cost of starting anew at ``j``.
    """
    years, planned_at_end = horizon.years, float(horizon.planned[-1])
    running_units = new.alive[:-1]
    grown_units = running_units * new.growth
    fuel_worth = horizon.discount[1:] * np.asarray(price_indices[:years], dtype=np.float64)
    left_units = new.alive * new.life_left * planned_at_end
    # Columns: energy, upkeep, price, constant. A failure costs `fixed` and what follows it.
    fixed = np.zeros((years + 1, 4))
    fixed[:, 2], fixed[:, 3] = horizon.unplanned, horizon.damage
    rows = np.zeros((years + 1, 4))
    rows[years, 2] = -planned_at_end  # bought at the very end: all of it is left
    following = fixed + rows
    for start in range(years - 1, -1, -1):
        span = years - start
        rows[start] = new.failing[:span] @ following[start + 1 :]
        rows[start, 0] += grown_units[:span] @ fuel_worth[start:]
        rows[start, 1] += running_units[:span] @ horizon.discount[start + 1 :]
        rows[start, 2] -= left_units[span]
        following[start] += rows[start]
    return Renewing(*rows.T)


def purchases(new: NewUnit, first: Floats) -> Floats:
    """Return the expected purchases at the end of each year, renewals of renewals in.

    Parameters
    ----------
    new
        The life of a new unit.
    first
        Expected purchases that do not come from the failure of a unit bought within the
        study, by year 0..N [1], shape (N+1,).

    Returns
    -------
    Expected purchases by year 0..N [1], shape (N+1,).
    """
    bought = first.copy()
    for year in range(1, len(first)):
        bought[year] += bought[:year] @ new.failing[year - 1 :: -1]
    return bought


def running(
    new: NewUnit, bought: Floats, price_indices: Sequence[float], horizon: Horizon
) -> tuple[Floats, Floats, float]:
    """Return what the units bought within the study cost to run, year by year.

    Parameters
    ----------
    new
        The life of a new unit.
    bought
        Expected purchases by year 0..N [1], shape (N+1,).
    price_indices
        Fuel price index of each year 1..N [1].
    horizon
        The study.

    Returns
    -------
    Per dollar of yearly energy cost and of yearly upkeep, by year 1..N, shapes (N,); and
    the residual at the end of the study per dollar of installed price [1].
    """
    years = horizon.years
    running_units = np.convolve(bought, new.alive[:-1])[:years]
    energy_units = np.convolve(bought, new.alive[:-1] * new.growth)[:years]
    discount = horizon.discount[1:]
    residual = float(bought @ (new.alive * new.life_left)[::-1]) * horizon.planned[-1]
    indices = np.asarray(price_indices[:years], dtype=np.float64)
    return energy_units * discount * indices, running_units * discount, residual
