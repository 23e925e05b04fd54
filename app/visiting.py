"""A visit from its first field to its price, with no page and no command line in it."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from app.people.guard import Actor, require
from app.people.roles import Action
from app.reserving import free_catalog
from app.stopping import watch_stops
from app.supplying import fit_for, supply_for
from app.visit import Visit
from estimator.errors import checked
from estimator.estimate import Estimate, OwnerEstimate
from estimator.estimating import estimate_case

if TYPE_CHECKING:
    from collections.abc import Mapping
    from datetime import datetime

    from app.ledger.records import Draft
    from app.shop import Shop
    from catalog.fit import FitAnswer
    from catalog.parts import HeaterFamily
    from estimator.rates import RateSheetVersion
    from estimator.supply import Supply


@dataclass(frozen=True)
class PricedVisit:
    """A visit with all that is worked out for it, and what that rests on."""

    visit: Visit
    owner: OwnerEstimate
    supply: Supply
    fit: FitAnswer | None
    rate_sheet: RateSheetVersion

    @property
    def estimate(self) -> Estimate:
        """What a customer may see of it."""
        return self.owner.estimate


def start_visit(
    shop: Shop, actor: Actor, at: datetime, payload: Mapping[str, Any] | None = None
) -> Draft:
    """Start a visit as a draft, kept from the first field.

    Parameters
    ----------
    shop
        The shop.
    actor
        The technician.
    at
        Now, with its zone.
    payload
        What is known already, under the keys of a visit file.

    Returns
    -------
    The draft.
    """
    known = dict(payload) if payload else {"visit": {"date": at.date().isoformat()}}
    require(shop, actor, Action.WORK_VISIT, at)
    return shop.ledger.drafts.start(actor.name, known, at, step="heater", watch=watch_stops)


def own_visit(shop: Shop, actor: Actor, at: datetime, payload: Mapping[str, Any]) -> Draft:
    """Return a technician's own visit that holds only this so far; start one if there is none.

    Parameters
    ----------
    shop
        The shop.
    actor
        The technician.
    at
        Now, with its zone.
    payload
        What is known already, under the keys of a visit file.
    """
    mine = (each for each in drafts(shop, actor) if each.person == actor.name)
    empty = next((each for each in mine if each.payload == payload), None)
    return start_visit(shop, actor, at, payload) if empty is None else empty


def draft_of(shop: Shop, actor: Actor, draft_id: str) -> Draft | None:
    """Return a visit under way by its id, or ``None`` where it ended or was put away."""
    require(shop, actor, Action.WORK_VISIT)
    return shop.ledger.drafts.of(draft_id)


def drafts(shop: Shop, actor: Actor) -> tuple[Draft, ...]:
    """Return every visit under way, the last saved first: a colleague may go on with one."""
    require(shop, actor, Action.WORK_VISIT)
    return shop.ledger.drafts.every()


def save_draft(
    shop: Shop, actor: Actor, draft: Draft, step: str, payload: Mapping[str, Any], at: datetime
) -> Draft:
    """Keep what was typed so far; a stop that it shows or lifts goes into the journal with it.

    Parameters
    ----------
    shop
        The shop.
    actor
        Who types; whose visit it is stays.
    draft, step
        Which draft, and at which step of the visit.
    payload
        All that was typed, under the keys of a visit file.
    at
        Now, with its zone.

    Returns
    -------
    The draft as kept.
    """
    require(shop, actor, Action.WORK_VISIT, at)
    return shop.ledger.drafts.save(
        draft.draft_id, draft.person, step, payload, at, watch=watch_stops, by=actor.name
    )


def visit_from(values: Mapping[str, Any], where: str) -> Visit:
    """Check what was typed or read, and make a visit of it.

    Parameters
    ----------
    values
        Keys and values as in a visit file.
    where
        The file or form, for the message.

    Returns
    -------
    The visit.

    Raises
    ------
    InputTrouble
        If a key is missing, misspelt, or holds something that cannot be.
    """
    return checked(Visit, values, where)


def price_visit(
    shop: Shop, actor: Actor, visit: Visit, *, draft_id: str | None = None
) -> PricedVisit:
    """Work out everything that a quote for a visit says.

    Parameters
    ----------
    shop
        The shop: its catalog in force, and its rate sheet on the day of the visit.
    actor
        Who works on the visit.
    visit
        The visit.
    draft_id
        The draft that it was typed in, if any: what a quote issued from it has set aside is
        free to it.

    Returns
    -------
    The priced visit.

    Raises
    ------
    Trouble
        If it is not the actor's to do, the catalog or the ledger cannot be read, the part
        chosen is not there, or the case cannot be estimated.
    """
    require(shop, actor, Action.WORK_VISIT)
    on = visit.visit.date
    catalog = free_catalog(shop, on, draft_id, visit.revises)
    rate_sheet = shop.ledger.rate_sheets.on(on)
    fit = fit_for(catalog, visit)
    supply = supply_for(catalog, visit, fit)
    owner = estimate_case(visit.case(), supply, rate_sheet.sheet, on)
    return PricedVisit(visit, owner, supply, fit, rate_sheet)


def heater_families(shop: Shop) -> tuple[HeaterFamily, ...]:
    """Return the heater families that the catalog knows."""
    from catalog.parts import heater_families as families

    return tuple(families(shop.catalog()))
