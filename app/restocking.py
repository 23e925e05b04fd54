"""What runs low on the vans, by what the quotes use, and what to bring."""

from __future__ import annotations

import json
from dataclasses import dataclass
from datetime import timedelta
from typing import TYPE_CHECKING

from app.people.guard import Actor, require
from app.people.roles import Action
from app.reserving import descriptions
from app.stock import free_stock, low_stock
from catalog.offers import checked_van, counted_stock, offers, stocks, vans
from estimator.errors import InputTrouble
from estimator.supply import Supply

if TYPE_CHECKING:
    from collections.abc import Iterator
    from datetime import date

    from app.shop import Shop

WEEKS_LOOKED_AT = 8
MOST_WEEKS = 104


@dataclass(frozen=True)
class LowLine:
    """A part that runs low on a van, what to bring, and where that is to be had.

    `used` is what the quotes took of it in the weeks looked at; `at_branch` is what is free
    there; `order_days` is ``None`` where nobody offers it.
    """

    part: str
    description: str
    van: str
    free: int
    used: int
    used_per_week: float
    wanted: int
    bring: int
    at_branch: int
    order_days: int | None
    supplier: str


def running_low(
    shop: Shop, actor: Actor, on: date, weeks: int = WEEKS_LOOKED_AT, van: str | None = None
) -> tuple[LowLine, ...]:
    """Return what runs low on the vans, by what the last weeks' quotes use.

    Parameters
    ----------
    shop
        The shop.
    actor
        Who asks.
    on
        The day up to which quotes count, and on which stock must be free.
    weeks
        How far back quotes count [weeks].
    van
        Only this van; every van when ``None``.

    Returns
    -------
    What to bring, the shortest first.

    Raises
    ------
    Trouble
        If the weeks are none or too many, or the catalog knows no such van.

    Notes
    -----
    The last revision of each quote counts whose repair is open, unless the customer declined
    or took another path. Quotes that name no van count nowhere. A van should hold
    `app.stock.WEEKS_COVERED` weeks of that use.
    """
    require(shop, actor, Action.WORK_VISIT)
    if not 1 <= weeks <= MOST_WEEKS:
        raise InputTrouble(f"{weeks} weeks are not from 1 to {MOST_WEEKS}", "", "Give others.")
    catalog = shop.catalog()
    if van is not None:
        checked_van(catalog, van)
    counted = counted_stock(catalog)
    used = [use for use in _used(shop, on, weeks) if van is None or use[1] == van]
    taken = shop.ledger.reservations.taken(on)
    low = low_stock(free_stock(counted, taken), used, weeks)
    numbers = sorted({line.part for line in low})
    named, prices = descriptions(catalog, numbers), offers(catalog, numbers, on)
    branch = stocks(catalog.less(taken), numbers, "", prices)
    lines = []
    for line in low:
        if line.part not in named:  # it is in no catalog any more
            continue
        best = next(iter(prices.get(line.part, ())), None)
        lines.append(
            LowLine(
                line.part, named[line.part], line.place, line.free,
                sum(n for part, place, n in used if (part, place) == (line.part, line.place)),
                line.used_per_week, line.wanted, line.short, branch[line.part].branch,
                branch[line.part].order_days, best.supplier if best is not None else "",
            )
        )  # fmt: skip
    return tuple(lines)


def _used(shop: Shop, on: date, weeks: int) -> Iterator[tuple[str, str, int]]:
    """Yield part, van and pieces of each repair that the quotes of the last weeks offer."""
    known = set(vans(shop.catalog()))
    sequences = shop.ledger.jobs.repairs_between(on - timedelta(weeks=weeks), on)
    for job in shop.ledger.jobs.of(sequences):
        van = (json.loads(job.inputs_json).get("visit") or {}).get("van") or ""
        if van not in known:
            continue
        supply = Supply.model_validate_json(job.supply_json)
        for part in supply.parts:
            yield part.number, van, max(int(part.quantity), 1)
