"""The technician's view of every replacement: ranked, what each wins on, frontier, tornado."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from app import formatting
from app.views.challenger_plots import FrontierPlot, Tornado, build_frontier, build_tornado

if TYPE_CHECKING:
    from app.challengers import ByTheYear, Challengers
    from estimator.economic_life import KeepingCost
    from estimator.estimate import Estimate, ReplacementPath
    from estimator.hot_water import HotWater, PeakHour
    from estimator.supply import Incentive


@dataclass(frozen=True)
class ChallengerRow:
    """One replacement as text.

    `rank` is its place among those that may go here; a closed one has none, only its
    `closed_reason`. `wins_on` are the counts on which it is the best of them; `asked` what
    its place asks for beside it, in the price; `incentives` who pays how much of it, until when.
    """

    slug: str
    name: str
    rank: int | None
    closed_reason: str | None
    price_today: str
    per_month: str
    over_study: str
    energy: str
    co2: str
    hot_water: str
    short_of_hot_water: bool
    wins_on: tuple[str, ...]
    on_frontier: bool
    check_these: tuple[str, ...]
    asked: tuple[str, ...]
    incentives: tuple[str, ...]


@dataclass(frozen=True)
class ChallengersView:
    """All of it; `keeping` and `hour` are sentences."""

    study: str
    repair: str
    rows: tuple[ChallengerRow, ...]
    hour: str
    keeping: tuple[str, ...]
    frontier: FrontierPlot
    tornado: Tornado | None


def build_challengers_view(found: Challengers) -> ChallengersView:
    """Build the view.

    Parameters
    ----------
    found
        The replacements of a visit, as `app.challengers.challengers_of` gives them.

    Returns
    -------
    The view.
    """
    estimate = found.estimate
    rows, rank = [], 0
    for path in estimate.replacements:
        rank += path.closed_reason is None
        rows.append(_row(path, found, None if path.closed_reason else rank))
    return ChallengersView(
        study=f"over {formatting.years(estimate.study_years)}",
        repair=_repair(estimate),
        rows=tuple(rows),
        hour=_hour(found.hour),
        keeping=_keeping(found.by_the_year, found.best) if found.by_the_year else (),
        frontier=build_frontier(found),
        tornado=build_tornado(found),
    )


def _row(path: ReplacementPath, found: Challengers, rank: int | None) -> ChallengerRow:
    years = formatting.years(found.estimate.study_years)
    energy = formatting.number(path.energy_per_year)
    water = found.hot_water[path.slug]
    return ChallengerRow(
        slug=path.slug,
        name=path.name,
        rank=rank,
        closed_reason=path.closed_reason,
        price_today=f"{formatting.money(path.price_after_incentives)} today",
        per_month=f"{formatting.money(path.per_month)} a month",
        over_study=f"{formatting.whole_money(path.cost.lcc)} over {years}",
        energy=(
            f"energy {formatting.whole_money(path.energy_cost_per_year)} a year "
            f"({energy} {path.energy_unit})"
        ),
        co2=f"CO₂ {formatting.number(path.co2_kg_per_year)} kg a year",
        hot_water=_water(water),
        short_of_hot_water=water.enough is False,
        wins_on=found.wins.get(path.slug, ()),
        on_frontier=path.slug in found.frontier,
        check_these=path.check_these,
        asked=tuple(each.name for each in found.asked[path.slug]),
        incentives=tuple(_incentive(each) for each in found.incentives[path.slug]),
    )


def _incentive(incentive: Incentive) -> str:
    until = f", until {formatting.long_date(incentive.last_day)}" if incentive.last_day else ""
    return f"{formatting.money(incentive.amount)} from {incentive.name}{until}"


def _water(water: HotWater) -> str:
    """Say what it gives of what is needed; never that it is enough where nobody knows."""
    decimals = 0 if water.unit == "gal" else 1
    when = "in the first hour" if water.unit == "gal" else "with the coldest water"
    needed = formatting.number(water.needed, decimals)
    if water.gives is None:
        return f"hot water: not rated, {needed} {water.unit} needed {when}"
    word = "enough" if water.enough else "short"
    gives = formatting.number(water.gives, decimals)
    return f"hot water: {gives} {water.unit} {when}, {needed} needed: {word}"


def _hour(hour: PeakHour) -> str:
    uses = (
        (hour.showers, "shower", "showers"),
        (hour.shaves, "shave", "shaves"),
        (hour.hand_dishwashings, "round of dishes by hand", "rounds of dishes by hand"),
        (hour.dishwasher_loads, "dishwasher load", "dishwasher loads"),
        (hour.clothes_washer_loads, "clothes washer load", "clothes washer loads"),
    )
    said = [f"{count} {one if count == 1 else more}" for count, one, more in uses if count]
    what = formatting.listed(said) or "nothing"
    at_once = f"{hour.showers_at_once} {'shower' if hour.showers_at_once == 1 else 'showers'}"
    guessed = " Taken from the number of people: ask them." if hour.assumed else ""
    return f"Busiest hour: {what}; {at_once} at once.{guessed}"


def _repair(estimate: Estimate) -> str:
    repair = estimate.repair
    if not repair.open:
        return f"Repair is closed: {repair.closed_reason}"
    return (
        f"Repair: {formatting.money(repair.priced.total)} today, "
        f"{formatting.money(repair.per_month)} a month, "
        f"{formatting.whole_money(repair.cost.lcc)} over "
        f"{formatting.years(estimate.study_years)}"
    )


def _keeping(by_the_year: ByTheYear, best: ReplacementPath) -> tuple[str, ...]:
    """Defender against challenger by the cost of a year, each over its own best years."""
    old, new = by_the_year.in_place, by_the_year.new
    cheaper = "less" if old.least_per_year < new.least_per_year else "more"
    return (
        (
            f"By the year: this heater, repaired and run for {_best_years(old)}, costs "
            f"{formatting.whole_money(old.least_per_year)} a year, {cheaper} than "
            f"{formatting.whole_money(new.least_per_year)} for {best.name}, run for "
            f"{_best_years(new)}. How long they stay is not in it."
        ),
        _first_dearer(old, new.least_per_year),
    )


def _best_years(cost: KeepingCost) -> str:
    years = cost.economic_life_years
    return "as long as it lasts" if years == len(cost.annual) else formatting.years(years)


def _first_dearer(old: KeepingCost, new_per_year: float) -> str:
    """Say from when on a further year costs more than the new one, the repair being paid."""
    later = enumerate(old.marginal[1:], start=2)
    dearer = next((year for year, cost in later if cost > new_per_year), None)
    if dearer is None:
        return "Once the repair is paid, no further year of it costs more than one of the new one."
    return (
        f"Once the repair is paid, its year {dearer} is the first that would cost more than a "
        "year of the new one."
    )
