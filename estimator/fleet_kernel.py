"""The repair path of many heaters at once, year by year over the study."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, NamedTuple, TypeAlias

import numpy as np
from numpy.typing import NDArray

if TYPE_CHECKING:
    from collections.abc import Sequence

    from estimator.fleet_ages import AgeTable
    from estimator.renewal import Horizon, Renewing

Floats = NDArray[np.float64]
Column: TypeAlias = Floats | float
"""One number a row, or one for all rows."""

Rows: TypeAlias = "slice | NDArray[np.intp]"


class Unit(NamedTuple):
    """Energy cost [USD/yr], upkeep [USD/yr] and installed price [USD] of some rows."""

    energy: Column
    upkeep: Column
    price: Column

    @classmethod
    def taken(cls, columns: Any, rows: Rows) -> Unit:
        """Take the rows of a unit's columns."""
        return cls(
            take(columns.energy_cost_per_year, rows),
            take(columns.yearly_upkeep, rows),
            take(columns.installed_price, rows),
        )


class Block(NamedTuple):
    """What was found for the rows of a block, each of shape (rows,)."""

    repair_lcc: Floats
    break_even_repair_price: Floats
    best_planned_year: NDArray[np.int8]
    best_planned_lcc: Floats
    chance_repair_cheaper: Floats
    chance_fails_first_year: Floats


def take(column: Any, rows: Rows) -> Any:
    """Return the rows of a column; a number stays a number.

    Parameters
    ----------
    column
        Shape (n,), or one number.
    rows
        Which rows.

    Returns
    -------
    Their values.
    """
    return column[rows] if np.ndim(column) else column


def cost_block(
    *,
    defender: Unit,
    repair_price: Column,
    indices: Sequence[float],
    challenger: Unit,
    renewal: Renewing,
    replace_lcc: Floats,
    table: AgeTable,
    place: NDArray[np.int32] | None,
    horizon: Horizon,
) -> Block:
    """Cost the repair path of rows that renew with the same challenger.

    Parameters
    ----------
    defender
        The heaters in place.
    repair_price
        Price of repairing now [USD].
    indices
        Fuel price index of each year 1..N of the heaters in place [1].
    challenger
        The challenger that they renew with.
    renewal
        Its coefficients.
    replace_lcc
        Life-cycle cost of replacing by it now [USD], shape (rows,).
    table, place
        What their ages decide, and where each row is in it; ``None`` where row by row.
    horizon
        The study.

    Returns
    -------
    The answers.

    Notes
    -----
    One pass over the years, every column of a chunk in cache: nothing of shape
    (years, rows) is ever held but the table itself.
    """
    rows = len(replace_lcc)
    at = _Gather(place)
    energy = at(table.growth, np.empty(rows))
    energy *= defender.energy
    after = _AfterFailure(challenger, renewal, horizon)
    years, aging = horizon.years, 1.0 + horizon.aging
    margin = replace_lcc - repair_price  # what the rest of the path may cost and still be less
    paid = np.zeros(rows)  # running cost so far of a heater that has not failed
    expected = np.zeros(rows)  # running cost and failures so far, by their chances
    chance, least = np.zeros(rows), np.full(rows, np.inf)
    year = np.zeros(rows, dtype=np.int8)
    before, alive = at(table.alive[0], np.empty(rows)), np.empty(rows)
    run, cost, failing = np.empty(rows), np.empty(rows), np.empty(rows)
    below = np.empty(rows, dtype=bool)
    first_failure = before - at(table.alive[1], alive)
    for j in range(1, years + 1):
        spv = horizon.discount[j]
        np.multiply(energy, spv * indices[j - 1] * aging ** (j - 1), out=run)
        run += defender.upkeep * spv
        paid += run
        run *= before
        expected += run
        at(table.alive[j], alive)
        np.subtract(before, alive, out=failing)
        after.cost(j, cost, run)
        np.add(paid, cost, out=run)
        np.less(run, margin, out=below)
        chance += np.multiply(failing, below, out=run)
        expected += np.multiply(failing, cost, out=failing)
        if j < years:
            cost -= after.premium(j)
            cost *= alive
            cost += expected
            np.less(cost, least, out=below)
            np.copyto(year, np.int8(j), where=below)
            np.minimum(least, cost, out=least)
        before, alive = alive, before
    left = at(table.left, run)
    left *= defender.price
    paid -= left
    chance += before * (paid < margin)
    expected += repair_price
    expected -= before * left
    least += repair_price
    break_even = repair_price + replace_lcc
    break_even -= expected
    return Block(expected, break_even, year, least, chance, first_failure)


class _Gather:
    """Takes each row's value out of a table of ages into a given array."""

    def __init__(self, place: NDArray[np.int32] | None) -> None:
        self.place = None if place is None else place.astype(np.intp)

    def __call__(self, values: Floats, into: Floats) -> Floats:
        if self.place is None:
            into[:] = values
        else:
            # Places are known to be within the table: "clip" spares looking again.
            np.take(values, self.place, out=into, mode="clip")
        return into


class _AfterFailure:
    """What a failure costs at a year's end: the new heater, and all that follows from it."""

    def __init__(self, unit: Unit, renewal: Renewing, horizon: Horizon) -> None:
        self.unit, self.renewal, self.horizon = unit, renewal, horizon

    def cost(self, year: int, into: Floats, scratch: Floats) -> None:
        """Write the cost of a failure [USD] into an array."""
        unit, of = self.unit, self.renewal
        price = of.price[year] + self.horizon.unplanned[year]
        constant = of.constant[year] + self.horizon.damage[year]
        np.multiply(unit.energy, of.energy[year], out=into)
        np.multiply(unit.price, price, out=scratch)
        into += scratch
        into += unit.upkeep * of.upkeep[year] + constant

    def premium(self, year: int) -> Any:
        """Return how much dearer a failure is than replacing on plan [USD]."""
        extra = self.horizon.unplanned[year] - self.horizon.planned[year]
        return self.unit.price * extra + self.horizon.damage[year]
