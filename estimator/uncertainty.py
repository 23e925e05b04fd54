"""How sure the answer is: the cost of every path in many random futures.

All paths live through the same futures, so that what differs between them is the paths.
Failure years come from the survival curve by table; costs come from yearly tables.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Final, NamedTuple

import numpy as np
from pydantic import BaseModel, ConfigDict

from estimator.draws import (
    Factor,
    Floats,
    Ints,
    Repairs,
    Spread,
    Stream,
    fuel_price_paths,
    mean_one_factor,
    repairs_to_come,
    stream,
    years_lived,
)
from estimator.errors import InputTrouble
from estimator.life_cycle import (
    Challenger,
    Defender,
    Terms,
    Unit,
    cheapest_to_own,
    check_comparable,
    horizon_of,
    yearly_upkeep,
)
from estimator.survival import conditional_survival, mean_life_left

if TYPE_CHECKING:
    from collections.abc import Sequence

    from numpy.random import Generator
    from numpy.typing import NDArray

    from estimator.renewal import Horizon

    Bools = NDArray[np.bool_]

DRAWS: Final = 10_000
SEED: Final = 1
FEWEST_DRAWS: Final = 100
MOST_DRAWS: Final = 100_000
MOST_REPAIRS: Final = 5_000_000
"""Expected later repairs over all futures, above which they would fill the memory."""

BAND: Final = (0.10, 0.50, 0.90)


class _Frozen(BaseModel):
    model_config = ConfigDict(frozen=True, extra="forbid")


class Band(_Frozen):
    """Amounts [USD] that 10, 50 and 90 of 100 futures stay at or below."""

    low: float
    middle: float
    high: float


class PathFutures(_Frozen):
    """One path in all futures.

    `lcc` is the band of its life-cycle cost; `by_year` the band of the present value paid
    by the end of each year 0..N, before residual value; `mean` and `standard_error` [USD]
    are of the life-cycle cost. `chance_repair_cheaper` [1] is the share of futures in which
    repairing costs less than this path; ``None`` for the repair path itself.
    """

    name: str
    lcc: Band
    by_year: tuple[Band, ...]
    mean: float
    standard_error: float
    chance_repair_cheaper: float | None = None


class Futures(_Frozen):
    """All paths in the same random futures.

    `challengers` in the order given; `cheapest` is the one of the least expected
    life-cycle cost, and `chance_repair_cheaper` [1] is against that one;
    `chance_standard_error` [1] is what drawing more futures would make smaller.
    """

    draws: int
    seed: int
    spread: Spread
    repair: PathFutures
    challengers: tuple[PathFutures, ...]
    cheapest: str
    chance_repair_cheaper: float
    chance_standard_error: float


class _Chance(NamedTuple):
    """What befalls every path alike, in D futures of N years."""

    draws: int
    luck: _Luck
    energy: Factor  # what energy costs over what is expected, (N, D) or (1, D) or (1, 1)
    price: Factor  # what is bought later, and what is left, over what is expected, (D,)
    repairs: Repairs | None


class _Luck:
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


class _Failures(NamedTuple):
    """When the heaters of a path fail within the study.

    `year` and `draw` name each failure, shapes (K,); `first` is the year in which the
    heater of today fails, above N where it outlives the study, and `bought` the year in
    which the last heater of the path was bought, shapes (D,).
    """

    year: Ints
    draw: Ints
    first: Ints
    bought: Ints


class _Path(NamedTuple):
    """The heater of today, the one that it is renewed with, and when they fail."""

    today: Unit
    age_years: float
    later: Unit
    first_cost: float
    failures: _Failures


def draw_futures(
    defender: Defender,
    challengers: Sequence[Challenger],
    terms: Terms,
    spread: Spread | None = None,
    draws: int = DRAWS,
    seed: int = SEED,
) -> Futures:
    """Cost every path in the same random futures.

    Parameters
    ----------
    defender
        The heater in place, its age and the price of repairing it now.
    challengers
        The heaters that could replace it, at least one.
    terms
        Study period, rates, and what an unplanned failure costs.
    spread
        How far the future may stray from what is expected; the defaults where ``None``.
    draws
        How many futures, 100 to 100,000.
    seed
        Seed of the random numbers, 0 or more: the same one gives the same futures.

    Returns
    -------
    The chance that repairing is cheaper, and bands, mean and standard error of each path.

    Raises
    ------
    InputTrouble
        If there is no challenger, a unit has fewer price indices than the study has years,
        the number of draws or the seed is out of bounds, or the later repairs would fill
        the memory.

    Notes
    -----
    The conventions are those of `estimator.life_cycle.compare`: whole years, cash flows at
    their ends, the heater in place renewed with the cheapest challenger by expected cost,
    each challenger with itself. What is left at the end is credited by its mean life left.

    Common random numbers: the k-th new heater of every path draws the same luck, and all
    paths see the same prices, draw and later repairs. The price of energy strays alike for
    all fuels, which makes a change of fuel look surer than it is; the share of energy that
    goes with the draw is one for all heaters. Uncertainty of the life distribution itself,
    and of today's quoted prices, is not in it.

    The streams of numpy's generators are kept between its versions by custom, not by
    promise: keep the result, not only the seed, where it must stand.
    """
    check_comparable(defender, challengers, terms)
    _check_draws(draws, seed)
    spread = spread or Spread()
    if spread.later_repairs:
        _check_repairs((defender, *challengers), terms.years, draws)
    horizon = horizon_of(terms)
    chance = _chance((defender, *challengers), horizon, spread, draws, seed)
    cheapest = cheapest_to_own(challengers, terms)
    # One table of yearly costs serves all paths in turn: fresh memory costs more than the sums.
    table = np.empty((terms.years + 1, draws))
    replace = [
        _cost(_replacement_path(unit, chance, horizon), chance, horizon, table)
        for unit in challengers
    ]
    repair = _cost(_repair_path(defender, cheapest, chance, horizon), chance, horizon, table)
    cheaper = [float(np.mean(repair.lcc < cost.lcc)) for cost in replace]
    share = cheaper[[unit is cheapest for unit in challengers].index(True)]
    return Futures(
        draws=draws,
        seed=seed,
        spread=spread,
        repair=_summary(defender.name, repair),
        challengers=tuple(
            _summary(unit.name, cost, chance_cheaper)
            for unit, cost, chance_cheaper in zip(challengers, replace, cheaper, strict=True)
        ),
        cheapest=cheapest.name,
        chance_repair_cheaper=share,
        chance_standard_error=float(np.sqrt(share * (1.0 - share) / draws)),
    )


def _check_draws(draws: int, seed: int) -> None:
    if not FEWEST_DRAWS <= draws <= MOST_DRAWS:
        raise InputTrouble(
            f"The number of draws is {draws:,}; it must be from {FEWEST_DRAWS:,} to {MOST_DRAWS:,}",
            mend=f"Give another number; {DRAWS:,} is usual.",
        )
    if seed < 0:
        raise InputTrouble(
            f"The seed of the draws is {seed}; it must be 0 or more",
            mend="Give another seed.",
        )


def _check_repairs(units: Sequence[Unit], years: int, draws: int) -> None:
    often = max(units, key=lambda unit: unit.later_repairs_per_year)
    if often.later_repairs_per_year * years * draws > MOST_REPAIRS:
        raise InputTrouble(
            f"{often.name} needs {often.later_repairs_per_year:g} repairs a year, which comes to "
            f"more than {MOST_REPAIRS:,} in {draws:,} draws of {years} years",
            mend="Give fewer repairs a year, or fewer draws.",
        )


def _chance(
    units: Sequence[Unit], horizon: Horizon, spread: Spread, draws: int, seed: int
) -> _Chance:
    """Draw what befalls all paths alike."""
    years = horizon.years
    fuel = fuel_price_paths(stream(seed, Stream.FUEL_PRICE), spread.fuel_price, years, draws)
    drawn = mean_one_factor(stream(seed, Stream.HOT_WATER_DRAW), spread.hot_water_draw, draws)
    on_energy = 1.0 + spread.energy_with_draw * (drawn - 1.0)
    repairs = None
    if spread.later_repairs:
        highest = max(unit.later_repairs_per_year for unit in units)
        generator = stream(seed, Stream.LATER_REPAIRS)
        repairs = repairs_to_come(generator, highest, years, draws)
    return _Chance(
        draws=draws,
        luck=_Luck(stream(seed, Stream.LIVES), draws),
        energy=on_energy if fuel is None else np.multiply(fuel, on_energy, out=fuel),
        price=mean_one_factor(stream(seed, Stream.INSTALLED_PRICE), spread.installed_price, draws),
        repairs=repairs,
    )


def _replacement_path(unit: Challenger, chance: _Chance, horizon: Horizon) -> _Path:
    first = 1 + _years_lived(unit, 0.0, chance.luck.of(1), horizon)
    failures = _renewed(first, unit, 2, chance, horizon)
    return _Path(unit, 0.0, unit, unit.installed_price - unit.incentives, failures)


def _repair_path(defender: Defender, later: Challenger, chance: _Chance, horizon: Horizon) -> _Path:
    first = 1 + _years_lived(defender, defender.age_years, chance.luck.of(0), horizon)
    failures = _renewed(first, later, 1, chance, horizon)
    return _Path(defender, defender.age_years, later, defender.repair_price, failures)


def _years_lived(unit: Unit, age: float, uniforms: Floats, horizon: Horizon) -> Ints:
    elapsed = np.arange(horizon.years + 1, dtype=np.float64)
    return years_lived(conditional_survival(unit.life, age, elapsed), uniforms)


def _renewed(first: Ints, later: Unit, number: int, chance: _Chance, horizon: Horizon) -> _Failures:
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
    return _Failures(
        year=np.concatenate([*failed_years, draw]),
        draw=np.concatenate([*failed_draws, draw]),
        first=first,
        bought=bought,
    )


class _Cost(NamedTuple):
    """Life-cycle cost in each future [USD], shape (D,), and the band paid by each year's end."""

    lcc: Floats
    by_year: tuple[Band, ...]


def _cost(path: _Path, chance: _Chance, horizon: Horizon, table: Floats) -> _Cost:
    """Cost one path in every future; `table` is room to work in, shape (N+1, D)."""
    table[0] = path.first_cost
    _put_running(path, chance, horizon, table[1:])
    _add_renewals(path, chance, horizon, table)
    if chance.repairs is not None:
        _add_repairs(path, chance.repairs, horizon, table)
    for end in range(1, horizon.years + 1):
        table[end] += table[end - 1]
    lcc = table[-1] - _residual(path, horizon) * chance.price
    table.sort(axis=1)
    return _Cost(lcc, _bands(table))


def _add_renewals(path: _Path, chance: _Chance, horizon: Horizon, table: Floats) -> None:
    """Add what is bought after each failure, with urgency and damage."""
    year, draw = path.failures.year, path.failures.draw
    cost = path.later.installed_price * horizon.unplanned[year] * _of(chance.price, draw)
    # A path has one failure in a year at most, so that no sum is lost here.
    table.reshape(-1)[year * chance.draws + draw] += cost + horizon.damage[year]


def _of(factor: Factor, draw: Ints) -> Factor:
    return factor[draw] if isinstance(factor, np.ndarray) else factor


def _put_running(path: _Path, chance: _Chance, horizon: Horizon, out: Floats) -> None:
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


def _growth(path: _Path, draws: int, horizon: Horizon) -> Floats | None:
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


def _add_repairs(path: _Path, repairs: Repairs, horizon: Horizon, table: Floats) -> None:
    """Add those later repairs that befall the heater then running."""
    own, new = path.today, path.later
    still_own = repairs.year <= path.failures.first[repairs.draw]
    rate = np.where(still_own, own.later_repairs_per_year, new.later_repairs_per_year)
    price = np.where(still_own, own.later_repair_price, new.later_repair_price)
    befalls = repairs.mark < rate
    year, draw = repairs.year[befalls], repairs.draw[befalls]
    cell = year * table.shape[1] + draw
    np.add.at(table.reshape(-1), cell, price[befalls] * horizon.discount[year])


def _residual(path: _Path, horizon: Horizon) -> Floats:
    """Present value of what is left at the end of the study, shape (D,)."""
    years = horizon.years
    ages = np.arange(years + 1, dtype=np.float64)
    left = mean_life_left(path.later.life, ages) / mean_life_left(path.later.life, 0.0)
    own_left = mean_life_left(path.today.life, path.age_years + years)
    own = path.today.installed_price * own_left / mean_life_left(path.today.life, 0.0)
    new = path.later.installed_price * left[years - path.failures.bought]
    residual: Floats = np.where(path.failures.first > years, own, new) * horizon.planned[years]
    return residual


def _summary(name: str, cost: _Cost, chance_repair_cheaper: float | None = None) -> PathFutures:
    draws = len(cost.lcc)
    return PathFutures(
        name=name,
        lcc=_bands(np.sort(cost.lcc)[None, :])[0],
        by_year=cost.by_year,
        mean=float(cost.lcc.mean()),
        standard_error=float(cost.lcc.std(ddof=1) / np.sqrt(draws)),
        chance_repair_cheaper=chance_repair_cheaper,
    )


def _bands(rising: Floats) -> tuple[Band, ...]:
    """Return the band of each row, each sorted: the least amounts that the shares stay below."""
    at = [int(np.ceil(share * rising.shape[1])) - 1 for share in BAND]
    return tuple(Band(low=low, middle=mid, high=high) for low, mid, high in rising[:, at].tolist())
