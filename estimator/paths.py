"""The cost of one path: a challenger made ready, and the heater in place renewed with it.

What `estimator.life_cycle` compares. Present values, the study's years at their ends.
"""

from __future__ import annotations

from functools import lru_cache
from typing import TYPE_CHECKING, NamedTuple

import numpy as np
from numpy.typing import NDArray

from estimator.comparison import Challenger, PathCost
from estimator.renewal import Horizon, NewUnit, Renewing, purchases, renewing, running

if TYPE_CHECKING:
    from estimator.comparison import Defender, Terms, Unit
    from estimator.renewal import Keeping
    from estimator.survival import LifeDistribution

Floats = NDArray[np.float64]


class ReadyChallenger(NamedTuple):
    """A challenger made ready: its life when new and its coefficients of renewal."""

    unit: Challenger
    new: NewUnit
    renewing: Renewing
    cost_from: Floats  # expected cost of starting anew at each year 0..N, purchase not in it
    first_cost: float

    @property
    def lcc(self) -> float:
        """Life-cycle cost of replacing with it now [USD]."""
        return self.first_cost + float(self.cost_from[0])


def yearly_upkeep(unit: Unit) -> float:
    """Return what a unit costs a year besides energy.

    Parameters
    ----------
    unit
        A defender or challenger.

    Returns
    -------
    Upkeep plus expected later repairs [USD/yr].
    """
    return unit.upkeep_per_year + unit.later_repairs_per_year * unit.later_repair_price


@lru_cache(maxsize=32)
def horizon_of(terms: Terms) -> Horizon:
    """Lay out the years of a study.

    Parameters
    ----------
    terms
        Study period, rates, and what an unplanned failure costs.

    Returns
    -------
    The yearly factors that the terms come to.
    """
    return Horizon.of(
        terms.years,
        terms.real_discount_rate,
        terms.install_price_escalation,
        terms.urgency_premium,
        terms.failure_damage,
        terms.aging,
    )


def made_ready(unit: Challenger, horizon: Horizon) -> ReadyChallenger:
    """Work out what depends on a challenger alone.

    Parameters
    ----------
    unit
        The challenger.
    horizon
        The study.

    Returns
    -------
    The challenger with its life when new and its cost from each year on.
    """
    new, coefficients = _coefficients(unit.life, unit.price_indices, horizon)
    return ReadyChallenger(
        unit=unit,
        new=new,
        renewing=coefficients,
        cost_from=coefficients.cost(
            unit.energy_cost_per_year, yearly_upkeep(unit), unit.installed_price
        ),
        first_cost=unit.installed_price - unit.incentives,
    )


def failure_cost(path: ReadyChallenger, horizon: Horizon) -> Floats:
    """Return the price of replacing after a failure at the end of each year.

    Parameters
    ----------
    path
        The challenger that is bought then.
    horizon
        The study.

    Returns
    -------
    Present value of price, urgency and damage at the end of years 0..N [USD], shape (N+1,).
    """
    return path.unit.installed_price * horizon.unplanned + horizon.damage


def replacement_path(path: ReadyChallenger, horizon: Horizon, recovery: float) -> PathCost:
    """Return what replacing now costs, year by year.

    Parameters
    ----------
    path
        The challenger, which renews with itself.
    horizon
        The study.
    recovery
        Capital recovery factor of the study [1/yr].

    Returns
    -------
    The cost of the path.
    """
    first = np.zeros(horizon.years + 1)
    first[0] = 1.0
    run, bought, residual = _flows_of_new(path, first, horizon)
    paid = bought[1:] * failure_cost(path, horizon)[1:]
    return _path_cost(path.unit.name, path.first_cost, run, paid, residual, recovery)


def repair_path(
    defender: Defender, kept: Keeping, cheapest: ReadyChallenger, horizon: Horizon, recovery: float
) -> PathCost:
    """Return what repairing now costs, year by year.

    Parameters
    ----------
    defender
        The heater in place.
    kept
        The coefficients of keeping it at its age.
    cheapest
        The challenger that it is renewed with.
    horizon
        The study.
    recovery
        Capital recovery factor of the study [1/yr].

    Returns
    -------
    The cost of the path.
    """
    first = np.concatenate([[0.0], kept.failing[0]])
    run, bought, residual = _flows_of_new(cheapest, first, horizon)
    run = run + kept.energy[0] * defender.energy_cost_per_year
    run = run + kept.upkeep[0] * yearly_upkeep(defender)
    residual += float(kept.residual[0]) * defender.installed_price
    paid = bought[1:] * failure_cost(cheapest, horizon)[1:]
    return _path_cost(defender.name, defender.repair_price, run, paid, residual, recovery)


def repair_lcc(
    defender: Defender, kept: Keeping, cheapest: ReadyChallenger, horizon: Horizon
) -> Floats:
    """Return the life-cycle cost of repairing now, for each age in `kept`.

    Parameters
    ----------
    defender
        The heater in place; its own age is not looked at.
    kept
        The coefficients of keeping it at some ages.
    cheapest
        The challenger that it is renewed with.
    horizon
        The study.

    Returns
    -------
    Life-cycle cost [USD], shape (A,).
    """
    after_failure = failure_cost(cheapest, horizon)[1:] + cheapest.cost_from[1:]
    return np.asarray(
        defender.repair_price
        + kept.energy.sum(axis=1) * defender.energy_cost_per_year
        + kept.upkeep.sum(axis=1) * yearly_upkeep(defender)
        + kept.failing @ after_failure
        - kept.residual * defender.installed_price
    )


@lru_cache(maxsize=256)
def _coefficients(
    life: LifeDistribution, price_indices: tuple[float, ...], horizon: Horizon
) -> tuple[NewUnit, Renewing]:
    """Life and renewal of a new unit; neither price nor energy cost changes them.

    A horizon is its own key: `horizon_of` gives the same one for the same terms.
    """
    new = NewUnit.of(life, horizon)
    return new, renewing(new, price_indices, horizon)


def _flows_of_new(
    path: ReadyChallenger, first: Floats, horizon: Horizon
) -> tuple[Floats, Floats, float]:
    """Return running cost and purchases by year, and residual, of all units of a challenger."""
    bought = purchases(path.new, first)
    energy, upkeep, residual = running(path.new, bought, path.unit.price_indices, horizon)
    run = energy * path.unit.energy_cost_per_year + upkeep * yearly_upkeep(path.unit)
    return run, bought, residual * path.unit.installed_price


def _path_cost(
    name: str, first_cost: float, run: Floats, paid: Floats, residual: float, recovery: float
) -> PathCost:
    running_paid = np.concatenate([[0.0], np.cumsum(run)])
    heaters_paid = first_cost + np.concatenate([[0.0], np.cumsum(paid)])
    cumulative = running_paid + heaters_paid
    lcc = float(cumulative[-1]) - residual
    return PathCost(
        name=name,
        lcc=lcc,
        equivalent_annual_cost=lcc * recovery,
        first_cost=first_cost,
        residual=residual,
        cumulative=tuple(cumulative.tolist()),
        running=tuple(running_paid.tolist()),
    )
