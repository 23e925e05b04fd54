"""The shop's own labor rate from what an owner knows: wages, burden, overhead, hours."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal
from typing import Annotated, Any

from pydantic import BaseModel, ConfigDict, Field, model_validator

from estimator.errors import checked
from estimator.labor_rate import LaborRate, LaborRateBasis, labor_rate
from estimator.money import Dollars, Share, to_cents

Name = Annotated[str, Field(min_length=1, max_length=80)]
Hours = Annotated[Decimal, Field(gt=0, le=8784, allow_inf_nan=False)]
BurdenShare = Annotated[Decimal, Field(ge=0, le=5, allow_inf_nan=False)]


class LaborSheet(BaseModel):
    """A year of the shop's labor, as its owner knows it.

    `wage_per_h` [USD/h] is paid to each of `workers` for `paid_hours` [h/yr]; `billable_hours`
    [h/yr] of them are billed. `burden` names shares of wages (payroll tax, compensation
    insurance), `burden_per_year` amounts for one worker [USD/yr] (health insurance, tools);
    `overhead` amounts for the whole shop [USD/yr]. `target_margin` is the gross margin
    wanted on labor [1].
    """

    model_config = ConfigDict(frozen=True, extra="forbid")

    workers: Annotated[Decimal, Field(gt=0, le=100_000, allow_inf_nan=False)] = Decimal(1)
    wage_per_h: Annotated[Dollars, Field(gt=0)]
    paid_hours: Hours = Decimal(2080)
    billable_hours: Hours
    burden: dict[Name, BurdenShare] = {}
    burden_per_year: dict[Name, Dollars] = {}
    overhead: dict[Name, Dollars] = {}
    target_margin: Share = Decimal(0)

    @model_validator(mode="after")
    def _no_more_is_billed_than_paid(self) -> LaborSheet:
        if self.billable_hours > self.paid_hours:
            raise ValueError(
                f"more hours are billed ({self.billable_hours}) than paid ({self.paid_hours}); "
                "give billable_hours and paid_hours of one worker in a year"
            )
        return self


@dataclass(frozen=True)
class RatePart:
    """One part of the rate, per billable hour [USD/h], rounded for itself."""

    name: str
    per_h: Decimal


@dataclass(frozen=True)
class BuiltRate:
    """The labor rate with every part shown; `rate` holds the totals and the sensitivity.

    `parts` are wages of billed hours, wages of paid hours that are not billed, each burden
    item, each overhead item and the margin. They add up to the rate within a cent a part.
    """

    sheet: LaborSheet
    rate: LaborRate
    parts: tuple[RatePart, ...]


def labor_sheet_from(values: Mapping[str, Any], where: str) -> LaborSheet:
    """Check what was typed or read, and make a labor sheet of it.

    Parameters
    ----------
    values
        Keys and values as in a file.
    where
        The file or form, for the message.

    Returns
    -------
    The labor sheet.

    Raises
    ------
    InputTrouble
        Naming each key that is missing, misspelt or cannot be.
    """
    return checked(LaborSheet, values, where)


def build_labor_rate(sheet: LaborSheet) -> BuiltRate:
    """Build up the labor rate, every part shown.

    Parameters
    ----------
    sheet
        Wages, burden, overhead and hours.

    Returns
    -------
    The rate, its parts, and the rate at fewer and more billable hours.

    Notes
    -----
    ``rate = (wages * (1 + burden) + overhead) / billable_hours / (1 - target_margin)``, with
    wages for all paid hours: an hour that is paid and not billed must be earned by those that
    are. The sensitivity varies the billable hours alone and may go past the paid ones.

    References
    ----------
    `estimator.labor_rate.labor_rate`.
    """
    wages = sheet.workers * sheet.wage_per_h * sheet.paid_hours
    billable = sheet.workers * sheet.billable_hours
    of_workers = sum(sheet.burden_per_year.values(), Decimal(0)) * sheet.workers
    burden = sum(sheet.burden.values(), Decimal(0)) + of_workers / wages
    rate = labor_rate(
        checked(
            LaborRateBasis,
            {
                "wages": wages,
                "burden": burden,
                "overhead": sum(sheet.overhead.values(), Decimal(0)),
                "billable_hours": billable,
                "target_margin": sheet.target_margin,
            },
            "the labor sheet",
        )
    )
    unbilled = wages - sheet.wage_per_h * billable
    yearly = [
        ("Wages of billed hours", sheet.wage_per_h * billable),
        ("Wages of hours paid and not billed", unbilled),
        *((name, wages * share) for name, share in sheet.burden.items()),
        *((name, amount * sheet.workers) for name, amount in sheet.burden_per_year.items()),
        *sheet.overhead.items(),
    ]
    parts = [RatePart(name, to_cents(amount / billable)) for name, amount in yearly if amount]
    if rate.margin_per_h:
        parts.append(RatePart("Margin", rate.margin_per_h))
    return BuiltRate(sheet, rate, tuple(parts))
