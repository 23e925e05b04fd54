"""Rate sheets put in force, and the one in force on a day."""

from __future__ import annotations

from typing import TYPE_CHECKING

from app.people.guard import Actor, require
from app.people.roles import Action

if TYPE_CHECKING:
    from datetime import date, datetime

    from app.shop import Shop
    from estimator.rates import RateSheet, RateSheetVersion


def publish_rates(
    shop: Shop, sheet: RateSheet, holds_from: date, actor: Actor, at: datetime
) -> RateSheetVersion:
    """Publish a rate sheet; the quotes already issued keep theirs.

    Parameters
    ----------
    shop
        The shop.
    sheet
        The checked sheet.
    holds_from
        The first day on which it holds.
    actor, at
        Who publishes it, and when, with the zone.

    Returns
    -------
    The published version.
    """
    require(shop, actor, Action.PUBLISH_RATES, at)
    return shop.ledger.rate_sheets.publish(sheet, holds_from, actor.name, at)


def rate_sheet_on(shop: Shop, actor: Actor, day: date) -> RateSheetVersion:
    """Return the rate sheet in force on a day, for the owner."""
    require(shop, actor, Action.SEE_RATES)
    return shop.ledger.rate_sheets.on(day)


def rate_sheets(shop: Shop, actor: Actor) -> tuple[RateSheetVersion, ...]:
    """Return every version of the rate sheet, for the owner."""
    require(shop, actor, Action.SEE_RATES)
    return shop.ledger.rate_sheets.every()


def rates_of_visit(shop: Shop, actor: Actor, day: date) -> RateSheetVersion:
    """Return the rate sheet that prices a visit on a day.

    Prices are worked out from it; markup, floor and cost of labor are no part of what whoever
    works on a visit is shown.
    """
    require(shop, actor, Action.WORK_VISIT)
    return shop.ledger.rate_sheets.on(day)
