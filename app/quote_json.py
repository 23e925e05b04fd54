"""A quote as JSON for other programs: documented keys, no cost and no margin."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from app.ledger.records import IssuedQuote
    from app.visit import Visit
    from estimator.estimate import Estimate, HeaterFacts, PartShown, RepairPath, ReplacementPath
    from estimator.priced_job import PricedJob
    from estimator.uncertainty import Futures, PathFutures


def quote_json(
    visit: Visit, estimate: Estimate, quote: IssuedQuote | None = None
) -> dict[str, Any]:
    """Return a quote under the documented keys.

    Parameters
    ----------
    visit
        The visit.
    estimate
        What was worked out for it.
    quote
        The issued quote, where it was issued.

    Returns
    -------
    Plain JSON values: money [USD] as numbers with at most two decimals, costs over the
    study [USD] unrounded, shares as fractions. Figures of a closed repair path are null.
    """
    main = next((part for part in estimate.parts if part.needed_because is None), None)
    return {
        "number": quote.number if quote else None,
        "revision": quote.revision if quote else None,
        "valid_until": quote.valid_until.isoformat() if quote else None,
        "finding": visit.work.finding.value,
        "remedy": visit.work.remedy.value,
        "verdict": estimate.verdict.kind.value,
        "reasons": list(estimate.verdict.reasons),
        "turns_at": list(estimate.verdict.turns_at),
        "rules_of_thumb": [rule.why for rule in estimate.verdict.rules_of_thumb],
        "stops": [stop.model_dump(mode="json") for stop in estimate.stops],
        "cautions": [caution.model_dump(mode="json") for caution in estimate.cautions],
        "evidence": {
            **estimate.grade.model_dump(mode="json"),
            "ranked": [each.model_dump(mode="json") for each in estimate.ranked],
            "next_reading": (
                estimate.next_reading.model_dump(mode="json") if estimate.next_reading else None
            ),
        },
        "study_years": estimate.study_years,
        "real_discount_rate": estimate.real_discount_rate,
        "heater": _heater(estimate.heater),
        "part": _part(main) if main else None,
        "parts": [_part(part) for part in estimate.parts],
        "lines": _lines(estimate.repair.priced) if estimate.repair.open else [],
        "repair": _repair(estimate.repair),
        "replacements": [_replacement(path) for path in estimate.replacements],
        "how_sure": how_sure_json(estimate.futures),
        "turning_points": [point.model_dump(mode="json") for point in estimate.turning_points],
        "moves_most": [swing.model_dump(mode="json") for swing in estimate.moves_most],
    }


def how_sure_json(futures: Futures) -> dict[str, Any]:
    """Return the chance that repairing is cheaper, and the bands of every path.

    Parameters
    ----------
    futures
        All paths in the same random futures.

    Returns
    -------
    Chance [1] with its standard error; 10, 50 and 90 % of each life-cycle cost, and of what
    is paid by the end of each year 0..N, before residual value [USD].
    """
    return {
        "draws": futures.draws,
        "seed": futures.seed,
        "chance_repair_cheaper": futures.chance_repair_cheaper,
        "chance_standard_error": futures.chance_standard_error,
        "compared_with": futures.cheapest,
        "repair_lcc": futures.repair.lcc.model_dump(),
        "replacement_lcc": {path.name: path.lcc.model_dump() for path in futures.challengers},
        "repair_by_year": _by_year(futures.repair),
        "replacement_by_year": {path.name: _by_year(path) for path in futures.challengers},
    }


def _by_year(path: PathFutures) -> list[dict[str, float]]:
    return [band.model_dump() for band in path.by_year]


def _heater(facts: HeaterFacts) -> dict[str, Any]:
    return facts.model_dump(mode="json")


def _part(part: PartShown) -> dict[str, Any]:
    return {
        "number": part.number,
        "description": part.description,
        "fit_class": part.fit_class.value,
        "reasons": list(part.reasons),
        "check_these": list(part.check_these),
        "stock": part.stock.model_dump(mode="json"),
        "needed_because": part.needed_because,
    }


def _lines(priced: PricedJob) -> list[dict[str, Any]]:
    return [
        {
            "kind": line.kind.value,
            "description": line.description,
            "quantity": float(line.quantity),
            "unit": line.unit,
            "unit_price": float(line.unit_price),
            "amount": float(line.amount),
            "taxable": line.taxable,
            "note": line.note,
        }
        for line in priced.lines
    ]


def _totals(priced: PricedJob) -> dict[str, float]:
    return {
        "subtotal": float(priced.subtotal),
        "discount": float(priced.discount),
        "tax": float(priced.tax),
        "rounding": float(priced.rounding),
        "total": float(priced.total),
    }


def _repair(repair: RepairPath) -> dict[str, Any]:
    figures = {
        "price_today": float(repair.priced.total),
        "totals": _totals(repair.priced),
        "lcc": repair.cost.lcc,
        "per_month": float(repair.per_month),
        "break_even_price": float(repair.break_even_price),
        "break_even_age_years": repair.break_even_age_years,
        "best_planned_year": repair.best_planned_year,
        "best_planned_saves": (
            None if repair.best_planned_saves is None else float(repair.best_planned_saves)
        ),
        "cumulative": list(repair.cost.cumulative),
    }
    shown = figures if repair.open else dict.fromkeys(figures)
    return {"open": repair.open, "closed_reason": repair.closed_reason, **shown}


def _replacement(path: ReplacementPath) -> dict[str, Any]:
    return {
        "slug": path.slug,
        "name": path.name,
        "closed_reason": path.closed_reason,
        "check_these": list(path.check_these),
        "price_today": float(path.priced.total),
        "incentives": float(path.incentives),
        "price_after_incentives": float(path.price_after_incentives),
        "lines": _lines(path.priced),
        "totals": _totals(path.priced),
        "lcc": path.cost.lcc,
        "per_month": float(path.per_month),
        "energy_per_year": path.energy_per_year,
        "energy_unit": path.energy_unit,
        "energy_cost_per_year": path.energy_cost_per_year,
        "co2_kg_per_year": path.co2_kg_per_year,
        "net_savings": float(path.net_savings),
        "sir": path.sir,
        "airr": path.airr,
        "simple_payback_years": path.simple_payback_years,
        "discounted_payback_years": path.discounted_payback_years,
        "cumulative": list(path.cost.cumulative),
    }
