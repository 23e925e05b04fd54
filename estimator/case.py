"""What the technician found, as far as it changes the answer."""

from __future__ import annotations

from decimal import Decimal
from enum import StrEnum
from typing import Annotated

from pydantic import BaseModel, ConfigDict, Field

from estimator.findings import Finding, Hazards, Readings, Remedy
from estimator.heater import Household, RatingPlate, Site
from estimator.money import Share


class StudyBasis(StrEnum):
    """What sets the study period where no number of years is given.

    `customer` is as long as the customer stays, where he says it, else the life of a new
    heater; the other two hold whatever he says.
    """

    CUSTOMER = "customer"
    CHALLENGER_LIFE = "challenger_life"
    REMAINING_LIFE = "remaining_life"


class Case(BaseModel):
    """What the technician found: heater, place, household, finding, remedy, readings.

    Only what changes the answer is in it; names of people are kept elsewhere. `years` is
    the study period [yr]; where it is ``None``, `study` says what sets it. `tax_place` names
    the place whose sales tax the rate sheet takes; empty for none of its own.
    """

    model_config = ConfigDict(frozen=True, extra="forbid")

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
    tax_place: Annotated[str, Field(max_length=80)] = ""
    years: Annotated[int, Field(ge=1, le=40)] | None = None
    study: StudyBasis = StudyBasis.CUSTOMER
