"""The shop's own lives: fitted to its records, and put into the next rate sheet."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from app.people.guard import Actor, require
from app.people.roles import Action
from app.publishing import publish_rates
from estimator.errors import InputTrouble
from estimator.heater import HeaterClass
from estimator.kaplan_meier import KaplanMeier, kaplan_meier
from estimator.life_fit import FittedLife, fit_life

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence
    from datetime import date, datetime

    from app.life_records import LifeRecord
    from app.shop import Shop
    from estimator.rates import RateSheetVersion
    from estimator.survival import LifeDistribution


@dataclass(frozen=True)
class ClassLife:
    """What the records say of one class of heater.

    `fit` and `life` are ``None`` where it was refused, with the reason in `refused`;
    `steps` is ``None`` where none has failed. `youngest_years` is the least age at which a
    record begins [yr].
    """

    heater_class: HeaterClass
    failures: int
    still_running: int
    recorded_late: int
    youngest_years: float
    fit: FittedLife | None
    life: LifeDistribution | None
    steps: KaplanMeier | None
    refused: str | None


def fit_lives(records: Sequence[LifeRecord], delay_years: float = 0.0) -> tuple[ClassLife, ...]:
    """Fit a life to each class of heater in a shop's records.

    Parameters
    ----------
    records
        The records, as `app.life_records.read_life_records` gives them.
    delay_years
        Time before which nothing fails [yr], held fixed.

    Returns
    -------
    One for each class that the records hold, in the order of the classes; a class whose
    records do not carry a life has the reason.
    """
    by_class = {
        each: [record for record in records if record.heater_class is each] for each in HeaterClass
    }
    return tuple(_fitted(each, of, delay_years) for each, of in by_class.items() if of)


def _fitted(
    heater_class: HeaterClass, records: Sequence[LifeRecord], delay_years: float
) -> ClassLife:
    ends = [record.ended_years for record in records]
    failed = [record.failed for record in records]
    since = [record.began_years for record in records]
    fit, life, refused = None, None, None
    try:
        fit = fit_life(ends, failed, delay_years, since)
        life = fit.life()
    except InputTrouble as why:
        fit, refused = None, str(why)
    return ClassLife(
        heater_class=heater_class,
        failures=sum(failed),
        still_running=len(failed) - sum(failed),
        recorded_late=sum(age > 0 for age in since),
        youngest_years=min(since),
        fit=fit,
        life=life,
        steps=kaplan_meier(ends, failed, since) if any(failed) else None,
        refused=refused,
    )


def adopt_lives(
    shop: Shop,
    lives: Mapping[HeaterClass, LifeDistribution],
    holds_from: date,
    actor: Actor,
    at: datetime,
) -> RateSheetVersion:
    """Publish the rate sheet of a day again, with the shop's own lives in it.

    Parameters
    ----------
    shop
        The shop.
    lives
        The lives to put in, by class; other classes keep theirs.
    holds_from
        The first day on which the new version holds.
    actor, at
        Who publishes it, and when, with the zone.

    Returns
    -------
    The new version; those before stay as they are, and so do quotes made from them.

    Raises
    ------
    InputTrouble
        If there is no life to put in.
    LedgerTrouble
        If no rate sheet holds on that day.
    """
    require(shop, actor, Action.PUBLISH_RATES, at)
    if not lives:
        raise InputTrouble(
            "There is no fitted life to adopt", mend="Fit one first, from records that carry it."
        )
    sheet = shop.ledger.rate_sheets.on(holds_from).sheet
    economics = sheet.economics.model_copy(update={"lives": {**sheet.economics.lives, **lives}})
    renewed = sheet.model_copy(update={"economics": economics})
    return publish_rates(shop, renewed, holds_from, actor, at)
