"""Every replacement of a priced visit side by side: cost, frontier, hot water, keeping."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from estimator.economic_life import KeepingCost, cost_of_owning
from estimator.engine_inputs import (
    LONGEST_STUDY_YEARS,
    challenger,
    defender,
    engine_terms,
    heater_in_place,
)
from estimator.frontier import frontier
from estimator.heater import HeaterClass
from estimator.hot_water import HotWater, PeakHour, hot_water, peak_hour_of

if TYPE_CHECKING:
    from app.visiting import PricedVisit
    from estimator.estimate import Estimate, ReplacementPath
    from estimator.supply import Incentive


@dataclass(frozen=True)
class ByTheYear:
    """What a year of hot water costs by the heater in place, repaired, and by a new one."""

    in_place: KeepingCost
    new: KeepingCost


@dataclass(frozen=True)
class Asked:
    """Something that the place asks for beside the heater, and why; what it costs is not in it."""

    slug: str
    name: str
    because: str


@dataclass(frozen=True)
class Challengers:
    """The replacements of one estimate, and what is worked out to choose among them.

    `hot_water` is by slug. `frontier` holds the slugs of the open replacements that no other
    beats on price today and cost over the study both, the lowest price first. `wins` are, by
    slug, the counts on which it is best of the open ones. `by_the_year` is ``None`` where the
    heater in place cannot be repaired or no other can take its place; `best` is the
    replacement that the estimate compares. `asked` and `incentives` are by slug: what its
    place asks for, and what others pay towards it, up to what day.
    """

    estimate: Estimate
    hour: PeakHour
    hot_water: dict[str, HotWater]
    frontier: tuple[str, ...]
    wins: dict[str, tuple[str, ...]]
    by_the_year: ByTheYear | None
    best: ReplacementPath
    asked: dict[str, tuple[Asked, ...]]
    incentives: dict[str, tuple[Incentive, ...]]


PRICE_TODAY = "price today"
PER_MONTH = "monthly cost"
ENERGY_COST = "energy cost"
CO2 = "CO₂"
HOT_WATER = "hot water"
COUNTS = (PRICE_TODAY, PER_MONTH, ENERGY_COST, CO2, HOT_WATER)
"""On what a replacement may be best."""


def challengers_of(priced: PricedVisit, hour: PeakHour | None = None) -> Challengers:
    """Work out what the replacements of a visit win on.

    Parameters
    ----------
    priced
        The priced visit.
    hour
        The household's busiest hour; guessed from the household where not given.

    Returns
    -------
    The replacements, ranked by the estimate.

    Notes
    -----
    One that is closed wins on nothing and stands on no frontier. One that may turn out not to
    go here counts as open. Equal ones win together.
    """
    estimate = priced.estimate
    household = priced.visit.household
    busiest = hour or peak_hour_of(household)
    water = {
        heater.slug: hot_water(
            household,
            busiest,
            heater.first_hour_rating_gal,
            heater.max_flow_gpm,
            instantaneous=heater.heater_class is HeaterClass.GAS_INSTANTANEOUS,
        )
        for heater in priced.supply.replacements
    }
    going = [path for path in estimate.replacements if path.closed_reason is None]
    stays = frontier(
        [float(it.price_after_incentives) for it in going], [it.cost.lcc for it in going]
    )
    return Challengers(
        estimate=estimate,
        hour=busiest,
        hot_water=water,
        frontier=tuple(going[place].slug for place in stays),
        wins=_wins(going, water),
        by_the_year=_by_the_year(priced) if estimate.repair.open and going else None,
        best=estimate.replacements[0],
        asked={
            heater.slug: tuple(
                Asked(item.slug, item.name, item.because) for item in heater.site_items
            )
            for heater in priced.supply.replacements
        },
        incentives=priced.supply.incentives,
    )


def _wins(going: list[ReplacementPath], water: dict[str, HotWater]) -> dict[str, tuple[str, ...]]:
    shares = {slug: found.share for slug, found in water.items()}
    worth = {
        PRICE_TODAY: {it.slug: -float(it.price_after_incentives) for it in going},
        PER_MONTH: {it.slug: -it.cost.equivalent_annual_cost for it in going},
        ENERGY_COST: {it.slug: -it.energy_cost_per_year for it in going},
        CO2: {it.slug: -it.co2_kg_per_year for it in going},
        HOT_WATER: {it.slug: share for it in going if (share := shares[it.slug]) is not None},
    }
    return {
        it.slug: tuple(
            count
            for count in COUNTS
            if worth[count].get(it.slug) == max(worth[count].values(), default=None)
            and it.slug in worth[count]
        )
        for it in going
    }


def _by_the_year(priced: PricedVisit) -> ByTheYear:
    """Hold the heater in place, once repaired, against the new one that is compared.

    Each over the years that suit it best, however long the customer stays.
    """
    estimate, sheet = priced.estimate, priced.rate_sheet.sheet
    case, on = priced.visit.case(), priced.visit.visit.date
    best, years = estimate.replacements[0], LONGEST_STUDY_YEARS
    heater = next(it for it in priced.supply.replacements if it.slug == best.slug)
    terms, price = engine_terms(sheet, years), float(best.priced.total)
    old = defender(
        case,
        heater_in_place(case, sheet, on),
        estimate.repair.priced.total,
        best.priced.total,
        sheet,
        on,
        years,
    )
    new, _ = challenger(case, heater, best.priced.total, best.incentives, sheet, on, years)
    return ByTheYear(
        in_place=cost_of_owning(old, old.repair_price, old.age_years, price, terms),
        new=cost_of_owning(new, new.installed_price - new.incentives, 0.0, price, terms),
    )
