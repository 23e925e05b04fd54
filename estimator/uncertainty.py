"""How sure the answer is: the cost of every path in many random futures.

All paths live through the same futures, so that what differs between them is the paths.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Final, NamedTuple

import numpy as np
from pydantic import BaseModel, ConfigDict

from estimator.comparison import Challenger, Defender, Terms, Unit
from estimator.drawn_paths import chance_of, cost_of, repair_path, replacement_path
from estimator.draws import Floats, Spread
from estimator.errors import InputTrouble
from estimator.life_cycle import cheapest_to_own, check_comparable
from estimator.paths import horizon_of

if TYPE_CHECKING:
    from collections.abc import Sequence

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
    chance = chance_of((defender, *challengers), horizon, spread, draws, seed)
    cheapest = cheapest_to_own(challengers, terms)
    # One table of yearly costs serves all paths in turn: fresh memory costs more than the sums.
    table = np.empty((terms.years + 1, draws))
    paths = [replacement_path(unit, chance, horizon) for unit in challengers]
    paths.append(repair_path(defender, cheapest, chance, horizon))
    *replace, repair = [
        _Cost(cost_of(path, chance, horizon, table), _bands(table)) for path in paths
    ]
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


class _Cost(NamedTuple):
    """Life-cycle cost in each future [USD], shape (D,), and the band paid by each year's end."""

    lcc: Floats
    by_year: tuple[Band, ...]


def _summary(name: str, cost: _Cost, chance_repair_cheaper: float | None = None) -> PathFutures:
    draws = len(cost.lcc)
    return PathFutures(
        name=name,
        lcc=_bands(cost.lcc[None, :].copy())[0],
        by_year=cost.by_year,
        mean=float(cost.lcc.mean()),
        standard_error=float(cost.lcc.std(ddof=1) / np.sqrt(draws)),
        chance_repair_cheaper=chance_repair_cheaper,
    )


def _bands(amounts: Floats) -> tuple[Band, ...]:
    """Sort each row in place and return the least amounts that the shares stay at or below."""
    amounts.sort(axis=1)
    at = [int(np.ceil(share * amounts.shape[1])) - 1 for share in BAND]
    return tuple(Band(low=low, middle=mid, high=high) for low, mid, high in amounts[:, at].tolist())
