"""What an estimate says of one heater: everything that a quote is made from."""

from __future__ import annotations

from decimal import Decimal

from pydantic import BaseModel, ConfigDict

from estimator.cautions import Caution, Stop
from estimator.comparison import PathCost
from estimator.evidence import Grade
from estimator.likelihood import RankedFinding
from estimator.likelihood_next import NextReading
from estimator.priced_job import JobMargin, PricedJob
from estimator.sensitivity import Swing, TurningPoint
from estimator.supply import FitClass, Stock
from estimator.uncertainty import Futures
from estimator.verdict import Verdict


class _Frozen(BaseModel):
    model_config = ConfigDict(frozen=True, extra="forbid")


class HeaterFacts(_Frozen):
    """What the estimate holds about the heater in place.

    Age [yr], rating as EF or UEF [1], energy [therm/yr], cost [USD/yr], CO₂ [kg/yr],
    mean life left [yr].
    """

    age_years: float
    rating: float
    rating_metric: str
    rating_assumed: bool
    rating_source: str
    recovery_efficiency: float
    recovery_assumed: bool
    gallons_per_day: float
    inlet_f: float
    therms_per_year: float
    energy_cost_per_year: float
    co2_kg_per_year: float
    mean_life_left_years: float


class RepairPath(_Frozen):
    """Repair now. `per_month` is the equivalent annual cost over twelve [USD].

    Where the path is closed its figures are what they would be if it were not; no
    surface shows them then.
    """

    open: bool
    closed_reason: str | None
    priced: PricedJob
    cost: PathCost
    per_month: Decimal
    break_even_price: Decimal
    break_even_age_years: float | None
    best_planned_year: int | None
    best_planned_saves: Decimal | None


class ReplacementPath(_Frozen):
    """Replace now by one candidate, with its measures against repairing.

    Energy [therm/yr or kWh/yr by fuel], `net_savings` [USD], `sir` and `airr` [1],
    paybacks [yr]; a measure is ``None`` where it is not defined. It is `settled` once
    nothing is left to look at that could keep it from going here.
    """

    slug: str
    name: str
    closed_reason: str | None
    check_these: tuple[str, ...]
    settled: bool = True
    priced: PricedJob
    incentives: Decimal
    price_after_incentives: Decimal
    cost: PathCost
    per_month: Decimal
    energy_per_year: float
    energy_unit: str
    energy_cost_per_year: float
    co2_kg_per_year: float
    net_savings: Decimal
    sir: float | None
    airr: float | None
    simple_payback_years: float | None
    discounted_payback_years: float | None


class PartShown(_Frozen):
    """A part of the repair as the customer may see it: no cost in it."""

    number: str
    description: str
    fit_class: FitClass
    reasons: tuple[str, ...]
    check_these: tuple[str, ...]
    stock: Stock
    needed_because: str | None


class Estimate(_Frozen):
    """All that a quote says, fit for a customer: no cost and no margin in it."""

    study_years: int
    real_discount_rate: float
    heater: HeaterFacts
    parts: tuple[PartShown, ...]
    grade: Grade
    ranked: tuple[RankedFinding, ...] = ()
    next_reading: NextReading | None = None
    stops: tuple[Stop, ...]
    cautions: tuple[Caution, ...]
    repair: RepairPath
    replacements: tuple[ReplacementPath, ...]
    moves_most: tuple[Swing, ...]
    turning_points: tuple[TurningPoint, ...]
    futures: Futures
    verdict: Verdict


class OwnerEstimate(_Frozen):
    """The estimate with what each job costs the shop; for the owner's eyes only."""

    estimate: Estimate
    repair_margin: JobMargin
    replacement_margins: dict[str, JobMargin]
