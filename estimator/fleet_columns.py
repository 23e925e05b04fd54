"""What the comparison of a fleet takes and gives: columns, and what groups of rows share."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from estimator.errors import InputTrouble

if TYPE_CHECKING:
    from collections.abc import Sequence

    from estimator.fleet_kernel import Column
    from estimator.survival import LifeDistribution

Floats = NDArray[np.float64]

OLDEST_AGE_YEARS = 150.0
LARGEST_AMOUNT = 1e9


@dataclass(frozen=True)
class UnitKind:
    """What heaters of one kind share: their life and the price indices of their fuel.

    Attributes
    ----------
    life
        Weibull with delay.
    price_indices
        Fuel price index of each year 1..N [1], base 1 today.
    """

    life: LifeDistribution
    price_indices: tuple[float, ...]


@dataclass(frozen=True)
class FleetGroup:
    """Heaters that share the kind in place and the kind of each challenger.

    Attributes
    ----------
    defender
        Kind of the heater in place.
    challengers
        Kind of each challenger, in the order of the columns.
    """

    defender: UnitKind
    challengers: tuple[UnitKind, ...]


@dataclass(frozen=True, eq=False)
class DefenderColumns:
    """Heaters in place, one a row; a number stands for the same in every row.

    Attributes
    ----------
    age_years
        Age today [yr], 0 to 150, shape (n,).
    energy_cost_per_year
        Yearly energy at today's price [USD/yr].
    yearly_upkeep
        Upkeep and expected later repairs [USD/yr].
    installed_price
        Price of a like-for-like heater installed [USD].
    repair_price
        Price of repairing now [USD].
    """

    age_years: Floats
    energy_cost_per_year: Column
    yearly_upkeep: Column
    installed_price: Column
    repair_price: Column


@dataclass(frozen=True, eq=False)
class ChallengerColumns:
    """One challenger for every heater; a number stands for the same in every row.

    Attributes
    ----------
    energy_cost_per_year
        Yearly energy at today's price [USD/yr].
    yearly_upkeep
        Upkeep and expected later repairs [USD/yr].
    installed_price
        Installed price before incentives [USD].
    incentives
        Incentives on the first purchase [USD].
    is_open
        Whether it can go where the heater stands; a closed one is costed, never chosen.
    """

    energy_cost_per_year: Column
    yearly_upkeep: Column
    installed_price: Column
    incentives: Column = 0.0
    is_open: NDArray[np.bool_] | bool = True


@dataclass(frozen=True, eq=False)
class FleetColumns:
    """A fleet: what is in place, what could replace it, and each row's group.

    Attributes
    ----------
    defender
        The heaters in place.
    challengers
        One entry for each challenger, at least one.
    group
        Place of each row's `FleetGroup`, shape (n,); 0 where all are of one.
    """

    defender: DefenderColumns
    challengers: tuple[ChallengerColumns, ...]
    group: NDArray[np.int8] | int = 0


@dataclass(frozen=True, eq=False)
class FleetAnswer:
    """What `compare_fleet` found, one a row.

    Attributes
    ----------
    repair_lcc
        Life-cycle cost of repairing now and running to failure [USD], shape (n,).
    challenger_lcc
        Life-cycle cost of replacing now by each challenger [USD], shape (challengers, n).
    cheapest
        Place of the cheapest open challenger, shape (n,).
    break_even_repair_price
        Repair price at which both paths cost the same [USD], shape (n,).
    best_planned_year
        Best year 1..N-1 to replace on plan after repairing now [yr], shape (n,); 0 where the
        study has one year.
    best_planned_lcc
        Life-cycle cost of that [USD], shape (n,); not a number where there is none.
    chance_repair_cheaper
        Chance that the repair path turns out below the expected cost of replacing now [1],
        shape (n,).
    chance_fails_first_year
        Chance that the heater in place fails within a year of its repair [1], shape (n,).
    """

    repair_lcc: Floats
    challenger_lcc: Floats
    cheapest: NDArray[np.int8]
    break_even_repair_price: Floats
    best_planned_year: NDArray[np.int8]
    best_planned_lcc: Floats
    chance_repair_cheaper: Floats
    chance_fails_first_year: Floats

    @classmethod
    def empty(cls, rows: int, challengers: int) -> FleetAnswer:
        """Make room for the answer."""
        return cls(
            repair_lcc=np.empty(rows),
            challenger_lcc=np.empty((challengers, rows)),
            cheapest=np.zeros(rows, dtype=np.int8),
            break_even_repair_price=np.empty(rows),
            best_planned_year=np.zeros(rows, dtype=np.int8),
            best_planned_lcc=np.full(rows, np.nan),
            chance_repair_cheaper=np.empty(rows),
            chance_fails_first_year=np.empty(rows),
        )


def check_fleet(columns: FleetColumns, groups: Sequence[FleetGroup], years: int) -> None:
    """Refuse what would give a wrong number rather than an error further on.

    Parameters
    ----------
    columns
        The fleet.
    groups
        What the rows of each group share.
    years
        Study period [yr].

    Raises
    ------
    InputTrouble
        If columns differ in length, a number is out of bounds, a group is not known, there
        is no challenger, or indices are fewer than the years.
    """
    if not columns.challengers:
        raise InputTrouble(
            "There is no challenger to compare with",
            mend="Give at least one heater that could replace those in place.",
        )
    rows = len(columns.defender.age_years)
    for number, group in enumerate(groups):
        if len(group.challengers) != len(columns.challengers):
            raise InputTrouble(
                f"Group {number} has {len(group.challengers)} challengers; there are "
                f"{len(columns.challengers)} columns of them",
                mend="Give a kind for each.",
            )
        for kind in (group.defender, *group.challengers):
            if len(kind.price_indices) < years:
                raise InputTrouble(
                    f"Group {number} has {len(kind.price_indices)} price indices for a study of "
                    f"{years} years; it must have one for each year",
                    mend="Give more indices or a shorter study period.",
                )
    _check_column("group", columns.group, rows, len(groups) - 1)
    for name, value in vars(columns.defender).items():
        _check_column(name, value, rows, OLDEST_AGE_YEARS if name == "age_years" else None)
    for place, challenger in enumerate(columns.challengers):
        for name, value in vars(challenger).items():
            _check_column(f"{name} of challenger {place + 1}", value, rows)


def _check_column(name: str, value: object, rows: int, most: float | None = None) -> None:
    values = np.asarray(value)
    if values.ndim > 1 or (values.ndim == 1 and len(values) != rows):
        raise InputTrouble(
            f"Column {name} has shape {values.shape}; it must have {rows} rows or be one number",
            mend="Give all columns the same length.",
        )
    most = LARGEST_AMOUNT if most is None else most
    # Not a number fails both comparisons, and so is refused as well.
    if values.size and not (values.min() >= 0 and values.max() <= most):
        wrong = np.atleast_1d(~((values >= 0) & (values <= most)))
        row = int(np.argmax(wrong))
        raise InputTrouble(
            f"Column {name} holds {np.atleast_1d(values)[row]:g}; it must be from 0 to {most:g}",
            f"row {row + 1}",
            "Correct the row or leave it out.",
        )
