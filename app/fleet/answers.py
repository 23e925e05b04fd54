"""The answers of a part as a table, and what is advised for each heater."""

from __future__ import annotations

from enum import StrEnum
from typing import TYPE_CHECKING, Any, NamedTuple

import numpy as np
import pyarrow as pa
from numpy.typing import NDArray

from app.fleet.offered import CLOSED
from app.fleet.setting import GAS_FUELS

if TYPE_CHECKING:
    from app.fleet.costing import CostedPart
    from app.fleet.setting import FleetSetting

Floats = NDArray[np.float64]


class Advice(StrEnum):
    """What costs least, by money alone."""

    REPLACE_NOW = "replace_now"
    REPAIR_REPLACE_ON_PLAN = "repair_replace_on_plan"
    REPAIR_RUN_TO_FAILURE = "repair_run_to_failure"


ADVICES = tuple(Advice)
NOW, ON_PLAN, TO_FAILURE = range(3)


class Plan(NamedTuple):
    """What is advised for each row: place in `ADVICES`, years from today, price then [USD].

    `after_years` is 0 for a replacement now and -1 where none is planned.
    """

    advice: NDArray[np.int8]
    after_years: NDArray[np.int16]
    budget: Floats


def plan_of(costed: CostedPart, setting: FleetSetting) -> Plan:
    """Choose for each heater what costs least over the study.

    Parameters
    ----------
    costed
        The answers.
    setting
        The terms.

    Returns
    -------
    Replace now where that costs no more than either repair path; else repair, and replace
    at the end of the best planned year where that beats running to failure. Budgets are in
    today's dollars, escalated as the terms say; incentives count for a purchase now only.
    """
    answer = costed.answer
    prices = np.stack([each.installed_price for each in costed.columns.challengers])
    incentives = np.stack([each.incentives for each in costed.columns.challengers])
    price, off = costed.of_cheapest(prices), costed.of_cheapest(incentives)
    replace = costed.of_cheapest(answer.challenger_lcc)
    planned = np.where(np.isnan(answer.best_planned_lcc), np.inf, answer.best_planned_lcc)
    advice = np.where(planned < answer.repair_lcc, ON_PLAN, TO_FAILURE)
    advice = np.where(replace <= np.minimum(planned, answer.repair_lcc), NOW, advice)
    after = np.select([advice == NOW, advice == ON_PLAN], [0, answer.best_planned_year], -1)
    grown = price * (1.0 + setting.terms.install_price_escalation) ** np.maximum(after, 0)
    budget = np.select([advice == NOW, advice == ON_PLAN], [price - off, grown], 0.0)
    return Plan(advice.astype(np.int8), after.astype(np.int16), budget)


def table_of(costed: CostedPart, plan: Plan, setting: FleetSetting) -> pa.Table:
    """Lay a part's answers out as a table.

    Parameters
    ----------
    costed
        The answers.
    plan
        What is advised.
    setting
        The setting, for the names of the challengers.

    Returns
    -------
    One row a heater, with the columns of `output_columns`.
    """
    part, given, answer = costed.part, costed.columns.defender, costed.answer
    words = np.array([fuel.value for fuel in GAS_FUELS], dtype=object)
    said = np.array([advice.value for advice in ADVICES], dtype=object)
    price = np.stack([each.installed_price for each in costed.columns.challengers])
    no_plan = answer.best_planned_year == 0
    columns: dict[str, Any] = {
        "row": part.rows,
        "id": part.texts["id"],
        "site": part.texts["site"],
        "fuel": words[part.words["fuel"]],
        "age_years": given.age_years,
        "rating": costed.rating.value,
        "rating_is_assumed": costed.rating.assumed,
        "draw_gal_per_day": costed.draw_gal,
        "energy_cost_per_year": given.energy_cost_per_year,
        "repair_price": given.repair_price,
        "repair_lcc": answer.repair_lcc,
        "best_challenger": costed.of_cheapest(costed.name_of),
        "best_challenger_price": costed.of_cheapest(price),
        "best_challenger_lcc": costed.of_cheapest(answer.challenger_lcc),
        "best_challenger_is_settled": costed.of_cheapest(costed.standing) == 0,
        "break_even_repair_price": answer.break_even_repair_price,
        "best_planned_after_years": _masked(answer.best_planned_year.astype(np.int16), no_plan),
        "best_planned_lcc": _masked(answer.best_planned_lcc, no_plan),
        "chance_repair_cheaper": answer.chance_repair_cheaper,
        "chance_fails_first_year": answer.chance_fails_first_year,
        "advice": said[plan.advice],
        "replace_in_year": _masked(plan.after_years + setting.on.year, plan.after_years < 0),
        "replacement_budget": plan.budget,
    }
    for slot, (name, _) in enumerate(setting.offers.slots):
        closed = costed.standing[slot] >= CLOSED
        columns[f"lcc_{name}"] = _masked(answer.challenger_lcc[slot], closed)
    return pa.table(columns, schema=schema_of(setting))


def _masked(values: NDArray[Any], without: NDArray[np.bool_]) -> pa.Array:
    return pa.array(values, mask=without)


_TEXT, _NUMBER, _YES = pa.string(), pa.float64(), pa.bool_()

COLUMNS_OUT: dict[str, tuple[Any, str]] = {
    "row": (pa.int64(), "row in the file read; 1 is the first below the header"),
    "id": (_TEXT, "as given"),
    "site": (_TEXT, "as given"),
    "fuel": (_TEXT, "as given"),
    "age_years": (_NUMBER, "age on the day of the terms [yr]"),
    "rating": (_NUMBER, "EF or UEF taken [1]"),
    "rating_is_assumed": (_YES, "no label: the minimum of its date"),
    "draw_gal_per_day": (_NUMBER, "hot water taken [gal/day]"),
    "energy_cost_per_year": (_NUMBER, "at today's price [USD/yr]"),
    "repair_price": (_NUMBER, "as given, or the price for all [USD]"),
    "repair_lcc": (_NUMBER, "repair now and run to failure, life-cycle cost [USD]"),
    "best_challenger": (_TEXT, "the cheapest that can go there, by life-cycle cost"),
    "best_challenger_price": (_NUMBER, "installed, before incentives [USD]"),
    "best_challenger_lcc": (_NUMBER, "replace now by it, life-cycle cost [USD]"),
    "best_challenger_is_settled": (_YES, "nothing at the site is left to check that may close"),
    "break_even_repair_price": (_NUMBER, "repair price at which both cost the same [USD]"),
    "best_planned_after_years": (pa.int16(), "repair now, replace after so many years [yr]"),
    "best_planned_lcc": (_NUMBER, "life-cycle cost of that [USD]"),
    "chance_repair_cheaper": (_NUMBER, "over when it fails, all else as expected [1]"),
    "chance_fails_first_year": (_NUMBER, "fails within a year of the repair [1]"),
    "advice": (_TEXT, "what costs least, by money alone: a stop at the heater comes first"),
    "replace_in_year": (pa.int32(), "calendar year, blank where run to failure"),
    "replacement_budget": (_NUMBER, "price then, in dollars of today [USD]"),
}
"""Columns of every output: name → type and meaning. Amounts are dollars of today, present
values over the study [USD]."""


def output_columns(setting: FleetSetting) -> dict[str, tuple[Any, str]]:
    """Return the columns of the output: name → type and meaning.

    Parameters
    ----------
    setting
        The setting, for the names of the challengers.

    Returns
    -------
    `COLUMNS_OUT`, then one column for each challenger, in the order of the file.
    """
    by_challenger = {
        f"lcc_{name}": (_NUMBER, f"replace now by {name} [USD]; blank where closed")
        for name, _ in setting.offers.slots
    }
    return COLUMNS_OUT | by_challenger


def schema_of(setting: FleetSetting) -> pa.Schema:
    """Return the schema of the output; each field says what it means."""
    return pa.schema(
        [
            pa.field(name, kind, metadata={"about": about})
            for name, (kind, about) in output_columns(setting).items()
        ]
    )
