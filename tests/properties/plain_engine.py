"""The expected cost of each path by plain loops: slow, apart from the engine, easy to read.

It follows the definition term by term, with survival and mean life left from their own
definitions (the latter by quadrature), and shares no code with `estimator`.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from math import exp

from scipy.integrate import quad


@dataclass(frozen=True)
class PlainLife:
    shape: float
    scale: float
    delay: float

    def hazard(self, age: float) -> float:
        return max(age - self.delay, 0.0) ** self.shape / self.scale**self.shape

    def alive(self, age: float, years: float) -> float:
        return exp(self.hazard(age) - self.hazard(age + years))

    @cache  # noqa: B019 - lives are few and a test is short
    def mean_left(self, age: float) -> float:
        total = reach = max(self.delay - age, 0.0)
        width = self.scale / 8
        for _ in range(200):
            piece, _ = quad(lambda t: self.alive(age, t), reach, reach + width, epsabs=1e-13)
            total += piece
            reach += width
            width *= 1.2
            if piece < 1e-13 * total and self.alive(age, reach) < 1e-13:
                break
        return total


@dataclass(frozen=True)
class PlainUnit:
    life: PlainLife
    energy: float
    indices: tuple[float, ...]
    upkeep: float
    price: float


@dataclass(frozen=True)
class PlainTerms:
    years: int
    rate: float
    escalation: float
    urgency: float
    damage: float
    aging: float

    def worth(self, year: int) -> float:
        return (1 + self.rate) ** -year

    def planned(self, price: float, year: int) -> float:
        return price * (1 + self.escalation) ** year * self.worth(year)

    def after_failure(self, price: float, year: int) -> float:
        return self.planned(price, year) * (1 + self.urgency) + self.damage * self.worth(year)


def running(unit: PlainUnit, terms: PlainTerms, year: int, age: float) -> float:
    grown = unit.energy * (1 + terms.aging) ** age * unit.indices[year - 1]
    return (grown + unit.upkeep) * terms.worth(year)


def expected(
    unit: PlainUnit, age: float, start: int, new: PlainUnit, starts: dict[int, float],
    terms: PlainTerms,
) -> float:  # fmt: skip
    """Cost from the end of year `start` on; `starts[j]` that of a new unit from year j on."""
    total = 0.0
    for year in range(start + 1, terms.years + 1):
        before = unit.life.alive(age, year - 1 - start)
        after = unit.life.alive(age, year - start)
        total += before * running(unit, terms, year, age + year - 1 - start)
        total += (before - after) * (terms.after_failure(new.price, year) + starts[year])
    left = terms.years - start
    share = unit.life.mean_left(age + left) / unit.life.mean_left(0.0)
    return total - unit.life.alive(age, left) * share * terms.planned(unit.price, terms.years)


def from_new(new: PlainUnit, terms: PlainTerms) -> dict[int, float]:
    starts = {terms.years: -terms.planned(new.price, terms.years)}
    for start in range(terms.years - 1, -1, -1):
        starts[start] = expected(new, 0.0, start, new, starts, terms)
    return starts


def replace_on_plan(
    unit: PlainUnit, age: float, repair_price: float, at: int, new: PlainUnit, terms: PlainTerms
) -> float:
    """Repair now; at the end of year `at`, if still running, replace."""
    starts = from_new(new, terms)
    total = repair_price
    for year in range(1, at + 1):
        before, after = unit.life.alive(age, year - 1), unit.life.alive(age, year)
        total += before * running(unit, terms, year, age + year - 1)
        total += (before - after) * (terms.after_failure(new.price, year) + starts[year])
    return total + unit.life.alive(age, at) * (terms.planned(new.price, at) + starts[at])
