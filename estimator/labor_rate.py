"""The shop's own labor rate, built up from wages, burden, overhead and billable hours."""

from __future__ import annotations

from decimal import Decimal
from typing import Annotated

from pydantic import BaseModel, ConfigDict, Field

from estimator.money import Dollars, Share, to_cents


class _Frozen(BaseModel):
    model_config = ConfigDict(frozen=True, extra="forbid")


class LaborRateBasis(_Frozen):
    """What a year of labor costs the shop, and the hours it can bill.

    `wages` and `overhead` [USD] and `billable_hours` [h] are of the same year and the same
    people. `burden` is payroll tax, insurance and benefits as a share of wages [1], which
    may be above one; `target_margin` the gross margin wanted on labor [1].
    """

    wages: Dollars
    burden: Annotated[Decimal, Field(ge=0, le=5, allow_inf_nan=False)] = Decimal(0)
    overhead: Dollars = Decimal(0)
    billable_hours: Annotated[Decimal, Field(gt=0, le=1_000_000, allow_inf_nan=False)]
    target_margin: Share = Decimal(0)


class RateAtHours(_Frozen):
    """The rate [USD/h] if the shop billed `billable_hours` [h]."""

    billable_hours: Decimal
    rate_per_h: Decimal


class LaborRate(_Frozen):
    """The labor rate and each part of it, all per billable hour [USD/h].

    ``rate_per_h`` is the unrounded sum of the parts, rounded half up to the cent; the
    parts are rounded each for itself and may differ from it by a cent or two.
    """

    wages_per_h: Decimal
    burden_per_h: Decimal
    overhead_per_h: Decimal
    cost_per_h: Decimal
    margin_per_h: Decimal
    rate_per_h: Decimal
    sensitivity: tuple[RateAtHours, ...]


SENSITIVITY = (Decimal("0.8"), Decimal("0.9"), Decimal(1), Decimal("1.1"), Decimal("1.2"))
"""Shares of the billable hours at which the rate is shown again."""


def labor_rate(basis: LaborRateBasis) -> LaborRate:
    """Build up the shop's hourly labor rate.

    Parameters
    ----------
    basis
        Wages, burden, overhead and billable hours of a year, and the margin wanted.

    Returns
    -------
    The rate, each part of it, and the rate at fewer and more billable hours.

    Notes
    -----
    ``rate = (wages * (1 + burden) + overhead) / billable_hours / (1 - target_margin)``.
    Wages, burden and overhead are held as the hours vary: they are paid whether or not
    the hours are billed, which is why the rate hangs so much on the hours. Profit beside
    overhead is in the margin alone.

    References
    ----------
    Remodeling magazine, on labor-only jobs: 20.00 $/h with 56.5 % burden is 31.30;
    175,000 over 1,912 h times 4.5 workers is 20.34; together 51.64 $/h before profit.
    """
    hours = basis.billable_hours
    cost = basis.wages * (1 + basis.burden) + basis.overhead
    cost_per_h = cost / hours
    rate = _rate(basis, hours)
    return LaborRate(
        wages_per_h=to_cents(basis.wages / hours),
        burden_per_h=to_cents(basis.wages * basis.burden / hours),
        overhead_per_h=to_cents(basis.overhead / hours),
        cost_per_h=to_cents(cost_per_h),
        margin_per_h=to_cents(rate - cost_per_h),
        rate_per_h=to_cents(rate),
        sensitivity=tuple(
            RateAtHours(
                billable_hours=hours * share, rate_per_h=to_cents(_rate(basis, hours * share))
            )
            for share in SENSITIVITY
        ),
    )


def _rate(basis: LaborRateBasis, hours: Decimal) -> Decimal:
    cost = basis.wages * (1 + basis.burden) + basis.overhead
    return cost / hours / (1 - basis.target_margin)
