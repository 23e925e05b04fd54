"""The owner's view of the labor rate: every part of it, and what the billable hours do."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from app import formatting
from app.views.desk_words import signed_money

if TYPE_CHECKING:
    from decimal import Decimal

    from app.desk.labor import BuiltRate


@dataclass(frozen=True)
class LaborRateView:
    """The labor rate on the screen.

    `parts` and `at_hours` are label and text. `plot_hours` [h/yr] and `plot_rates` [USD/h] are
    the sensitivity as plain series.
    """

    rate: str
    cost: str
    parts: tuple[tuple[str, str], ...]
    at_hours: tuple[tuple[str, str], ...]
    plot_hours: tuple[float, ...]
    plot_rates: tuple[float, ...]
    note: str


def build_labor_rate_view(built: BuiltRate) -> LaborRateView:
    """Build the view of a labor rate.

    Parameters
    ----------
    built
        The rate with its parts.

    Returns
    -------
    The view.
    """
    sheet, rate = built.sheet, built.rate
    hours = tuple(each.billable_hours / sheet.workers for each in rate.sensitivity)
    billed = sheet.billable_hours / sheet.paid_hours
    return LaborRateView(
        rate=f"{formatting.money(rate.rate_per_h)}/h",
        cost=f"{formatting.money(rate.cost_per_h)}/h",
        parts=tuple((part.name, f"{formatting.money(part.per_h)}/h") for part in built.parts),
        at_hours=tuple(
            (_hours(at), _at(each.rate_per_h, rate.rate_per_h))
            for at, each in zip(hours, rate.sensitivity, strict=True)
        ),
        plot_hours=tuple(map(float, hours)),
        plot_rates=tuple(float(each.rate_per_h) for each in rate.sensitivity),
        note=f"{formatting.percent(billed, 0)} of the paid hours are billed. Each part is rounded "
        "for itself; the rate is rounded once.",
    )


def _hours(hours: Decimal) -> str:
    return f"{formatting.number(hours)} billable hours a worker"


def _at(rate: Decimal, now: Decimal) -> str:
    change = f" ({signed_money(rate - now)})" if rate != now else ""
    return f"{formatting.money(rate)}/h{change}"
