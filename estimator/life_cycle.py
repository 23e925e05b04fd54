"""Exact expected life-cycle cost of keeping a heater and of replacing it.

The heater in place is the defender, a new one a challenger. No sampling: the expectation
over all failures and renewals within the study is worked out by `estimator.renewal`, and
put together for each path by `estimator.paths`.

References
----------
ASTM E917; NIST Handbook 135, Life-Cycle Costing Manual.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from estimator.comparison import (
    Challenger,
    Comparison,
    Defender,
    PlannedReplacement,
    Terms,
)
from estimator.discounting import capital_recovery
from estimator.errors import InputTrouble
from estimator.paths import (
    ReadyChallenger,
    failure_cost,
    horizon_of,
    made_ready,
    repair_lcc,
    repair_path,
    replacement_path,
    yearly_upkeep,
)
from estimator.renewal import Horizon, Keeping, keeping

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence


Floats = NDArray[np.float64]

OLDEST_AGE_YEARS = 150.0


def compare(
    defender: Defender,
    challengers: Sequence[Challenger],
    terms: Terms,
    *,
    with_break_even_age: bool = True,
) -> Comparison:
    """Compare repairing the heater in place with replacing it by each challenger.

    Parameters
    ----------
    defender
        The heater in place, its age and the price of repairing it now.
    challengers
        The heaters that could replace it, at least one.
    terms
        Study period, rates, and what an unplanned failure costs.
    with_break_even_age
        Whether to look for the break-even age, which takes most of the time; ``None``
        stands in its place where not.

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
    paths = [made_ready(unit, horizon) for unit in challengers]
    cheapest = min(paths, key=lambda path: path.lcc)
    kept = keeping(defender.life, np.array([defender.age_years]), defender.price_indices, horizon)
    recovery = capital_recovery(terms.real_discount_rate, terms.years)
    repair = repair_path(defender, kept, cheapest, horizon, recovery)
    replace = [replacement_path(path, horizon, recovery) for path in paths]
    replace_lcc = min(path.lcc for path in replace)
    return Comparison(
        years=terms.years,
        repair=repair,
        challengers=tuple(replace),
        cheapest=cheapest.unit.name,
        break_even_repair_price=defender.repair_price + replace_lcc - repair.lcc,
        break_even_age_years=(
            _break_even_age(defender, cheapest, horizon) if with_break_even_age else None
        ),
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
    cheapest = min((made_ready(unit, horizon) for unit in challengers), key=lambda it: it.lcc)
    kept = keeping(defender.life, np.array([defender.age_years]), defender.price_indices, horizon)
    return cheapest.lcc - float(repair_lcc(defender, kept, cheapest, horizon)[0])


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
    return min(challengers, key=lambda unit: made_ready(unit, horizon).lcc)


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


def _break_even_age(
    defender: Defender, cheapest: ReadyChallenger, horizon: Horizon
) -> float | None:
    """Age at which both paths cost the same, nearest to the heater's own [yr]."""

    def excess(ages: Floats) -> Floats:
        kept = keeping(defender.life, ages, defender.price_indices, horizon)
        return repair_lcc(defender, kept, cheapest, horizon) - cheapest.lcc

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
        over = excess(ages)
        side = np.sign(over)
        meets = np.flatnonzero(side[:-1] * side[1:] <= 0)
        if not meets.size:  # it meets at an end, and the last bit hangs on the array's length
            return float(ages[np.argmin(np.abs(over))])
        at = int(meets[0])
        low, high = float(ages[at]), float(ages[at + 1])
    return low if side[at] == 0 else (low + high) / 2.0


def _best_planned(
    defender: Defender,
    kept: Keeping,
    cheapest: ReadyChallenger,
    horizon: Horizon,
    run_to_failure: float,
) -> PlannedReplacement | None:
    """Best year 1..N-1 to replace on plan after repairing now, and what it saves."""
    if horizon.years == 1:
        return None
    by_year = (
        kept.energy[0] * defender.energy_cost_per_year
        + kept.upkeep[0] * yearly_upkeep(defender)
        + kept.failing[0] * (failure_cost(cheapest, horizon) + cheapest.cost_from)[1:]
    )
    planned = cheapest.unit.installed_price * horizon.planned + cheapest.cost_from
    lcc = defender.repair_price + np.cumsum(by_year) + kept.alive[0, 1:] * planned[1:]
    year = int(np.argmin(lcc[:-1])) + 1
    cost = float(lcc[year - 1])
    return PlannedReplacement(
        year=year, lcc=cost, saves_against_running_to_failure=run_to_failure - cost
    )
