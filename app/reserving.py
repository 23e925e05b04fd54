"""Stock in the hands of people: what is free, set aside for quotes, let go, and what runs low."""

from __future__ import annotations

import json
from dataclasses import dataclass
from datetime import timedelta
from typing import TYPE_CHECKING

from app.people.guard import Actor, require
from app.people.roles import Action
from app.shop_settings import shop_settings
from app.stock import free_stock, low_stock, wishes_for
from catalog.offers import checked_van, counted_stock, offers, stocks, vans
from catalog.part_lookup import parts_by_number
from estimator.errors import InputTrouble
from estimator.supply import Supply

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence
    from datetime import date, datetime

    from app.ledger.entries import Reservation, Wish
    from app.ledger.records import IssuedQuote
    from app.shop import Shop
    from app.visiting import PricedVisit
    from catalog.snapshots import Catalog

WEEKS_LOOKED_AT = 8
MOST_WEEKS = 104


@dataclass(frozen=True)
class StockLine:
    """A part at a place: pieces counted there, and set aside for quotes."""

    part: str
    description: str
    place: str
    counted: int
    set_aside: int

    @property
    def free(self) -> int:
        """Pieces that nobody has set aside."""
        return max(self.counted - self.set_aside, 0)


@dataclass(frozen=True)
class LowLine:
    """A part that runs low on a van, what to bring, and where that is to be had.

    `used` is what the quotes took of it in the weeks looked at; `order_days` is ``None``
    where nobody offers it.
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


@dataclass(frozen=True)
class SetAside:
    """What one revision of a quote asked for, and where a part short on the van is instead."""

    reservation: Reservation
    at_branch: int
    order_days: int | None


def free_catalog(shop: Shop, on: date, draft_id: str | None = None, revises: str = "") -> Catalog:
    """Return the catalog in force, its stock less what is set aside for quotes.

    Parameters
    ----------
    shop
        The shop.
    on
        The day of the job.
    draft_id
        A visit under way: what a quote issued from it holds is free to it.
    revises
        The number of the quote that a visit's quote takes the place of: so is what that holds.

    Returns
    -------
    The catalog; the shop closes it.
    """
    held = shop.ledger.reservations.taken(on, besides_draft=draft_id, besides=revises)
    return shop.catalog().less(held)


def reserves_by_default(shop: Shop, revises: str = "") -> bool:
    """Return whether a quote sets its parts aside where nobody says otherwise.

    Parameters
    ----------
    shop
        The shop, as it has set it.
    revises
        The number of the quote that it takes the place of, if any: then as that one does.
    """
    if revises:
        return any(each.released_at is None for each in shop.ledger.reservations.of(revises))
    return shop_settings(shop.folder).reserve_on_issue


def wishes_of(shop: Shop, priced: PricedVisit) -> tuple[Wish, ...]:
    """Return what a priced visit would set aside on its van; nothing where nothing is repaired."""
    van = priced.visit.visit.van
    if not van or not priced.estimate.repair.open:
        return ()
    parts = priced.supply.parts
    numbers = [part.number for part in parts]
    held = stocks(shop.catalog(), numbers, van, {})
    return wishes_for(parts, van, {number: held[number].van for number in numbers})


def set_aside_for(shop: Shop, actor: Actor, quote: IssuedQuote) -> tuple[SetAside, ...]:
    """Return what a revision of a quote asked to have set aside, got or not."""
    require(shop, actor, Action.WORK_VISIT)
    asked = shop.ledger.reservations.of(quote.number, quote.revision)
    if not asked:
        return ()
    supply = Supply.model_validate_json(quote.supply_json)
    stock = {part.number: part.stock for part in supply.parts}
    return tuple(
        SetAside(each, stock[each.part].branch, stock[each.part].order_days)
        for each in asked
        if each.part in stock
    )


def held(shop: Shop, actor: Actor, on: date, van: str | None = None) -> tuple[Reservation, ...]:
    """Return what is set aside on a day, everywhere or on one van."""
    require(shop, actor, Action.WORK_VISIT)
    every = shop.ledger.reservations.held(on)
    return tuple(each for each in every if van is None or each.place == van)


def release(shop: Shop, actor: Actor, number: str, at: datetime) -> int:
    """Let go what a quote holds: the parts are fitted, or no longer wanted.

    Parameters
    ----------
    shop
        The shop.
    actor
        Who lets it go.
    number
        The quote's number.
    at
        Now, with its zone.

    Returns
    -------
    How many pieces were let go.

    Raises
    ------
    Trouble
        If it is not the actor's to do, or there is no such quote.
    """
    require(shop, actor, Action.ISSUE_QUOTE, at)
    return shop.ledger.reservations.release(number, actor.name, at)


def stock_on(shop: Shop, actor: Actor, van: str, on: date) -> tuple[StockLine, ...]:
    """Return all that is on a van, by part.

    Parameters
    ----------
    shop
        The shop.
    actor
        Who asks.
    van
        The van.
    on
        The day.

    Raises
    ------
    CatalogTrouble
        If the catalog knows no such van.
    """
    require(shop, actor, Action.WORK_VISIT)
    catalog = shop.catalog()
    checked_van(catalog, van)
    counted = {part: n for (part, place), n in counted_stock(catalog).items() if place == van}
    taken = shop.ledger.reservations.taken(on, place=van)
    named = _descriptions(catalog, sorted(counted))
    return tuple(
        StockLine(part, named.get(part, ""), van, counted[part], taken.get((part, van), 0))
        for part in sorted(counted)
    )


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
    low = low_stock(free_stock(counted, shop.ledger.reservations.taken(on)), used, weeks)
    numbers = sorted({line.part for line in low})
    named, prices = _descriptions(catalog, numbers), offers(catalog, numbers, on)
    branch = stocks(catalog, numbers, "", prices)
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


def _descriptions(catalog: Catalog, numbers: Sequence[str]) -> dict[str, str]:
    found = parts_by_number(catalog, numbers, with_features=False)
    return {number: part.description for number, part in found.items()}
