"""What a comparison of keeping and replacing takes and gives: units, terms, costs."""

from __future__ import annotations

from typing import Annotated

from pydantic import BaseModel, ConfigDict, Field

from estimator.survival import LifeDistribution

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
