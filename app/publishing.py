"""Rate sheets put in force, and the one in force on a day."""

from __future__ import annotations

from typing import TYPE_CHECKING

from app.people.guard import Actor, allowed_name
from app.people.roles import Action

if TYPE_CHECKING:
    from datetime import date, datetime

    from app.shop import Shop
    from estimator.rates import RateSheet, RateSheetVersion


def publish_rates(
    shop: Shop, sheet: RateSheet, holds_from: date, by: Actor | str, at: datetime
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
    by, at
        Who publishes it (the actor, who must be allowed to, or a name at the command line),
        and when, with the zone.

    Returns
    -------
    The published version.
    """
    name = allowed_name(shop, by, Action.PUBLISH_RATES, at)
    return shop.ledger.publish_rate_sheet(sheet, holds_from, name, at)


def rate_sheet_on(shop: Shop, day: date) -> RateSheetVersion:
    """Return the rate sheet in force on a day."""
    return shop.ledger.rate_sheet_on(day)
