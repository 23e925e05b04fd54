"""Cost of keeping a machine for one year, two years and so on, and the years that cost least.

The classical analysis of a defender and its challenger: the defender is kept as long as a
year of it costs less than a year of the challenger. Here the chance that it fails before is
in it.

References
----------
Blank and Tarquin, Engineering Economy, chapter 11; Newnan, Eschenbach and Lavelle,
Engineering Economic Analysis, chapter 13.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from estimator.discounting import spv
from estimator.errors import InputTrouble
from estimator.paths import horizon_of, yearly_upkeep
from estimator.renewal import keeping

if TYPE_CHECKING:
    from estimator.comparison import Terms, Unit


@dataclass(frozen=True)
class KeepingCost:
    """What a year costs when a machine is kept for 1..N years.

    Attributes
    ----------
    annual
        Equivalent cost of a year when kept for 1, 2, ... years [USD/yr].
    marginal
        Cost of keeping it for the 1st, 2nd, ... year, once that year begins [USD/yr].
    """

    annual: tuple[float, ...]
    marginal: tuple[float, ...]

    @property
    def economic_life_years(self) -> int:
        """Years of keeping at which a year costs least, the fewest of equals."""
        return int(np.argmin(self.annual)) + 1

    @property
    def least_per_year(self) -> float:
        """Cost of a year when kept for the economic life [USD/yr]."""
        return min(self.annual)


def keeping_cost(
    first_cost: float,
    yearly_cost: Sequence[float],
    rate: float,
    *,
    resale_price: Sequence[float] = (),
    alive: Sequence[float] = (),
) -> KeepingCost:
    """Return what a year costs when a machine is kept for one year, two years and so on.

    Parameters
    ----------
    first_cost
        What it takes to have it now: its price, or what it could be sold for, or the repair
        without which it does not run [USD].
    yearly_cost
        Cost of running it in each year 1..N, paid at the year's end [USD/yr].
    rate
        Discount rate [1/yr].
    resale_price
        What it can be sold for at the end of each year 1..N [USD]; nothing where not given.
    alive
        Chance that it still runs at the beginning of each year 1..N and at the end of the
        last, N+1 values from 1 down [1]; certain where not given.

    Returns
    -------
    The cost of a year by years kept, and of each further year.

    Raises
    ------
    InputTrouble
        If no year is given, or the rows differ in length.

    Notes
    -----
    With failure possible, cost and service are both expected, discounted and counted to the
    failure or to the end of the years kept: the first over the second is the cost of a year.
    A plan that costs less a year than the challenger's equivalent annual cost is worth more
    than replacing now, if that challenger at that cost follows whenever the machine is gone.

    References
    ----------
    Blank and Tarquin, Engineering Economy, chapter 11; Newnan, Eschenbach and Lavelle,
    Engineering Economic Analysis, chapter 13.
    """
    years = len(yearly_cost)
    values = [first_cost, *(resale_price or [0.0] * years)]
    chances = list(alive) or [1.0] * (years + 1)
    if not years or len(values) != years + 1 or len(chances) != years + 1:
        raise InputTrouble(
            f"There are {years} yearly costs, {len(values) - 1} resale prices and "
            f"{len(chances)} chances; the rows must be of one length, the chances one longer",
            mend="Give one of each for every year.",
        )
    annual, marginal = [], []
    paid, served = first_cost, 0.0
    for year in range(1, years + 1):
        worth = spv(rate, year)
        running_chance = chances[year - 1]
        paid += running_chance * yearly_cost[year - 1] * worth
        served += running_chance * worth
        annual.append((paid - chances[year] * values[year] * worth) / served)
        kept_value = chances[year] / running_chance * values[year] if running_chance else 0.0
        marginal.append(values[year - 1] * (1.0 + rate) - kept_value + yearly_cost[year - 1])
    return KeepingCost(tuple(annual), tuple(marginal))


def cost_of_owning(
    unit: Unit, first_cost: float, age: float, successor_price: float, terms: Terms
) -> KeepingCost:
    """Return what a year of a heater costs when it is run for one year, two years and so on.

    Parameters
    ----------
    unit
        The heater in place or a new one.
    first_cost
        What it takes to have it run now [USD]: the repair of the one, the price of the other.
    age
        Its age now [yr].
    successor_price
        Price of the heater that follows when it fails, installed on plan [USD].
    terms
        Rates, and the years that are looked at.

    Returns
    -------
    The cost of a year by years kept, and of each further year.

    Raises
    ------
    InputTrouble
        If the unit has fewer price indices than there are years to look at.

    Notes
    -----
    A year costs energy, upkeep, later repairs and, times the chance of failing in it, what
    an unplanned failure costs above a planned replacement: urgency and damage. A used heater
    can be sold for nothing. The heater that follows is not in it. Look at more years than
    either heater lasts: the years that a customer stays are not in this analysis, which asks
    what a year of hot water costs by the one and by the other.

    References
    ----------
    Newnan, Eschenbach and Lavelle, Engineering Economic Analysis, chapter 13.
    """
    horizon = horizon_of(terms)
    if len(unit.price_indices) < terms.years:
        raise InputTrouble(
            f"{unit.name} has {len(unit.price_indices)} price indices for {terms.years} years; "
            "it must have one for each year",
            mend="Give more indices or look at fewer years.",
        )
    kept = keeping(unit.life, np.array([age]), unit.price_indices, horizon)
    premium = (horizon.unplanned - horizon.planned) * successor_price + horizon.damage
    worth_paid = (
        kept.energy[0] * unit.energy_cost_per_year
        + kept.upkeep[0] * yearly_upkeep(unit)
        + kept.failing[0] * premium[1:]
    )
    alive = kept.alive[0]
    running = np.where(alive[:-1] > 0, alive[:-1], 1.0)
    yearly = worth_paid / (running * horizon.discount[1:])
    return keeping_cost(first_cost, yearly.tolist(), terms.real_discount_rate, alive=alive.tolist())
