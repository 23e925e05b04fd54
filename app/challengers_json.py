"""The replacements of a visit as JSON for other programs: documented keys, no cost, no margin."""

from __future__ import annotations

from dataclasses import asdict
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from app.challengers import Challengers
    from estimator.estimate import ReplacementPath


def challengers_json(found: Challengers) -> dict[str, Any]:
    """Return the replacements as plain values under documented keys.

    Parameters
    ----------
    found
        The replacements of a visit.

    Returns
    -------
    Money [USD] as numbers, cost over the study unrounded; no cost of the shop's and no margin.
    Figures of a closed repair path are null.
    """
    estimate = found.estimate
    return {
        "study_years": estimate.study_years,
        "peak_hour": asdict(found.hour),
        "repair": _repair_json(found),
        "challengers": [_challenger_json(path, found) for path in estimate.replacements],
        "frontier": list(found.frontier),
        "by_the_year": _by_the_year_json(found),
        "moves_most": [swing.model_dump(mode="json") for swing in estimate.moves_most],
    }


def _by_the_year_json(found: Challengers) -> dict[str, Any] | None:
    if found.by_the_year is None:
        return None
    costs = {"heater_in_place": found.by_the_year.in_place, found.best.slug: found.by_the_year.new}
    return {
        name: {
            "economic_life_years": cost.economic_life_years,
            "least_per_year": cost.least_per_year,
            "annual_cost_by_years_kept": list(cost.annual),
            "cost_of_each_year": list(cost.marginal),
        }
        for name, cost in costs.items()
    }


def _repair_json(found: Challengers) -> dict[str, Any]:
    repair = found.estimate.repair
    figures: dict[str, Any] = {
        "price_today": float(repair.priced.total),
        "lcc": repair.cost.lcc,
        "per_month": float(repair.per_month),
    }
    shown = figures if repair.open else dict.fromkeys(figures)
    return {"open": repair.open, "closed_reason": repair.closed_reason, **shown}


def _challenger_json(path: ReplacementPath, found: Challengers) -> dict[str, Any]:
    water = found.hot_water[path.slug]
    return {
        "slug": path.slug,
        "name": path.name,
        "closed_reason": path.closed_reason,
        "check_these": list(path.check_these),
        "price_today": float(path.priced.total),
        "price_after_incentives": float(path.price_after_incentives),
        "incentives": [each.model_dump(mode="json") for each in found.incentives[path.slug]],
        "site_asks_for": [asdict(each) for each in found.asked[path.slug]],
        "lcc": path.cost.lcc,
        "equivalent_annual_cost": path.cost.equivalent_annual_cost,
        "per_month": float(path.per_month),
        "energy_per_year": path.energy_per_year,
        "energy_unit": path.energy_unit,
        "energy_cost_per_year": path.energy_cost_per_year,
        "co2_kg_per_year": path.co2_kg_per_year,
        "hot_water": {
            "unit": water.unit,
            "gives": water.gives,
            "needed": water.needed,
            "enough": water.enough,
        },
        "wins_on": list(found.wins.get(path.slug, ())),
        "on_frontier": path.slug in found.frontier,
    }
