"""Repair against replacement for a column of heaters: columns in, columns out.

The same numbers as `estimator.life_cycle.compare` gives for each heater alone. The
expected cost is linear in energy cost, upkeep and installed price. What multiplies those of
a new heater depends on its kind and the terms alone and is worked out once; what hangs on
the age of the heater in place is worked out by row.

References
----------
ASTM E917; NIST Handbook 135, Life-Cycle Costing Manual.
"""

from __future__ import annotations

from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from estimator.errors import InputTrouble
from estimator.fleet_columns import (
    FleetAnswer,
    FleetColumns,
    FleetGroup,
    check_fleet,
)
from estimator.fleet_kernel import Failures, Rows, Unit, cost_block, take
from estimator.paths import horizon_of
from estimator.renewal import NewUnit, renewing

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from estimator.comparison import Terms
    from estimator.renewal import Horizon, Renewing


Floats = NDArray[np.float64]

CHUNK_ROWS = 16_384
"""Rows worked at a time: a column of them stays in the nearer caches."""


def compare_fleet(
    columns: FleetColumns, groups: Sequence[FleetGroup], terms: Terms, *, threads: int = 2
) -> FleetAnswer:
    """Compare repairing each heater of a fleet with replacing it.

    Parameters
    ----------
    columns
        The heaters, n rows.
    groups
        What the rows of each group share.
    terms
        Study period, rates, and what an unplanned failure costs; the same for all rows.
    threads
        Chunks that are worked at the same time.

    Returns
    -------
    One answer a row, in the order of the rows.

    Raises
    ------
    InputTrouble
        If columns differ in length, a number is out of bounds, a group is not known, there
        is no challenger, none is open in some row, or indices are fewer than the years.

    Notes
    -----
    Equal to `compare` within 1e-9 of each amount. Where two challengers or two planned
    years cost the same within rounding, either may be named.

    ``chance_repair_cheaper`` goes by the life of the heater in place alone. Its failure
    falls in one of the years 1..N or after the study, each with its exact chance. To each
    belongs a cost of the repair path: the repair price, the running cost paid until then,
    the replacement at that year's end with urgency and damage, and the expected cost of
    the new heater and its renewals from there on; or, where it outlives the study, the
    running cost of all years less its residual value. The chance is the sum over those
    whose cost lies below the expected cost of replacing now by the cheapest challenger.
    The mean of those costs is ``repair_lcc``. Spreads of prices and draw are not in it.

    Nothing is shared between rows of one age: a heater costs the same to work out whatever
    the ages are and however many heaters there are.

    References
    ----------
    ASTM E917; NIST Handbook 135, Life-Cycle Costing Manual.
    """
    run = _Run.of(columns, groups, terms)
    starts = range(0, run.rows, CHUNK_ROWS)
    if threads > 1 and len(starts) > 1:
        with ThreadPoolExecutor(threads) as pool:
            list(pool.map(run.chunk, starts))  # list() so that an error in a chunk is raised here
    else:
        for start in starts:
            run.chunk(start)
    return run.answer


@dataclass(frozen=True, eq=False)
class _Run:
    """One comparison under way: what chunks read, and the answer that they write."""

    columns: FleetColumns
    groups: tuple[FleetGroup, ...]
    horizon: Horizon
    renewals: tuple[tuple[Renewing, ...], ...]
    failures: tuple[Failures, ...]
    rows: int
    answer: FleetAnswer

    @classmethod
    def of(cls, columns: FleetColumns, groups: Sequence[FleetGroup], terms: Terms) -> _Run:
        rows = len(columns.defender.age_years)
        check_fleet(columns, groups, terms.years)
        horizon = horizon_of(terms)
        renewals = tuple(
            tuple(
                renewing(NewUnit.of(kind.life, horizon), kind.price_indices, horizon)
                for kind in group.challengers
            )
            for group in groups
        )
        return cls(
            columns=columns,
            groups=tuple(groups),
            horizon=horizon,
            renewals=renewals,
            failures=tuple(Failures.of(each, horizon) for each in renewals),
            rows=rows,
            answer=FleetAnswer.empty(rows, len(columns.challengers)),
        )

    def chunk(self, start: int) -> None:
        """Work out a chunk of rows."""
        stop = min(start + CHUNK_ROWS, self.rows)
        for number, rows in _split(self.columns.group, start, stop, len(self.groups)):
            self._cost(number, rows, self._choose(number, rows))

    def _choose(self, number: int, rows: Rows) -> Floats:
        """Cost every challenger, name the cheapest open one, and return what it costs."""
        answer, least = self.answer, np.array(np.inf)
        for place, given in enumerate(self.columns.challengers):
            renewal = self.renewals[number][place]
            price = take(given.installed_price, rows)
            lcc = price * (1.0 + renewal.price[0]) - take(given.incentives, rows)
            lcc = lcc + take(given.energy_cost_per_year, rows) * renewal.energy[0]
            lcc = lcc + take(given.yearly_upkeep, rows) * renewal.upkeep[0] + renewal.constant[0]
            answer.challenger_lcc[place, rows] = lcc
            ranked = np.where(take(given.is_open, rows), answer.challenger_lcc[place, rows], np.inf)
            if place:
                answer.cheapest[rows] = np.where(ranked < least, place, answer.cheapest[rows])
            least = np.minimum(ranked, least)
        if np.isinf(least).any():
            row = np.arange(self.rows)[rows][int(np.argmax(np.isinf(least)))]
            raise InputTrouble(
                "No challenger is open", f"row {row + 1}", "Leave that heater out, or open one."
            )
        return least

    def _cost(self, number: int, rows: Rows, replace_lcc: Floats) -> None:
        """Cost the repair path of rows of one group."""
        given, place = self.columns.defender, self.answer.cheapest[rows].astype(np.intp)
        units = [Unit.taken(each, rows) for each in self.columns.challengers]
        block = cost_block(
            defender=Unit.taken(given, rows),
            age=given.age_years[rows],
            repair_price=take(given.repair_price, rows),
            life=self.groups[number].defender.life,
            indices=self.groups[number].defender.price_indices,
            challenger=Unit.chosen(units, place),
            place=place,
            failures=self.failures[number],
            replace_lcc=replace_lcc,
            horizon=self.horizon,
        )
        answer = self.answer
        answer.repair_lcc[rows] = block.repair_lcc
        answer.break_even_repair_price[rows] = block.break_even_repair_price
        answer.chance_repair_cheaper[rows] = block.chance_repair_cheaper
        answer.chance_fails_first_year[rows] = block.chance_fails_first_year
        if self.horizon.years > 1:
            answer.best_planned_year[rows] = block.best_planned_year
            answer.best_planned_lcc[rows] = block.best_planned_lcc


def _split(
    group: NDArray[np.int8] | int, start: int, stop: int, groups: int
) -> Iterator[tuple[int, Rows]]:
    """Yield the rows of each group within a chunk, as a slice where all are of one."""
    if isinstance(group, int):
        yield group, slice(start, stop)
        return
    for number in range(groups):
        rows = _narrowed(slice(start, stop), group[start:stop] == number)
        if rows is not None:
            yield number, rows


def _narrowed(rows: Rows, within: NDArray[np.bool_]) -> Rows | None:
    """Return the rows where `within` holds; a slice stays one where it holds for all."""
    if within.all():
        return rows
    if not within.any():
        return None
    return np.flatnonzero(within) + rows.start if isinstance(rows, slice) else rows[within]
