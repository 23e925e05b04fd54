"""The technician's view of every replacement: ranked, what each wins on, frontier, tornado."""

from __future__ import annotations

from dataclasses import asdict, dataclass
from typing import TYPE_CHECKING, Any

from app import formatting

if TYPE_CHECKING:
    from app.challengers import ByTheYear, Challengers
    from estimator.economic_life import KeepingCost
    from estimator.estimate import Estimate, ReplacementPath
    from estimator.hot_water import HotWater, PeakHour
    from estimator.sensitivity import Swing

REPAIR = "Repair"


@dataclass(frozen=True)
class ChallengerRow:
    """One replacement as text.

    `rank` is its place among those that may go here; a closed one has none, only its
    `closed_reason`. `wins_on` are the counts on which it is the best of them.
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


@dataclass(frozen=True)
class FrontierPoint:
    """One choice on the plot of price today against cost over the study [USD]."""

    name: str
    price_usd: float
    lcc_usd: float
    on_frontier: bool
    is_repair: bool
    label: str


@dataclass(frozen=True)
class FrontierPlot:
    """The plot: its points, and those of them that the frontier joins, by price."""

    title: str
    description: str
    price_label: str
    lcc_label: str
    points: tuple[FrontierPoint, ...]
    line: tuple[tuple[float, float], ...]


@dataclass(frozen=True)
class TornadoBar:
    """What repairing saves [USD] at the low and the high value of one input."""

    name: str
    low: str
    high: str
    saves_at_low_usd: float
    saves_at_high_usd: float
    turns: bool
    said: str


@dataclass(frozen=True)
class Tornado:
    """Bars, the widest first, around what repairing saves as quoted [USD]."""

    title: str
    description: str
    saves_as_quoted_usd: float
    bars: tuple[TornadoBar, ...]


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
        frontier=_frontier(found),
        tornado=_tornado(found),
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
    )


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


def _frontier(found: Challengers) -> FrontierPlot:
    estimate = found.estimate
    years = formatting.years(estimate.study_years)
    going = [path for path in estimate.replacements if path.closed_reason is None]
    points = [
        _point(it.name, float(it.price_after_incentives), it.cost.lcc, it.slug in found.frontier)
        for it in going
    ]
    line = sorted((point.price_usd, point.lcc_usd) for point in points if point.on_frontier)
    if estimate.repair.open:
        repair = estimate.repair
        price = float(repair.priced.total)
        points.append(_point(REPAIR, price, repair.cost.lcc, False, is_repair=True))
    names = [point.name for point in points if point.on_frontier]
    said = (
        f"No other new heater costs less both today and over {years} than "
        f"{formatting.listed(names)}."
        if names
        else "No new heater can go here."
    )
    return FrontierPlot(
        title="Price today against cost over the study",
        description=said,
        price_label="Price today",
        lcc_label=f"Cost over {years}",
        points=tuple(points),
        line=tuple(line),
    )


def _point(
    name: str, price: float, lcc: float, on_frontier: bool, *, is_repair: bool = False
) -> FrontierPoint:
    today, all_in = formatting.whole_money(price), formatting.whole_money(lcc)
    return FrontierPoint(
        name, price, lcc, on_frontier, is_repair, f"{name}: {today} today, {all_in} in all"
    )


def _tornado(found: Challengers) -> Tornado | None:
    """Bars of the sensitivity that the estimate holds; none where repair is closed."""
    estimate = found.estimate
    if not estimate.repair.open:
        return None
    saves = found.best.cost.lcc - estimate.repair.cost.lcc
    return Tornado(
        title="What moves the answer most",
        description=(
            f"As quoted {_saves(saves)}. Each bar varies one input alone; the spans are judgment "
            "and say nothing of how likely they are."
        ),
        saves_as_quoted_usd=saves,
        bars=tuple(_bar(swing) for swing in estimate.moves_most),
    )


def _bar(swing: Swing) -> TornadoBar:
    turned = " The cheaper path is another one at the other end." if swing.turns else ""
    return TornadoBar(
        name=swing.name,
        low=swing.low,
        high=swing.high,
        saves_at_low_usd=swing.saves_at_low,
        saves_at_high_usd=swing.saves_at_high,
        turns=swing.turns,
        said=(
            f"At {swing.low} {_saves(swing.saves_at_low)}, at {swing.high} "
            f"{_saves(swing.saves_at_high)}.{turned}"
        ),
    )


def _saves(usd: float) -> str:
    path = "repairing" if usd >= 0 else "replacing"
    return f"{path} saves {formatting.whole_money(abs(usd))}"


def challengers_json(found: Challengers) -> dict[str, Any]:
    """Return the replacements as plain values under documented keys.

    Parameters
    ----------
    found
        The replacements of a visit.

    Returns
    -------
    Money [USD] as numbers, cost over the study unrounded; no cost of the shop's and no margin.
    Figures of a closed repair path are null.
    """
    estimate = found.estimate
    return {
        "study_years": estimate.study_years,
        "peak_hour": asdict(found.hour),
        "repair": _repair_json(found),
        "challengers": [_challenger_json(path, found) for path in estimate.replacements],
        "frontier": list(found.frontier),
        "by_the_year": _by_the_year_json(found),
        "moves_most": [swing.model_dump(mode="json") for swing in estimate.moves_most],
    }


def _by_the_year_json(found: Challengers) -> dict[str, Any] | None:
    if found.by_the_year is None:
        return None
    costs = {"heater_in_place": found.by_the_year.in_place, found.best.slug: found.by_the_year.new}
    return {
        name: {
            "economic_life_years": cost.economic_life_years,
            "least_per_year": cost.least_per_year,
            "annual_cost_by_years_kept": list(cost.annual),
            "cost_of_each_year": list(cost.marginal),
        }
        for name, cost in costs.items()
    }


def _repair_json(found: Challengers) -> dict[str, Any]:
    repair = found.estimate.repair
    figures: dict[str, Any] = {
        "price_today": float(repair.priced.total),
        "lcc": repair.cost.lcc,
        "per_month": float(repair.per_month),
    }
    shown = figures if repair.open else dict.fromkeys(figures)
    return {"open": repair.open, "closed_reason": repair.closed_reason, **shown}


def _challenger_json(path: ReplacementPath, found: Challengers) -> dict[str, Any]:
    water = found.hot_water[path.slug]
    return {
        "slug": path.slug,
        "name": path.name,
        "closed_reason": path.closed_reason,
        "check_these": list(path.check_these),
        "price_today": float(path.priced.total),
        "price_after_incentives": float(path.price_after_incentives),
        "lcc": path.cost.lcc,
        "equivalent_annual_cost": path.cost.equivalent_annual_cost,
        "per_month": float(path.per_month),
        "energy_per_year": path.energy_per_year,
        "energy_unit": path.energy_unit,
        "energy_cost_per_year": path.energy_cost_per_year,
        "co2_kg_per_year": path.co2_kg_per_year,
        "hot_water": {
            "unit": water.unit,
            "gives": water.gives,
            "needed": water.needed,
            "enough": water.enough,
        },
        "wins_on": list(found.wins.get(path.slug, ())),
        "on_frontier": path.slug in found.frontier,
    }
