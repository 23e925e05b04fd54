"""The two sides of the customer's view: repair, and the replacement it is compared with."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from typing import TYPE_CHECKING

from app import formatting
from app.views import customer_words as words
from app.views.customer_prices import PriceTable, build_price_table
from estimator.findings import REMEDIES, Remedy

if TYPE_CHECKING:
    from app.visit import Visit
    from estimator.estimate import Estimate, PartShown, ReplacementPath

__all__ = [
    "OtherReplacement",
    "PriceTable",
    "Side",
    "build_other",
    "build_repair_side",
    "build_replacement_side",
    "pick_compared",
    "sentence",
]


@dataclass(frozen=True)
class Side:
    """One path: what it is, what it costs today and per month, what it buys.

    A closed path has a reason and no prices. `you_pay` is the price today less what
    others pay (incentives).
    """

    key: str
    label: str
    what: str
    open: bool
    closed_reason: str | None
    price_today: str | None
    incentives: str | None
    you_pay: str | None
    per_month: str | None
    over_study: str | None
    buys: tuple[str, ...]
    checks: tuple[str, ...]
    prices: PriceTable | None


@dataclass(frozen=True)
class OtherReplacement:
    """A replacement that is not the one compared: one row."""

    name: str
    open: bool
    you_pay: str | None
    per_month: str | None
    energy: str
    closed_reason: str | None
    checks: tuple[str, ...]


def sentence(text: str) -> str:
    """End a text with a full stop where it has no end mark.

    Parameters
    ----------
    text
        Words, with or without an end mark.

    Returns
    -------
    The sentence; an empty text stays empty.
    """
    return f"{text}." if text and text[-1] not in ".!?" else text


def pick_compared(estimate: Estimate) -> ReplacementPath | None:
    """Pick the replacement that stands beside the repair.

    Parameters
    ----------
    estimate
        The estimate.

    Returns
    -------
    The open replacement with the least life-cycle cost, one that is settled before one
    that is not, as the verdict takes it; ``None`` when all are closed.
    """
    open_paths = [path for path in estimate.replacements if path.closed_reason is None]
    return min(open_paths, key=lambda path: (not path.settled, path.cost.lcc), default=None)


def build_repair_side(visit: Visit, estimate: Estimate, lump: bool) -> Side:
    """Build the repair side.

    Parameters
    ----------
    visit
        The visit.
    estimate
        The estimate.
    lump
        Show one sum in place of the items.

    Returns
    -------
    The side.
    """
    repair = estimate.repair
    remedy = visit.work.remedy
    what = words.NO_REPAIR if remedy is Remedy.REPLACE_HEATER else REMEDIES[remedy].name
    if not repair.open:
        return _closed_side("repair", words.LABELS["repair"], what, repair.closed_reason or "")
    total = formatting.money(repair.priced.total)
    to_check = any(part.check_these for part in estimate.parts)
    return Side(
        key="repair",
        label=words.LABELS["repair"],
        what=what,
        open=True,
        closed_reason=None,
        price_today=total,
        incentives=None,
        you_pay=total,
        per_month=formatting.whole_money(repair.per_month),
        over_study=formatting.whole_money(repair.cost.lcc),
        buys=_repair_buys(estimate),
        checks=(words.PART_CHECK,) if to_check else (),
        prices=build_price_table(repair.priced, what, lump),
    )


def build_replacement_side(
    estimate: Estimate, compared: ReplacementPath | None, lump: bool
) -> Side:
    """Build the replacement side.

    Parameters
    ----------
    estimate
        The estimate.
    compared
        The replacement that is compared, or ``None`` when every one is closed.
    lump
        Show one sum in place of the items.

    Returns
    -------
    The side.
    """
    label = words.LABELS["replace"]
    if compared is None:
        reason = words.NO_REPLACEMENT if estimate.replacements else words.NONE_OFFERED
        return _closed_side("replace", label, words.A_NEW_HEATER, reason)
    mend_first = [
        words.MEND_FIRST.format(what=stop.what_to_do)
        for stop in estimate.stops
        if stop.closes_replacement
    ]
    return Side(
        key="replace",
        label=label,
        what=compared.name,
        open=True,
        closed_reason=None,
        price_today=formatting.money(compared.priced.total),
        incentives=_incentives(compared),
        you_pay=formatting.money(compared.price_after_incentives),
        per_month=formatting.whole_money(compared.per_month),
        over_study=formatting.whole_money(compared.cost.lcc),
        buys=_replacement_buys(estimate, compared),
        checks=(*mend_first, *compared.check_these),
        prices=build_price_table(compared.priced, compared.name, lump),
    )


def _closed_side(key: str, label: str, what: str, reason: str) -> Side:
    return Side(
        key=key,
        label=label,
        what=what,
        open=False,
        closed_reason=sentence(reason),
        price_today=None,
        incentives=None,
        you_pay=None,
        per_month=None,
        over_study=None,
        buys=(),
        checks=(),
        prices=None,
    )


def build_other(path: ReplacementPath, compared: ReplacementPath | None) -> OtherReplacement:
    """Build the row of a replacement that is not the one compared.

    Parameters
    ----------
    path
        The replacement.
    compared
        The replacement that is compared, if any.

    Returns
    -------
    The row; without prices when the path is closed, and without what is to be checked
    for the compared one too: that is said there.
    """
    said = compared.check_these if compared is not None else ()
    is_open = path.closed_reason is None
    return OtherReplacement(
        name=path.name,
        open=is_open,
        you_pay=formatting.money(path.price_after_incentives) if is_open else None,
        per_month=formatting.whole_money(path.per_month) if is_open else None,
        energy=energy(path.energy_per_year, path.energy_unit),
        closed_reason=sentence(path.closed_reason) if path.closed_reason else None,
        checks=tuple(sentence(check) for check in path.check_these if check not in said),
    )


def energy(per_year: float, unit: str) -> str:
    """Write a yearly amount of energy.

    Parameters
    ----------
    per_year
        Energy, in `unit` a year.
    unit
        therm, gal or kWh, with or without "/yr".

    Returns
    -------
    The text, such as ``176 therms``.
    """
    name = unit.removesuffix("/yr")
    spoken = {"therm": "therms", "gal": "gallons"}.get(name, name)
    return f"{formatting.number(per_year)} {spoken}"


def _incentives(path: ReplacementPath) -> str | None:
    return formatting.money(path.incentives) if path.incentives > Decimal(0) else None


def _repair_buys(estimate: Estimate) -> tuple[str, ...]:
    repair, heater = estimate.repair, estimate.heater
    buys = []
    if estimate.parts:
        buys.append(_availability(estimate.parts))
    left = heater.mean_life_left_years
    buys.append(
        words.LIFE_LEFT.format(years=f"about {formatting.years(left)}")
        if left >= 1
        else words.LIFE_LEFT_SHORT
    )
    buys.append(words.ENERGY_NOW.format(energy=formatting.whole_money(heater.energy_cost_per_year)))
    saves = repair.best_planned_saves
    if repair.best_planned_year is not None and saves is not None and saves >= 1:
        buys.append(
            words.PLAN.format(
                years=formatting.years(repair.best_planned_year),
                saves=formatting.whole_money(saves),
            )
        )
    return tuple(buys)


def _availability(parts: tuple[PartShown, ...]) -> str:
    """Say where the parts are; the one that is hardest to get decides."""
    stocks = [part.stock for part in parts]
    if all(stock.van for stock in stocks):
        return words.PART_ON_VAN
    away = [stock for stock in stocks if not stock.van]
    if all(stock.branch for stock in away):
        return words.PART_AT_BRANCH
    to_order = [stock.order_days for stock in away if not stock.branch]
    days = [wait for wait in to_order if wait is not None]
    if len(days) < len(to_order):
        return words.PART_UNKNOWN
    return words.PART_TO_ORDER.format(days=max(days))


def _replacement_buys(estimate: Estimate, path: ReplacementPath) -> tuple[str, ...]:
    change = path.energy_cost_per_year - estimate.heater.energy_cost_per_year
    said = {
        "energy": energy(path.energy_per_year, path.energy_unit),
        "amount": formatting.whole_money(path.energy_cost_per_year),
    }
    if change <= -1:
        uses = words.ENERGY_LESS.format(**said, less=formatting.whole_money(-change))
    elif change >= 1:
        uses = words.ENERGY_MORE.format(**said, more=formatting.whole_money(change))
    else:
        uses = words.ENERGY_NEW.format(**said)
    buys = [uses]
    if path.cost.residual >= 1:
        buys.append(
            words.VALUE_LEFT.format(
                years=formatting.years(estimate.study_years),
                value=formatting.whole_money(path.cost.residual),
            )
        )
    return tuple(buys)
