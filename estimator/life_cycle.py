"""Exact expected life-cycle cost of keeping a heater and of replacing it.

The heater in place is the defender, a new one a challenger. No sampling: the expectation
over all failures and renewals within the study is worked out by `estimator.renewal`.

References
----------
ASTM E917; NIST Handbook 135, Life-Cycle Costing Manual.
"""

from __future__ import annotations

from functools import lru_cache
from typing import TYPE_CHECKING, Annotated, NamedTuple

import numpy as np
from numpy.typing import NDArray
from pydantic import BaseModel, ConfigDict, Field

from estimator.discounting import capital_recovery
from estimator.errors import InputTrouble
from estimator.renewal import (
    Horizon,
    Keeping,
    NewUnit,
    Renewing,
    keeping,
    purchases,
    renewing,
    running,
)
from estimator.survival import LifeDistribution

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence

Floats = NDArray[np.float64]

OLDEST_AGE_YEARS = 150.0

Amount = Annotated[float, Field(ge=0, le=1e9, allow_inf_nan=False)]


class _Frozen(BaseModel):
    model_config = ConfigDict(frozen=True, extra="forbid")


class Terms(_Frozen):
    """Study period and terms common to all paths; amounts in constant dollars."""

    years: Annotated[int, Field(ge=1, le=40)]
    real_discount_rate: Annotated[float, Field(gt=-0.5, lt=1, allow_inf_nan=False)] = 0.03
    install_price_escalation: Annotated[float, Field(gt=-0.5, lt=1, allow_inf_nan=False)] = 0.0
    urgency_premium: Annotated[float, Field(ge=0, le=5, allow_inf_nan=False)] = 0.0
    failure_damage: Amount = 0.0
    aging: Annotated[float, Field(ge=0, le=0.2, allow_inf_nan=False)] = 0.0


class Unit(_Frozen):
    """A heater as the engine sees it.

    `price_indices` [1] has one index of its fuel's price for each year of the study,
    base 1 today. `installed_price` [USD] of the defender is that of a like-for-like unit.
    """

    name: str
    life: LifeDistribution
    energy_cost_per_year: Amount
    price_indices: tuple[Annotated[float, Field(gt=0, le=100)], ...]
    upkeep_per_year: Amount = 0.0
    later_repairs_per_year: Annotated[float, Field(ge=0, le=10)] = 0.0
    later_repair_price: Amount = 0.0
    installed_price: Amount


class Defender(Unit):
    """The heater in place, of `age_years` [yr], with the price of repairing it now [USD]."""

    age_years: Annotated[float, Field(ge=0, le=150, allow_inf_nan=False)]
    repair_price: Amount


class Challenger(Unit):
    """A heater that could replace it; `incentives` [USD] apply to the first purchase only."""

    incentives: Amount = 0.0


class PathCost(_Frozen):
    """Life-cycle cost [USD], equivalent annual cost [USD/yr] and what they are made of.

    `cumulative` [USD] is the expected present value paid by the end of each year 0..N,
    before residual value; `residual` [USD] the present value of what is left at the end of
    the study: ``lcc == cumulative[-1] - residual``. `running` [USD] is the part of
    `cumulative` that is energy, upkeep and later repairs; the rest is the price of heaters
    and of failures.
    """

    name: str
    lcc: float
    equivalent_annual_cost: float
    first_cost: float
    residual: float
    cumulative: tuple[float, ...]
    running: tuple[float, ...] = ()


class PlannedReplacement(_Frozen):
    """Repair now, replace on plan at the end of `year`: its cost and what it saves [USD]."""

    year: int
    lcc: float
    saves_against_running_to_failure: float


class Comparison(_Frozen):
    """Both paths compared; `challengers` in the order given, `cheapest` the least by LCC."""

    years: int
    repair: PathCost
    challengers: tuple[PathCost, ...]
    cheapest: str
    break_even_repair_price: float
    break_even_age_years: float | None
    best_planned: PlannedReplacement | None


class _Path(NamedTuple):
    """A challenger made ready: its life when new and its coefficients of renewal."""

    unit: Challenger
    new: NewUnit
    renewing: Renewing
    cost_from: Floats  # expected cost of starting anew at each year 0..N, purchase not in it
    first_cost: float

    @property
    def lcc(self) -> float:
        return self.first_cost + float(self.cost_from[0])


def compare(defender: Defender, challengers: Sequence[Challenger], terms: Terms) -> Comparison:
    """Compare repairing the heater in place with replacing it by each challenger.

    Parameters
    ----------
    defender
        The heater in place, its age and the price of repairing it now.
    challengers
        The heaters that could replace it, at least one.
    terms
        Study period, rates, and what an unplanned failure costs.

    Returns
    -------
    Life-cycle cost of each path, the break-even repair price and age, and the best year to
    replace on plan after repairing now.

    Raises
    ------
    InputTrouble
        If there is no challenger, or a unit has fewer price indices than the study has years.

    Notes
    -----
    Whole years, cash flows at their ends. A unit that fails is replaced at the end of that
    year, at the planned price times one plus the urgency premium, plus damage. The defender
    renews with the cheapest challenger, each challenger with itself; incentives go with the
    first purchase, today, only. What is left at the end of the study is credited as the
    unit's planned price then times its mean life left over that of a new unit.

    The break-even age is that at which both paths cost the same with all else held. Where
    they meet more than once between 0 and 150 years, the crossing nearest to the heater's
    own age is given; where they never meet, ``None``.

    References
    ----------
    ASTM E917; NIST Handbook 135, Life-Cycle Costing Manual.
    """
    check_comparable(defender, challengers, terms)
    horizon = horizon_of(terms)
    paths = [_made_ready(unit, horizon) for unit in challengers]
    cheapest = min(paths, key=lambda path: path.lcc)
    kept = keeping(defender.life, np.array([defender.age_years]), defender.price_indices, horizon)
    recovery = capital_recovery(terms.real_discount_rate, terms.years)
    repair = _repair_path(defender, kept, cheapest, horizon, recovery)
    replace = [_replacement_path(path, horizon, recovery) for path in paths]
    replace_lcc = min(path.lcc for path in replace)
    return Comparison(
        years=terms.years,
        repair=repair,
        challengers=tuple(replace),
        cheapest=cheapest.unit.name,
        break_even_repair_price=defender.repair_price + replace_lcc - repair.lcc,
        break_even_age_years=_break_even_age(defender, cheapest, horizon),
        best_planned=_best_planned(defender, kept, cheapest, horizon, repair.lcc),
    )


def saved_by_repairing(
    defender: Defender, challengers: Sequence[Challenger], terms: Terms
) -> float:
    """Return what repairing saves over the study against the cheapest replacement.

    Parameters
    ----------
    defender, challengers, terms
        As `compare` takes them.

    Returns
    -------
    The difference in expected life-cycle cost [USD]; below zero, replacing saves.

    Raises
    ------
    InputTrouble
        As `compare`.

    Notes
    -----
    The same as from `compare`, without the rest of it: for callers that vary one input
    many times.
    """
    check_comparable(defender, challengers, terms)
    horizon = horizon_of(terms)
    cheapest = min((_made_ready(unit, horizon) for unit in challengers), key=lambda it: it.lcc)
    kept = keeping(defender.life, np.array([defender.age_years]), defender.price_indices, horizon)
    return cheapest.lcc - float(_repair_lcc(defender, kept, cheapest, horizon)[0])


def cheapest_to_own(challengers: Sequence[Challenger], terms: Terms) -> Challenger:
    """Return the challenger of the least expected life-cycle cost, the first of equals.

    Parameters
    ----------
    challengers
        The heaters that could replace the one in place, at least one.
    terms
        The study.

    Returns
    -------
    The one that the heater in place is renewed with.
    """
    horizon = horizon_of(terms)
    return min(challengers, key=lambda unit: _made_ready(unit, horizon).lcc)


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


def check_comparable(defender: Defender, challengers: Sequence[Challenger], terms: Terms) -> None:
    """Refuse what cannot be compared.

    Parameters
    ----------
    defender, challengers, terms
        As `compare` takes them.

    Raises
    ------
    InputTrouble
        If there is no challenger, or a unit has fewer price indices than the study has years.
    """
    if not challengers:
        raise InputTrouble(
            "There is no challenger to compare with",
            mend="Give at least one heater that could replace the one in place.",
        )
    for unit in (defender, *challengers):
        if len(unit.price_indices) < terms.years:
            raise InputTrouble(
                f"{unit.name} has {len(unit.price_indices)} price indices for a study of "
                f"{terms.years} years; it must have one for each year",
                mend="Give more indices or a shorter study period.",
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


def _made_ready(unit: Challenger, horizon: Horizon) -> _Path:
    new, coefficients = _coefficients(unit.life, unit.price_indices, horizon)
    return _Path(
        unit=unit,
        new=new,
        renewing=coefficients,
        cost_from=coefficients.cost(
            unit.energy_cost_per_year, yearly_upkeep(unit), unit.installed_price
        ),
        first_cost=unit.installed_price - unit.incentives,
    )


def _failure_cost(path: _Path, horizon: Horizon) -> Floats:
    """Price of replacing after a failure at the end of each year 0..N [USD], shape (N+1,)."""
    return path.unit.installed_price * horizon.unplanned + horizon.damage


def _replacement_path(path: _Path, horizon: Horizon, recovery: float) -> PathCost:
    first = np.zeros(horizon.years + 1)
    first[0] = 1.0
    run, bought, residual = _flows_of_new(path, first, horizon)
    paid = bought[1:] * _failure_cost(path, horizon)[1:]
    return _path_cost(path.unit.name, path.first_cost, run, paid, residual, recovery)


def _repair_path(
    defender: Defender, kept: Keeping, cheapest: _Path, horizon: Horizon, recovery: float
) -> PathCost:
    first = np.concatenate([[0.0], kept.failing[0]])
    run, bought, residual = _flows_of_new(cheapest, first, horizon)
    run = run + kept.energy[0] * defender.energy_cost_per_year
    run = run + kept.upkeep[0] * yearly_upkeep(defender)
    residual += float(kept.residual[0]) * defender.installed_price
    paid = bought[1:] * _failure_cost(cheapest, horizon)[1:]
    return _path_cost(defender.name, defender.repair_price, run, paid, residual, recovery)


def _flows_of_new(path: _Path, first: Floats, horizon: Horizon) -> tuple[Floats, Floats, float]:
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


def _repair_lcc(defender: Defender, kept: Keeping, cheapest: _Path, horizon: Horizon) -> Floats:
    """Life-cycle cost of repairing now, for each age in `kept` [USD], shape (A,)."""
    after_failure = _failure_cost(cheapest, horizon)[1:] + cheapest.cost_from[1:]
    return np.asarray(
        defender.repair_price
        + kept.energy.sum(axis=1) * defender.energy_cost_per_year
        + kept.upkeep.sum(axis=1) * yearly_upkeep(defender)
        + kept.failing @ after_failure
        - kept.residual * defender.installed_price
    )


def _break_even_age(defender: Defender, cheapest: _Path, horizon: Horizon) -> float | None:
    """Age at which both paths cost the same, nearest to the heater's own [yr]."""

    def excess(ages: Floats) -> Floats:
        kept = keeping(defender.life, ages, defender.price_indices, horizon)
        return _repair_lcc(defender, kept, cheapest, horizon) - cheapest.lcc

    own = defender.age_years
    # Fine steps where lives end; past 60 years almost nothing changes with age.
    grid = (np.arange(0.0, 60.0, 0.5), np.arange(60.0, OLDEST_AGE_YEARS + 1.0, 2.0), [own])
    ages = np.unique(np.concatenate(grid))
    side = np.sign(excess(ages))
    meets = np.flatnonzero(side[:-1] * side[1:] <= 0)
    crossings = [_narrowed(excess, float(ages[at]), float(ages[at + 1])) for at in meets]
    return min(crossings, key=lambda age: abs(age - own)) if crossings else None


def _narrowed(excess: Callable[[Floats], Floats], low: float, high: float) -> float:
    """Narrow an interval in which `excess` changes sign; a call on an array is cheap."""
    for _ in range(7):
        ages = np.linspace(low, high, 33)
        side = np.sign(excess(ages))
        at = int(np.flatnonzero(side[:-1] * side[1:] <= 0)[0])
        low, high = float(ages[at]), float(ages[at + 1])
    return low if side[at] == 0 else (low + high) / 2.0


def _best_planned(
    defender: Defender, kept: Keeping, cheapest: _Path, horizon: Horizon, repair_lcc: float
) -> PlannedReplacement | None:
    """Best year 1..N-1 to replace on plan after repairing now, and what it saves."""
    if horizon.years == 1:
        return None
    by_year = (
        kept.energy[0] * defender.energy_cost_per_year
        + kept.upkeep[0] * yearly_upkeep(defender)
        + kept.failing[0] * (_failure_cost(cheapest, horizon) + cheapest.cost_from)[1:]
    )
    planned = cheapest.unit.installed_price * horizon.planned + cheapest.cost_from
    lcc = defender.repair_price + np.cumsum(by_year) + kept.alive[0, 1:] * planned[1:]
    year = int(np.argmin(lcc[:-1])) + 1
    cost = float(lcc[year - 1])
    return PlannedReplacement(
        year=year, lcc=cost, saves_against_running_to_failure=repair_lcc - cost
    )
