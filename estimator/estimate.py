"""One heater, one finding, one rate sheet: everything that a quote says.

This is where the parts of the estimator meet. It is pure: the same case, supply, rate
sheet and day give the same estimate to the cent, which is what lets a ledger replay
every quote it holds.
"""

from __future__ import annotations

from decimal import Decimal
from typing import Annotated

from pydantic import BaseModel, ConfigDict, Field

from estimator.cautions import Caution, Stop
from estimator.evidence import Grade
from estimator.findings import Finding, Hazards, Readings, Remedy
from estimator.heater import Household, RatingPlate, Site
from estimator.life_cycle import PathCost
from estimator.money import Share
from estimator.pricing import JobMargin, PricedJob
from estimator.supply import FitClass, Stock
from estimator.verdict import Verdict


class _Frozen(BaseModel):
    model_config = ConfigDict(frozen=True, extra="forbid")


class Case(_Frozen):
    """What the technician found: heater, place, household, finding, remedy, readings.

    Only what changes the answer is in it; names of people are kept elsewhere. `years` is
    the study period [yr]; where it is ``None`` the household's years in the house, else
    the mean life of a like-for-like heater.
    """

    heater: RatingPlate
    site: Site = Site()
    household: Household = Household()
    finding: Finding
    remedy: Remedy
    readings: Readings = Readings()
    hazards: Hazards = Hazards()
    after_hours: bool = False
    plan_member: bool = False
    discount: Share = Decimal(0)
    years: Annotated[int, Field(ge=1, le=40)] | None = None


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
    """Repair now. `per_month` is the equivalent annual cost over twelve [USD]."""

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
    paybacks [yr]; a measure is ``None`` where it is not defined.
    """

    slug: str
    name: str
    closed_reason: str | None
    check_these: tuple[str, ...]
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
    stops: tuple[Stop, ...]
    cautions: tuple[Caution, ...]
    repair: RepairPath
    replacements: tuple[ReplacementPath, ...]
    verdict: Verdict


class OwnerEstimate(_Frozen):
    """The estimate with what each job costs the shop; for the owner's eyes only."""

    estimate: Estimate
    repair_margin: JobMargin
    replacement_margins: dict[str, JobMargin]
