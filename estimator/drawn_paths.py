"""The paths of a comparison, lived through drawn futures.

Failure years come from the survival curve by table, costs from yearly tables: a path has
few renewals, so that most of the work is adding up years.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

import numpy as np

from estimator.draws import (
    Factor,
    Floats,
    Ints,
    Repairs,
    Stream,
    fuel_price_paths,
    mean_one_factor,
    repairs_to_come,
    stream,
    years_lived,
)
from estimator.paths import yearly_upkeep
from estimator.survival import conditional_survival, mean_life_left

if TYPE_CHECKING:
    from collections.abc import Sequence

    from numpy.random import Generator

    from estimator.comparison import Challenger, Defender, Unit
    from estimator.draws import Spread
    from estimator.renewal import Horizon


class Chance(NamedTuple):
    """What befalls every path alike, in D futures of N years."""

    draws: int
    luck: Luck
    energy: Factor  # what energy costs over what is expected, (N, D) or (1, D) or (1, 1)
    price: Factor  # what is bought later, and what is left, over what is expected, (D,)
    repairs: Repairs | None


class Luck:
    """Luck of the k-th heater that a path buys, drawn when first asked for.

    Number 0 is that of the heater in place.
    """

    def __init__(self, generator: Generator, draws: int) -> None:
        self._generator, self._draws = generator, draws
        self._drawn: list[Floats] = []

    def of(self, number: int) -> Floats:
        """Return uniform random numbers, one for each future, shape (D,)."""
        while len(self._drawn) <= number:
            self._drawn.append(self._generator.random(self._draws))
        return self._drawn[number]


class Failures(NamedTuple):
    """When the heaters of a path fail within the study.

    `year` and `draw` name each failure, shapes (K,); `first` is the year in which the
    heater of today fails, above N where it outlives the study, and `bought` the year in
    which the last heater of the path was bought, shapes (D,).
    """

    year: Ints
    draw: Ints
    first: Ints
    bought: Ints


class DrawnPath(NamedTuple):
    """The heater of today, the one that it is renewed with, and when they fail."""

    today: Unit
    age_years: float
    later: Unit
    first_cost: float
    failures: Failures


def chance_of(
    units: Sequence[Unit], horizon: Horizon, spread: Spread, draws: int, seed: int
) -> Chance:
    """Draw what befalls all paths alike.

    Parameters
    ----------
    units
        All heaters, for the highest rate of later repairs.
    horizon
        The study.
    spread
        How far the future may stray from what is expected.
    draws, seed
        How many futures D, and the seed of their random numbers.

    Returns
    -------
    The futures.
    """
    years = horizon.years
    fuel = fuel_price_paths(
        stream(seed, Stream.FUEL_PRICE), spread.fuel_price_deviation, years, draws
    )
    drawn = mean_one_factor(
        stream(seed, Stream.HOT_WATER_DRAW), spread.hot_water_draw_deviation, draws
    )
    on_energy = 1.0 + spread.energy_with_draw * (drawn - 1.0)
    repairs = None
    if spread.later_repairs:
        highest = max(unit.later_repairs_per_year for unit in units)
        generator = stream(seed, Stream.LATER_REPAIRS)
        repairs = repairs_to_come(generator, highest, years, draws)
    return Chance(
        draws=draws,
        luck=Luck(stream(seed, Stream.LIVES), draws),
        energy=on_energy if fuel is None else np.multiply(fuel, on_energy, out=fuel),
        price=mean_one_factor(
            stream(seed, Stream.INSTALLED_PRICE), spread.installed_price_deviation, draws
        ),
        repairs=repairs,
    )


def replacement_path(unit: Challenger, chance: Chance, horizon: Horizon) -> DrawnPath:
    """Follow a challenger bought today and renewed with itself.

    Parameters
    ----------
    unit
        The challenger.
    chance, horizon
        The futures and the study.

    Returns
    -------
    The path.
    """
    first = 1 + _years_lived(unit, 0.0, chance.luck.of(1), horizon)
    failures = _renewed(first, unit, 2, chance, horizon)
    return DrawnPath(unit, 0.0, unit, unit.installed_price - unit.incentives, failures)


def repair_path(
    defender: Defender, later: Challenger, chance: Chance, horizon: Horizon
) -> DrawnPath:
    """Follow the heater in place, repaired today, and those after it.

    Parameters
    ----------
    defender
        The heater in place.
    later
        The challenger that it is renewed with.
    chance, horizon
        The futures and the study.

    Returns
    -------
    The path.
    """
    first = 1 + _years_lived(defender, defender.age_years, chance.luck.of(0), horizon)
    failures = _renewed(first, later, 1, chance, horizon)
    return DrawnPath(defender, defender.age_years, later, defender.repair_price, failures)


def _years_lived(unit: Unit, age: float, uniforms: Floats, horizon: Horizon) -> Ints:
    elapsed = np.arange(horizon.years + 1, dtype=np.float64)
    return years_lived(conditional_survival(unit.life, age, elapsed), uniforms)


def _renewed(first: Ints, later: Unit, number: int, chance: Chance, horizon: Horizon) -> Failures:
    """Follow renewals to the end of the study; `number` is that of the first renewal's luck."""
    years = horizon.years
    bought = np.zeros(chance.draws, dtype=np.int64)
    draw = np.flatnonzero(first <= years)
    year = first[draw]
    failed_years, failed_draws = [], []
    while draw.size:
        bought[draw] = year
        failed_years.append(year)
        failed_draws.append(draw)
        lived = _years_lived(later, 0.0, chance.luck.of(number)[draw], horizon)
        again = year + lived < years
        draw, year = draw[again], (year + lived)[again] + 1
        number += 1
    return Failures(
        year=np.concatenate([*failed_years, draw]),
        draw=np.concatenate([*failed_draws, draw]),
        first=first,
        bought=bought,
    )


def cost_of(path: DrawnPath, chance: Chance, horizon: Horizon, table: Floats) -> Floats:
    """Cost one path in every future.

    Parameters
    ----------
    path
        The path.
    chance
        What befalls every path alike.
    horizon
        The study.
    table
        Written over with the present value paid by the end of each year 0..N, before
        residual value [USD], shape (N+1, D).

    Returns
    -------
    Life-cycle cost in each future [USD], shape (D,).
    """
    table[0] = path.first_cost
    _put_running(path, chance, horizon, table[1:])
    _add_renewals(path, chance, horizon, table)
    if chance.repairs is not None:
        _add_repairs(path, chance.repairs, horizon, table)
    for end in range(1, horizon.years + 1):
        table[end] += table[end - 1]
    return np.asarray(table[-1] - _residual(path, horizon) * chance.price)


def _add_renewals(path: DrawnPath, chance: Chance, horizon: Horizon, table: Floats) -> None:
    """Add what is bought after each failure, with urgency and damage."""
    year, draw = path.failures.year, path.failures.draw
    cost = path.later.installed_price * horizon.unplanned[year] * _of(chance.price, draw)
    # A path has one failure in a year at most, so that no sum is lost here.
    table.reshape(-1)[year * chance.draws + draw] += cost + horizon.damage[year]


def _of(factor: Factor, draw: Ints) -> Factor:
    return factor[draw] if isinstance(factor, np.ndarray) else factor


def _put_running(path: DrawnPath, chance: Chance, horizon: Horizon, out: Floats) -> None:
    """Put the running cost of each year 1..N into `out`, shape (N, D)."""
    energy = np.broadcast_to(chance.energy, out.shape)
    growth = _growth(path, chance.draws, horizon)
    counted = chance.repairs is not None
    own, new = _yearly(path.today, horizon, counted), _yearly(path.later, horizon, counted)
    for at in range(horizon.years):
        energy_cost: Factor = own.energy[at]
        upkeep: Factor = own.upkeep[at]
        if path.today is not path.later:
            still_own = path.failures.first > at
            energy_cost = np.where(still_own, energy_cost, new.energy[at])
            upkeep = np.where(still_own, upkeep, new.upkeep[at])
        np.multiply(energy[at], energy_cost, out=out[at])
        if growth is not None:
            out[at] *= growth[at]
        out[at] += upkeep


class _Yearly(NamedTuple):
    """Present value of a unit's energy, not aged, and upkeep in each year 1..N [USD]."""

    energy: Floats
    upkeep: Floats


def _yearly(unit: Unit, horizon: Horizon, counted: bool) -> _Yearly:
    discount = horizon.discount[1:]
    indices = np.asarray(unit.price_indices[: horizon.years])
    upkeep = unit.upkeep_per_year if counted else yearly_upkeep(unit)
    return _Yearly(unit.energy_cost_per_year * indices * discount, upkeep * discount)


def _growth(path: DrawnPath, draws: int, horizon: Horizon) -> Floats | None:
    """Growth of energy use with the age of the heater then running, shape (N, D)."""
    if horizon.aging == 0:
        return None
    renewed = np.zeros((horizon.years + 1, draws), dtype=np.bool_)
    renewed[path.failures.year, path.failures.draw] = True
    growth = np.empty((horizon.years, draws))
    growth[0] = (1.0 + horizon.aging) ** path.age_years
    for at in range(1, horizon.years):
        np.multiply(growth[at - 1], 1.0 + horizon.aging, out=growth[at])
        growth[at][renewed[at]] = 1.0
    return growth


def _add_repairs(path: DrawnPath, repairs: Repairs, horizon: Horizon, table: Floats) -> None:
    """Add those later repairs that befall the heater then running."""
    own, new = path.today, path.later
    still_own = repairs.year <= path.failures.first[repairs.draw]
    rate = np.where(still_own, own.later_repairs_per_year, new.later_repairs_per_year)
    price = np.where(still_own, own.later_repair_price, new.later_repair_price)
    befalls = repairs.mark < rate
    year, draw = repairs.year[befalls], repairs.draw[befalls]
    cell = year * table.shape[1] + draw
    np.add.at(table.reshape(-1), cell, price[befalls] * horizon.discount[year])


def _residual(path: DrawnPath, horizon: Horizon) -> Floats:
    """Present value of what is left at the end of the study, shape (D,)."""
    years = horizon.years
    ages = np.arange(years + 1, dtype=np.float64)
    left = mean_life_left(path.later.life, ages) / mean_life_left(path.later.life, 0.0)
    own_left = mean_life_left(path.today.life, path.age_years + years)
    own = path.today.installed_price * own_left / mean_life_left(path.today.life, 0.0)
    new = path.later.installed_price * left[years - path.failures.bought]
    residual: Floats = np.where(path.failures.first > years, own, new) * horizon.planned[years]
    return residual
