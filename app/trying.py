"""Other numbers tried on a priced visit: what moves, at once, with nothing of the quote changed."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from estimator.engine_inputs import challenger, defender, engine_terms, heater_in_place
from estimator.life_cycle import compare
from estimator.sensitivity import Setting, varied
from estimator.uncertainty import draw_futures

if TYPE_CHECKING:
    from collections.abc import Mapping
    from decimal import Decimal

    from app.visiting import PricedVisit
    from estimator.estimate import ReplacementPath


@dataclass(frozen=True)
class Tried:
    """Both paths with the numbers tried.

    Attributes
    ----------
    repair_lcc, replace_lcc
        Expected life-cycle cost [USD] of repairing, and of replacing by the cheapest.
    replacement
        Name of the cheapest.
    chance_repair_cheaper
        Share of the random futures in which repairing costs less [1].
    """

    repair_lcc: float
    replace_lcc: float
    replacement: str
    chance_repair_cheaper: float


def setting_of(priced: PricedVisit) -> Setting:
    """Return the comparison that an estimate rests on, for other numbers to be tried on it.

    Parameters
    ----------
    priced
        The priced visit.

    Returns
    -------
    The heater in place, the replacements that the estimate compares, and the terms.
    """
    estimate, sheet = priced.estimate, priced.rate_sheet.sheet
    case, on, years = priced.visit.case(), priced.visit.visit.date, estimate.study_years
    heaters = {heater.slug: heater for heater in priced.supply.replacements}
    alike = [it for it in estimate.replacements if heaters[it.slug].like_for_like]
    like_for_like = min(it.priced.total for it in alike or estimate.replacements)
    in_place = heater_in_place(case, sheet, on)
    repair: Decimal = estimate.repair.priced.total
    best = _standing(estimate.replacements[0])
    return Setting(
        defender(case, in_place, repair, like_for_like, sheet, on, years),
        tuple(
            challenger(case, heaters[it.slug], it.priced.total, it.incentives, sheet, on, years)[0]
            for it in estimate.replacements
            if _standing(it) == best
        ),
        engine_terms(sheet, years),
    )


def _standing(path: ReplacementPath) -> tuple[bool, bool]:
    return path.closed_reason is not None, path.closed_reason is None and not path.settled


def try_numbers(priced: PricedVisit, factors: Mapping[str, float]) -> Tried:
    """Work both paths out with other numbers.

    Parameters
    ----------
    priced
        The priced visit.
    factors
        Name of an input of `estimator.sensitivity` → value over the value quoted [1].

    Returns
    -------
    The costs, and how often repairing costs less.
    """
    setting = varied(setting_of(priced), factors)
    found = compare(*setting, with_break_even_age=False)
    futures = draw_futures(*setting, priced.rate_sheet.sheet.economics.spread)
    cheapest = next(path for path in found.challengers if path.name == found.cheapest)
    names = {path.slug: path.name for path in priced.estimate.replacements}
    return Tried(
        repair_lcc=found.repair.lcc,
        replace_lcc=cheapest.lcc,
        replacement=names[cheapest.name],
        chance_repair_cheaper=futures.chance_repair_cheaper,
    )
