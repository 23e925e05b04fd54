"""The owner's view of the labor rate: the year's figures as a form, every part, the hours."""

from __future__ import annotations

from dataclasses import dataclass, replace
from decimal import Decimal
from typing import TYPE_CHECKING, Any, Final

from app import formatting
from app.desk.labor import LaborSheet, build_labor_rate, labor_sheet_from
from app.views.desk_words import signed_money
from app.views.fields import NO_NUMBER, Field, problems_in, said_as_asked
from estimator.errors import Trouble

if TYPE_CHECKING:
    from collections.abc import Mapping

    from app.desk.labor import BuiltRate

WAGES: Final = (
    Field("wage_per_h", "Wage of an hour", unit="$/h", required=True),
    Field("workers", "Workers", hint="1 unless given"),
    Field("paid_hours", "Hours paid, each, a year", unit="h", hint="2,080 unless given"),
    Field("billable_hours", "Hours billed, each, a year", unit="h", required=True),
)
BURDEN: Final = (
    Field("burden.Payroll taxes", "Payroll taxes", unit="%", hint="of wages"),
    Field("burden.Workers' compensation", "Workers' compensation", unit="%", hint="of wages"),
    Field("burden.Other burden", "Other burden", unit="%", hint="of wages"),
    Field("burden_per_year.Health insurance", "Health insurance", unit="$", hint="each, a year"),
    Field(
        "burden_per_year.Tools and training", "Tools and training", unit="$", hint="each, a year"
    ),
)
OVERHEAD: Final = (
    Field("overhead.Rent and utilities", "Rent and utilities", unit="$", hint="a year"),
    Field("overhead.Vans and fuel", "Vans and fuel", unit="$", hint="a year"),
    Field("overhead.Office and phones", "Office and phones", unit="$", hint="a year"),
    Field("overhead.Insurance", "Insurance", unit="$", hint="a year"),
    Field("overhead.Other overhead", "Other overhead", unit="$", hint="a year"),
)
TARGET: Final = (Field("target_margin", "Margin wanted on labor", unit="%"),)
HUNDRED: Final = Decimal(100)


@dataclass(frozen=True)
class LaborFormView:
    """The form of the labor rate; `built` once what is needed is there, else `said` why not."""

    groups: tuple[tuple[str, tuple[Field, ...]], ...]
    built: LaborRateView | None
    rate_per_h: Decimal | None
    cost_per_h: Decimal | None
    said: str


def build_labor_form(typed: Mapping[str, float | str | None]) -> LaborFormView:
    """Build the form from what was typed, and the rate from it as far as it goes.

    Parameters
    ----------
    typed
        Path of a field → the number typed, in percent where it asks for percent; a text that
        is no number stays a text.

    Returns
    -------
    The view; a field that cannot be used says why.
    """
    asked = (*WAGES, *BURDEN, *OVERHEAD, *TARGET)
    values = _values(asked, typed)
    problems = problems_in(LaborSheet, values)
    groups = tuple(
        (title, tuple(_answered(each, typed, problems) for each in fields))
        for title, fields in (
            ("Wages and hours", WAGES),
            ("Burden", BURDEN),
            ("Overhead of the shop", OVERHEAD),
            ("Margin", TARGET),
        )
    )
    if not all(typed.get(each.path) not in (None, "") for each in WAGES if each.required):
        return LaborFormView(groups, None, None, None, "The wage and the hours billed are needed.")
    if any(each.problem for _, fields in groups for each in fields):
        return LaborFormView(groups, None, None, None, "Mend what is marked above.")
    try:
        built = build_labor_rate(labor_sheet_from(values, "the labor rate"))
    except Trouble as trouble:
        return LaborFormView(groups, None, None, None, str(trouble))
    rate = built.rate
    return LaborFormView(groups, build_labor_rate_view(built), rate.rate_per_h, rate.cost_per_h, "")


def _values(asked: tuple[Field, ...], typed: Mapping[str, float | str | None]) -> dict[str, Any]:
    values: dict[str, Any] = {}
    for field in asked:
        given = typed.get(field.path)
        if given is None or given == "":
            continue
        if not isinstance(given, str):
            exact = Decimal(repr(given)) / (HUNDRED if field.unit == "%" else 1)
            given = f"{exact.normalize():f}"
        section, _, name = field.path.partition(".")
        if name:
            values.setdefault(section, {})[name] = given
        else:
            values[section] = given
    return values


def _answered(
    field: Field, typed: Mapping[str, float | str | None], problems: Mapping[str, str]
) -> Field:
    given = typed.get(field.path)
    # a text is no number, even one that a decimal could be made of, such as "1_0"
    problem = problems.get(field.path, NO_NUMBER if given and isinstance(given, str) else "")
    said = f"{field.label} {said_as_asked(problem, field)}." if problem else ""
    return replace(field, value=given, problem=said)


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
