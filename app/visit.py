"""A visit: what the technician writes down, as a file and as a draft.

The same model checks a VISIT.toml, the draft behind the page, and what an issued quote
keeps.
"""

from __future__ import annotations

from datetime import date
from decimal import Decimal
from typing import Annotated

from pydantic import BaseModel, ConfigDict, Field, model_validator

from estimator.case import Case, StudyBasis
from estimator.findings import FINDINGS, Finding, Hazards, Readings, Remedy
from estimator.heater import Household, RatingPlate, Site
from estimator.money import Share

Text = Annotated[str, Field(max_length=200)]


class _Section(BaseModel):
    model_config = ConfigDict(frozen=True, extra="forbid")


class People(_Section):
    """Who comes, to whom, and when."""

    date: date
    technician: Text = ""
    van: Text = ""
    customer_name: Text = ""
    customer_address: Text = ""
    note: Annotated[str, Field(max_length=2000)] = ""


class OldPart(_Section):
    """The old part in the hand: the number stamped on it and what was measured.

    `features` are named as the catalog names them for the part's family, such as
    `length_in` or `connection`.
    """

    number: Text | None = None
    features: dict[str, str | float | bool] = {}


class Work(_Section):
    """The finding, the remedy chosen, and how the job is to be priced.

    `part_number` picks a part outright; without it the best that fits is taken. `years` is the
    study period [yr]; without it `study` says what sets it. `tax_place` names the place whose
    sales tax is taken, one of the rate sheet's.
    """

    finding: Finding
    remedy: Remedy
    part_number: Text | None = None
    after_hours: bool = False
    plan_member: bool = False
    discount: Share = Decimal(0)
    tax_place: Annotated[str, Field(max_length=80)] = ""
    years: Annotated[int, Field(ge=1, le=40)] | None = None
    study: StudyBasis = StudyBasis.CUSTOMER

    @model_validator(mode="after")
    def _remedy_is_for_the_finding(self) -> Work:
        usual = FINDINGS[self.finding].remedies
        if self.remedy not in usual:
            raise ValueError(
                f'remedy "{self.remedy.value}" is not one for "{self.finding.value}"; '
                f"its remedies are {', '.join(remedy.value for remedy in usual)}"
            )
        return self


class Visit(_Section):
    """One visit to one heater, as a file or a finished draft.

    `revises` is the number of an issued quote that the quote of this visit takes the place of.
    """

    title: Text = ""
    revises: Text = ""
    invented: bool = False
    visit: People
    family: Annotated[str, Field(max_length=80)] | None = None
    heater: RatingPlate
    site: Site = Site()
    household: Household = Household()
    work: Work
    old_part: OldPart = OldPart()
    readings: Readings = Readings()
    hazards: Hazards = Hazards()

    @model_validator(mode="after")
    def _heater_is_not_from_the_future(self) -> Visit:
        self.heater.age_years(self.visit.date)
        return self

    def case(self) -> Case:
        """Return what of the visit changes the answer.

        Returns
        -------
        The case that the estimator takes.
        """
        work = self.work
        return Case(
            heater=self.heater,
            site=self.site,
            household=self.household,
            finding=work.finding,
            remedy=work.remedy,
            readings=self.readings,
            hazards=self.hazards,
            after_hours=work.after_hours,
            plan_member=work.plan_member,
            discount=work.discount,
            tax_place=work.tax_place,
            years=work.years,
            study=work.study,
        )
