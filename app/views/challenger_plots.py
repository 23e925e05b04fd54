"""Two plots for the technician: price today against cost over the study, and the tornado."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from app import formatting

if TYPE_CHECKING:
    from app.challengers import Challengers
    from estimator.sensitivity import Swing

REPAIR = "Repair"


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


def build_frontier(found: Challengers) -> FrontierPlot:
    """Build the plot of price today against cost over the study.

    Parameters
    ----------
    found
        The replacements of a visit.

    Returns
    -------
    The open replacements, and the repair beside them where it is open.
    """
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


def build_tornado(found: Challengers) -> Tornado | None:
    """Build the bars of what moves the answer most.

    Parameters
    ----------
    found
        The replacements of a visit.

    Returns
    -------
    The sensitivity that the estimate holds; ``None`` where repair is closed.
    """
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
