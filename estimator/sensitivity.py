"""Which input moves the answer most, and where each one turns it, by the exact engine."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from math import log
from typing import NamedTuple, TypeVar

from pydantic import BaseModel, ConfigDict

from estimator.comparison import Challenger, Comparison, Defender, Terms, Unit
from estimator.life_cycle import cheapest_to_own, saved_by_repairing
from estimator.survival import mean_life

AnyUnit = TypeVar("AnyUnit", bound=Unit)

FACTORS = (0.2, 5.0)
"""Where a turning point is sought, as factors on an input as quoted; common practice, no source."""

STEPS_TO_EACH_SIDE = 8
NARROWINGS = 80
LEVEL_USD = 1e-6


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


class TurningPoint(BaseModel):
    """The value of one input at which the cheaper path becomes the other, all else held.

    `quoted` and `value` in `unit`; `factor` [1] is the second over the first. Both are
    ``None`` where the answer does not turn between a fifth and five times the value quoted.
    """

    model_config = ConfigDict(frozen=True, extra="forbid")

    name: str
    unit: str
    quoted: float
    value: float | None
    factor: float | None


class _Input(NamedTuple):
    """An input: its low and high factors, how to vary it, its value as quoted and the unit."""

    name: str
    low: float
    high: float
    vary: Callable[[Setting, float], Setting]
    quoted: Callable[[Setting], float]
    unit: str


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
            saves_at_low=saved_by_repairing(*each.vary(setting, each.low)),
            saves_at_high=saved_by_repairing(*each.vary(setting, each.high)),
        )
        for each in INPUTS
    ]
    return tuple(sorted(found, key=lambda swing: swing.width, reverse=True))


def varied(setting: Setting, factors: Mapping[str, float]) -> Setting:
    """Vary several inputs at once.

    Parameters
    ----------
    setting
        The comparison as quoted.
    factors
        Name of an input, as `swings` gives it → value over the value quoted [1].

    Returns
    -------
    The comparison with those inputs in place of the quoted ones.
    """
    for each in INPUTS:
        setting = each.vary(setting, factors.get(each.name, 1.0))
    return setting


def turning_points(
    defender: Defender, challengers: Sequence[Challenger], terms: Terms
) -> tuple[TurningPoint, ...]:
    """Find the value of each input at which the cheaper path becomes the other.

    Parameters
    ----------
    defender, challengers, terms
        The comparison as quoted.

    Returns
    -------
    One for each input that `swings` varies, the nearest to its value as quoted first, those
    that do not turn the answer last.

    Raises
    ------
    InputTrouble
        As `estimator.life_cycle.compare`.

    Notes
    -----
    Each input alone, between a fifth and five times its value as quoted, by the exact
    expectation. Where it turns the answer more than once, the factor nearest to 1 is given.
    The heater in place is renewed with whichever challenger is cheapest at that value: where
    another one becomes so, the answer may turn by a step.

    It is the sign of the difference that turns; an indifference band is not in it.
    """
    setting = Setting(defender, tuple(challengers), terms)
    found = [_turning_point(each, setting) for each in INPUTS]
    return tuple(sorted(found, key=lambda it: abs(log(it.factor)) if it.factor else float("inf")))


def _turning_point(of: _Input, setting: Setting) -> TurningPoint:
    factor, quoted = _turning_factor(of, setting), of.quoted(setting)
    return TurningPoint(
        name=of.name,
        unit=of.unit,
        quoted=quoted,
        value=None if factor is None else factor * quoted,
        factor=factor,
    )


def _turning_factor(of: _Input, setting: Setting) -> float | None:
    """Look outward from the value as quoted; halve the step in which the answer turns."""

    def saved(factor: float) -> float:
        return saved_by_repairing(*of.vary(setting, factor))

    as_quoted = saved(1.0)
    reached = dict.fromkeys(FACTORS, (1.0, as_quoted))
    for step in range(1, STEPS_TO_EACH_SIDE + 1):
        turned = []
        for bound in FACTORS:
            near, far = reached[bound], bound ** (step / STEPS_TO_EACH_SIDE)
            reached[bound] = (far, saved(far))
            if (reached[bound][1] > 0) is not (as_quoted > 0):
                turned.append(_narrowed(saved, near, reached[bound]))
        if turned:
            return min(turned, key=lambda factor: abs(log(factor)))
    return None


def _narrowed(
    saved: Callable[[float], float], near: tuple[float, float], far: tuple[float, float]
) -> float:
    """Narrow the step in which the answer turns: by the chord and by halves, in turns.

    The chord finds a smooth turn in few steps; halving also closes in on a jump.
    """
    for narrowing in range(NARROWINGS):
        (low, at_low), (high, at_high) = near, far
        by_chord = low - at_low * (high - low) / (at_high - at_low)
        factor = by_chord if narrowing % 2 == 0 else (low + high) / 2.0
        found = (factor, saved(factor))
        if abs(found[1]) < LEVEL_USD:
            return factor
        if (found[1] > 0) is (at_low > 0):
            near = found
        else:
            far = found
    return (near[0] + far[0]) / 2.0


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
    _Input(
        "how long this heater lasts",
        0.75,
        1.25,
        _life,
        lambda setting: mean_life(setting.defender.life),
        "years of mean life when new",
    ),
    _Input(
        "the price of a new heater",
        0.85,
        1.15,
        _new_price,
        lambda setting: cheapest_to_own(setting.challengers, setting.terms).installed_price,
        "USD",
    ),
    _Input(
        "what energy costs",
        0.75,
        1.25,
        _energy_cost,
        lambda setting: setting.defender.energy_cost_per_year,
        "USD a year",
    ),
    _Input(
        "how often this heater needs mending",
        0.5,
        2.0,
        _later_repairs,
        lambda setting: setting.defender.later_repairs_per_year,
        "times a year",
    ),
    _Input(
        "the price of this repair",
        0.85,
        1.15,
        _repair_price,
        lambda setting: setting.defender.repair_price,
        "USD",
    ),
)
