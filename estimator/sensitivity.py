"""Which input moves the answer most: one at a time, low and high, by the exact engine."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import NamedTuple, TypeVar

from pydantic import BaseModel, ConfigDict

from estimator.life_cycle import Challenger, Comparison, Defender, Terms, Unit, compare

AnyUnit = TypeVar("AnyUnit", bound=Unit)


class Setting(NamedTuple):
    """A comparison to be varied."""

    defender: Defender
    challengers: tuple[Challenger, ...]
    terms: Terms


class Swing(BaseModel):
    """What one input does to the answer between its low and its high value.

    `saves_at_low` and `saves_at_high` [USD] are what repairing saves over the study
    against the cheapest replacement; below zero, replacing saves. `turns` is true where
    the two differ in sign.
    """

    model_config = ConfigDict(frozen=True, extra="forbid")

    name: str
    low: str
    high: str
    saves_at_low: float
    saves_at_high: float

    @property
    def width(self) -> float:
        """How far the input moves the answer [USD]."""
        return abs(self.saves_at_high - self.saves_at_low)

    @property
    def turns(self) -> bool:
        """Whether the cheaper path is another one at the other end."""
        return (self.saves_at_low > 0) != (self.saves_at_high > 0)


class _Input(NamedTuple):
    name: str
    low: float
    high: float
    vary: Callable[[Setting, float], Setting]


def repair_saves(comparison: Comparison) -> float:
    """Return what repairing saves over the study against the cheapest replacement.

    Parameters
    ----------
    comparison
        Both paths.

    Returns
    -------
    The difference in life-cycle cost [USD]; below zero, replacing saves.
    """
    cheapest = next(path for path in comparison.challengers if path.name == comparison.cheapest)
    return cheapest.lcc - comparison.repair.lcc


def swings(
    defender: Defender, challengers: Sequence[Challenger], terms: Terms
) -> tuple[Swing, ...]:
    """Vary each input alone and report what it does, the widest first.

    Parameters
    ----------
    defender, challengers, terms
        The comparison as quoted.

    Returns
    -------
    One swing for each input.

    Notes
    -----
    The low and high values are factors on the value as quoted, set by judgment: common
    practice, no source. They say what moves the answer, not how likely it is to move.
    """
    setting = Setting(defender, tuple(challengers), terms)
    found = [
        Swing(
            name=each.name,
            low=_percent(each.low),
            high=_percent(each.high),
            saves_at_low=repair_saves(compare(*each.vary(setting, each.low))),
            saves_at_high=repair_saves(compare(*each.vary(setting, each.high))),
        )
        for each in INPUTS
    ]
    return tuple(sorted(found, key=lambda swing: swing.width, reverse=True))


def _percent(factor: float) -> str:
    return f"{100 * (factor - 1):+.0f} %"


def _energy_cost(setting: Setting, factor: float) -> Setting:
    return Setting(
        _scaled(setting.defender, "energy_cost_per_year", factor),
        tuple(_scaled(each, "energy_cost_per_year", factor) for each in setting.challengers),
        setting.terms,
    )


def _new_price(setting: Setting, factor: float) -> Setting:
    return Setting(
        _scaled(setting.defender, "installed_price", factor),
        tuple(_scaled(each, "installed_price", factor) for each in setting.challengers),
        setting.terms,
    )


def _life(setting: Setting, factor: float) -> Setting:
    life = setting.defender.life
    longer = life.model_copy(
        update={
            "scale_years": life.scale_years * factor,
            "delay_years": life.delay_years * factor,
        }
    )
    return setting._replace(defender=setting.defender.model_copy(update={"life": longer}))


def _later_repairs(setting: Setting, factor: float) -> Setting:
    return setting._replace(defender=_scaled(setting.defender, "later_repairs_per_year", factor))


def _repair_price(setting: Setting, factor: float) -> Setting:
    return setting._replace(defender=_scaled(setting.defender, "repair_price", factor))


def _scaled(unit: AnyUnit, field: str, factor: float) -> AnyUnit:
    return unit.model_copy(update={field: getattr(unit, field) * factor})


INPUTS: tuple[_Input, ...] = (
    _Input("how long this heater lasts", 0.75, 1.25, _life),
    _Input("the price of a new heater", 0.85, 1.15, _new_price),
    _Input("what energy costs", 0.75, 1.25, _energy_cost),
    _Input("how often this heater needs mending", 0.5, 2.0, _later_repairs),
    _Input("the price of this repair", 0.85, 1.15, _repair_price),
)
