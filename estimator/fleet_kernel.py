"""The repair path of many heaters at once, year by year over the study."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any, NamedTuple, TypeAlias

import numpy as np
from numpy.typing import NDArray

from estimator.survival import mean_life_left

if TYPE_CHECKING:
    from collections.abc import Sequence

    from estimator.renewal import Horizon, Renewing
    from estimator.survival import LifeDistribution

Floats = NDArray[np.float64]
Column: TypeAlias = Floats | float
"""One number a row, or one for all rows."""

Rows: TypeAlias = "slice | NDArray[np.intp]"

LEAST_EXPONENT = -700.0
"""Survival is held above exp(-700): a chance of 1e-304, which still is a plain number."""


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

    @classmethod
    def chosen(cls, units: Sequence[Unit], place: NDArray[np.intp]) -> Unit:
        """Take for each row the unit at its place."""
        return cls(*(_chosen(column, place) for column in zip(*units, strict=True)))


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


def _chosen(columns: Sequence[Column], place: NDArray[np.intp]) -> Floats:
    """Return for each row its value in the column at its place."""
    if not any(np.ndim(column) for column in columns):
        return np.asarray(np.take(np.array(columns), place, mode="clip"))
    found = np.empty(len(place))
    found[:] = columns[0]
    for number, column in enumerate(columns[1:], start=1):
        np.copyto(found, column, where=place == number)
    return found


@dataclass(frozen=True, eq=False)
class Failures:
    """What a failure at a year's end costs, by challenger: the new heater and all after it.

    Attributes
    ----------
    energy, upkeep, price
        Per dollar of yearly energy cost, yearly upkeep and installed price [1], shape
        (N+1, challengers).
    constant
        What depends on none of the three [USD], shape (N+1, challengers).
    """

    energy: Floats
    upkeep: Floats
    price: Floats
    constant: Floats

    @classmethod
    def of(cls, renewals: Sequence[Renewing], horizon: Horizon) -> Failures:
        """Add the urgent purchase and the damage to what follows from them."""
        return cls(
            energy=np.stack([each.energy for each in renewals], axis=1),
            upkeep=np.stack([each.upkeep for each in renewals], axis=1),
            price=np.stack([each.price + horizon.unplanned for each in renewals], axis=1),
            constant=np.stack([each.constant + horizon.damage for each in renewals], axis=1),
        )


def cost_block(
    *,
    defender: Unit,
    age: Floats,
    repair_price: Column,
    life: LifeDistribution,
    indices: Sequence[float],
    challenger: Unit,
    place: NDArray[np.intp],
    failures: Failures,
    replace_lcc: Floats,
    horizon: Horizon,
) -> Block:
    """Cost the repair path of rows whose heaters in place are of one kind.

    Parameters
    ----------
    defender
        The heaters in place.
    age
        Their ages [yr], shape (rows,).
    repair_price
        Price of repairing now [USD].
    life, indices
        Life of the heaters in place, and their fuel price index of each year 1..N [1].
    challenger, place
        The challenger that each row renews with, and its place among them, shape (rows,).
    failures
        What a failure costs, by challenger.
    replace_lcc
        Life-cycle cost of replacing by it now [USD], shape (rows,).
    horizon
        The study.

    Returns
    -------
    The answers.

    Notes
    -----
    One pass over the years, every column of a chunk in cache: nothing of shape
    (years, rows) is ever held.
    """
    rows = len(replace_lcc)
    lasting, after = _Lasting(life, age), _AfterFailure(challenger, place, failures)
    years, aging = horizon.years, 1.0 + horizon.aging
    energy = defender.energy * aging**age if horizon.aging else defender.energy
    margin = replace_lcc - repair_price  # what the rest of the path may cost and still be less
    paid = np.zeros(rows)  # running cost so far of a heater that has not failed
    expected = np.zeros(rows)  # running cost and failures so far, by their chances
    chance, least = np.zeros(rows), np.full(rows, np.inf)
    year = np.zeros(rows, dtype=np.int8)
    before, alive, first_failure = np.ones(rows), np.empty(rows), np.empty(rows)
    run, cost, failing = np.empty(rows), np.empty(rows), np.empty(rows)
    below = np.empty(rows, dtype=bool)
    for j in range(1, years + 1):
        spv = horizon.discount[j]
        np.multiply(energy, spv * indices[j - 1] * aging ** (j - 1), out=run)
        run += defender.upkeep * spv
        paid += run
        run *= before
        expected += run
        lasting.alive(j, alive)
        np.subtract(before, alive, out=failing)
        if j == 1:
            first_failure[:] = failing
        after.cost(j, cost, run)
        np.add(paid, cost, out=run)
        np.less(run, margin, out=below)
        chance += np.multiply(failing, below, out=run)
        expected += np.multiply(failing, cost, out=failing)
        if j < years:
            # On plan it costs neither the urgency nor the damage of a failure.
            np.multiply(challenger.price, horizon.planned[j] - horizon.unplanned[j], out=run)
            cost += run
            cost -= horizon.damage[j]
            cost *= alive
            cost += expected
            np.less(cost, least, out=below)
            # A later year is a larger number, so the greatest of the marked ones is the last.
            np.maximum(year, below.view(np.int8) * np.int8(j), out=year)
            np.minimum(least, cost, out=least)
        before, alive = alive, before
    left = lasting.left(years)
    left *= defender.price
    left *= horizon.planned[-1]
    paid -= left
    chance += before * (paid < margin)
    expected += repair_price
    expected -= before * left
    least += repair_price
    break_even = repair_price + replace_lcc
    break_even -= expected
    return Block(expected, break_even, year, least, chance, first_failure)


class _Lasting:
    """How long heaters of some ages last: `survival` by columns, without its detours.

    The plain difference of exponents is enough here. It loses digits where both are large,
    but there hardly any heater lives on: with z the exponent at age x and k the shape, the
    chance of a further year is near exp(-z k/x), and so z times that chance, which scales
    the rounding, stays below x/(2.7 k), whatever the life.
    """

    def __init__(self, life: LifeDistribution, age: Floats) -> None:
        self.life, self.age = life, age
        self.past = age - life.delay_years
        self.youngest = float(self.past.min(initial=0.0))
        self.spent = self._spent(0, np.empty(len(age)))

    def _spent(self, year: int, into: Floats) -> Floats:
        np.add(self.past, year, out=into)
        if self.youngest + year < 0:
            np.maximum(into, 0.0, out=into)
        into *= 1.0 / self.life.scale_years
        with np.errstate(over="ignore"):
            return np.power(into, self.life.shape, out=into)

    def alive(self, year: int, into: Floats) -> None:
        """Write the chance to run at a year's end [1] into an array."""
        with np.errstate(invalid="ignore"):
            np.subtract(self.spent, self._spent(year, into), out=into)
        np.fmax(into, LEAST_EXPONENT, out=into)  # not a number too, where both overflow
        np.exp(into, out=into)

    def left(self, years: int) -> Floats:
        """Return the mean life left after some years over that of a new heater [1]."""
        return mean_life_left(self.life, self.age + years) / mean_life_left(self.life, 0.0)


class _AfterFailure:
    """What a failure costs each row, by the challenger that it renews with."""

    def __init__(self, unit: Unit, place: NDArray[np.intp], failures: Failures) -> None:
        self.unit, self.place, self.failures = unit, place, failures
        self.scratch = np.empty(len(place))

    def cost(self, year: int, into: Floats, scratch: Floats) -> None:
        """Write the cost of a failure at a year's end [USD] into an array."""
        unit, of = self.unit, self.failures
        np.multiply(unit.energy, self._taken(of.energy[year]), out=into)
        into += np.multiply(unit.price, self._taken(of.price[year]), out=scratch)
        into += np.multiply(unit.upkeep, self._taken(of.upkeep[year]), out=scratch)
        into += self._taken(of.constant[year])

    def _taken(self, by_challenger: Floats) -> Floats:
        # Places are known to be within: "clip" spares looking again.
        return np.take(by_challenger, self.place, out=self.scratch, mode="clip")
