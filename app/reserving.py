"""Stock in the hands of people: what is free, set aside for quotes, and let go."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from app.people.guard import Actor, require
from app.people.roles import Action
from app.shop_settings import shop_settings
from app.stock import wishes_for
from catalog.offers import (
    branches,
    checked_place,
    counted_at,
    counted_stock,
    offers,
    stocks,
)
from catalog.part_lookup import parts_by_number
from estimator.supply import Stock

if TYPE_CHECKING:
    from collections.abc import Sequence
    from datetime import date, datetime

    from app.ledger.entries import Reservation, Wish
    from app.ledger.records import IssuedQuote
    from app.shop import Shop
    from app.visiting import PricedVisit
    from catalog.snapshots import Catalog


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
class SetAside:
    """What one revision of a quote asked for at a place, and where the part is free now."""

    reservation: Reservation
    lies_at_branch: bool
    free_now: Stock


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
    """Return what a priced visit would set aside, on its van before at the branch.

    Nothing where nothing is repaired.
    """
    if not priced.estimate.repair.open:
        return ()
    parts = priced.supply.parts
    numbers = [part.number for part in parts]
    return wishes_for(parts, counted_at(shop.catalog(), numbers, priced.visit.visit.van))


def set_aside_for(shop: Shop, actor: Actor, quote: IssuedQuote, on: date) -> tuple[SetAside, ...]:
    """Return what a revision of a quote asked to have set aside, got or not.

    Parameters
    ----------
    shop
        The shop.
    actor
        Who asks.
    quote
        The revision.
    on
        Today: what another quote holds may be free by now, or be had elsewhere.
    """
    require(shop, actor, Action.WORK_VISIT)
    asked = shop.ledger.reservations.of(quote.number, quote.revision)
    catalog = free_catalog(shop, on)
    fixed, numbers = branches(catalog), sorted({each.part for each in asked})
    prices = offers(catalog, numbers, on)
    made = []
    for each in sorted(asked, key=lambda each: (each.part, each.place in fixed, each.place)):
        van = "" if each.place in fixed else each.place
        now = stocks(catalog, [each.part], van, prices)[each.part]
        made.append(SetAside(each, not van, now))
    return tuple(made)


def held(shop: Shop, actor: Actor, on: date, place: str | None = None) -> tuple[Reservation, ...]:
    """Return what is set aside on a day, everywhere or at one place."""
    require(shop, actor, Action.WORK_VISIT)
    every = shop.ledger.reservations.held(on)
    return tuple(each for each in every if place is None or each.place == place)


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


def stock_on(shop: Shop, actor: Actor, place: str, on: date) -> tuple[StockLine, ...]:
    """Return all that is on a van or at a branch, by part.

    Parameters
    ----------
    shop
        The shop.
    actor
        Who asks.
    place
        The van or the branch.
    on
        The day.

    Raises
    ------
    CatalogTrouble
        If the catalog knows no such place.
    """
    require(shop, actor, Action.WORK_VISIT)
    catalog = shop.catalog()
    checked_place(catalog, place)
    counted = {part: n for (part, where), n in counted_stock(catalog).items() if where == place}
    taken = shop.ledger.reservations.taken(on, places=(place,))
    named = descriptions(catalog, sorted(counted))
    return tuple(
        StockLine(part, named.get(part, ""), place, counted[part], taken.get((part, place), 0))
        for part in sorted(counted)
    )


def descriptions(catalog: Catalog, numbers: Sequence[str]) -> dict[str, str]:
    """Return what the parts are, by number; one that is in no catalog any more is left out."""
    found = parts_by_number(catalog, numbers, features_of=())
    return {number: part.description for number, part in found.items()}
