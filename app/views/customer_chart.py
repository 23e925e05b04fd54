"""The one chart of the customer's view: expected cost of both paths by year."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from app.views import customer_words as words

if TYPE_CHECKING:
    from app.language.speech import Speech
    from estimator.comparison import PathCost
    from estimator.estimate import Estimate, ReplacementPath
    from estimator.uncertainty import PathFutures


@dataclass(frozen=True)
class Line:
    """One path: its label at the line's end and what it has cost by year 0..N [USD].

    `amounts` are the same numbers as text. 8 of 10 random futures lie between `low_usd`
    and `high_usd` [USD], one of 10 on either side; both are empty where none were drawn.
    """

    key: str
    label: str
    cumulative_usd: tuple[float, ...]
    amounts: tuple[str, ...]
    low_usd: tuple[float, ...] = ()
    high_usd: tuple[float, ...] = ()


@dataclass(frozen=True)
class Chart:
    """One line for each open path, and the years [yr] in which two lines cross."""

    title: str
    description: str
    years_label: str
    lines: tuple[Line, ...]
    crosses_years: tuple[float, ...]


def crossings(first: tuple[float, ...], second: tuple[float, ...]) -> tuple[float, ...]:
    """Find where two yearly series cross.

    Parameters
    ----------
    first, second
        Values at years 0..N, shape (N+1,) each.

    Returns
    -------
    The crossing times [yr], linear between year ends, in order.

    Notes
    -----
    Touching without changing sides is not a crossing.
    """
    gaps = [a - b for a, b in zip(first, second, strict=True)]
    found = []
    side, since = 0.0, 0
    for year, gap in enumerate(gaps):
        if gap == 0:
            continue
        if side * gap < 0:
            found.append(_meeting(gaps, since, year))
        side, since = gap, year
    return tuple(found)


def _meeting(gaps: list[float], before: int, after: int) -> float:
    """Return where the gap is zero between two years on opposite sides."""
    if after - before > 1:  # the series run together in between: the first such year
        return float(before + 1)
    return before + gaps[before] / (gaps[before] - gaps[after])


def build_chart(
    estimate: Estimate, compared: ReplacementPath | None, speech: Speech
) -> Chart | None:
    """Build the chart of the open paths.

    Parameters
    ----------
    estimate
        The estimate.
    compared
        The replacement that is compared, if any is open.
    speech
        The language and the units.

    Returns
    -------
    The chart, or ``None`` when no path is open.
    """
    drawn = {path.name: path for path in estimate.futures.challengers}
    lines = []
    if estimate.repair.open:
        cost, futures = estimate.repair.cost, estimate.futures.repair
        lines.append(_line("repair", words.REPAIR_NOW, cost, futures, speech))
    if compared is not None:
        cost, of_new = compared.cost, drawn.get(compared.cost.name)
        lines.append(_line("replace", words.REPLACE_NOW, cost, of_new, speech))
    if not lines:
        return None
    crosses = crossings(lines[0].cumulative_usd, lines[1].cumulative_usd) if len(lines) == 2 else ()
    return Chart(
        title=speech.say(words.CHART_TITLE),
        description=(
            f"{_describe(estimate, tuple(lines), crosses, speech)} "
            f"{speech.say(words.RESIDUAL_NOTE)} {speech.say(words.BAND_NOTE)}"
        ),
        years_label=speech.say(words.YEARS_AXIS),
        lines=tuple(lines),
        crosses_years=crosses,
    )


def _line(
    key: str, label: str, cost: PathCost, futures: PathFutures | None, speech: Speech
) -> Line:
    bands = futures.by_year if futures else ()
    return Line(
        key=key,
        label=speech.say(label),
        cumulative_usd=cost.cumulative,
        amounts=tuple(speech.formats.whole_money(usd) for usd in cost.cumulative),
        low_usd=tuple(band.low for band in bands),
        high_usd=tuple(band.high for band in bands),
    )


def _describe(
    estimate: Estimate, lines: tuple[Line, ...], crosses: tuple[float, ...], speech: Speech
) -> str:
    say = speech.say
    if len(lines) < 2:
        return say(words.ONE_LINE)
    if len(crosses) > 1:
        spoken = [str(_year_of(cross)) for cross in crosses]
        return say(words.CROSS_OFTEN, years=speech.listed(spoken))
    gaps = [a - b for a, b in _paired(lines)]
    first_gap = next((gap for gap in gaps if gap != 0), 0.0)
    if first_gap == 0:
        return say(words.SAME_LINES)
    order = (say(words.REPAIRING), say(words.REPLACING))
    first, second = order if first_gap < 0 else order[::-1]
    if not crosses:
        years = speech.formats.years(estimate.study_years)
        return say(words.NO_CROSS, years=years, first=first)
    return say(words.CROSS_ONCE, year=_year_of(crosses[0]), first=first, second=second)


def _paired(lines: tuple[Line, ...]) -> list[tuple[float, float]]:
    """Pair the values of two lines year by year."""
    return list(zip(lines[0].cumulative_usd, lines[1].cumulative_usd, strict=True))


def _year_of(cross: float) -> int:
    """Return the year, counted from 1, in which a time falls."""
    return max(1, int(-(-cross // 1)))
