"""The owner's view of lives: what the shop's records say of each class of heater."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

import numpy as np

from app import formatting
from app.views.fields import Field
from estimator.heater import HeaterClass
from estimator.survival import mean_life, survival

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from app.lives import ClassLife
    from estimator.life_fit import FittedLife
    from estimator.survival import LifeDistribution

CLASS_NAMES: dict[HeaterClass, str] = {
    HeaterClass.GAS_STORAGE: "Gas tank",
    HeaterClass.GAS_STORAGE_CONDENSING: "Condensing gas tank",
    HeaterClass.GAS_INSTANTANEOUS: "Instantaneous gas heater",
    HeaterClass.HEAT_PUMP: "Heat-pump water heater",
    HeaterClass.ELECTRIC_STORAGE: "Electric tank",
}
"""What a class is called on a screen."""

FEW_FAILURES = 30
"""Below this many failures an interval is said to be rough; common practice, no source."""

MOST_OUTSIDE = 0.2
"""Share of steps outside their interval above which the curve is doubted; judgment."""

CURVE_POINTS = 61


LONGEST_DELAY_YEARS = 50.0


def delay_field(typed: float | str | None) -> tuple[Field, float | None]:
    """Ask for the years before which nothing fails.

    Parameters
    ----------
    typed
        What was typed: a number, a text that is none, or nothing.

    Returns
    -------
    The field, and the delay [yr], ``None`` where what was typed cannot be one.
    """
    field = Field("delay", "Years before which nothing fails", unit="yr", value=typed)
    if typed is None or typed == "":
        return field, 0.0
    if isinstance(typed, float | int) and 0 <= typed <= LONGEST_DELAY_YEARS:
        return field, float(typed)
    problem = f"It must be a number from 0 to {LONGEST_DELAY_YEARS:.0f}."
    return replace(field, problem=problem), None


@dataclass(frozen=True)
class LifePlot:
    """What the plot of one class shows; ages [yr], shares [1], all rows of one length.

    `ages`, `surviving`, `low`, `high` and `plotted_failed` are Kaplan and Meier's estimate at
    each failure; `curve_ages` and `curve_surviving` the fitted life. `delay_years`, `shape`
    and `scale_years` give its straight line on probability paper.
    """

    title: str
    description: str
    ages: tuple[float, ...]
    surviving: tuple[float, ...]
    low: tuple[float, ...]
    high: tuple[float, ...]
    plotted_failed: tuple[float, ...]
    curve_ages: tuple[float, ...]
    curve_surviving: tuple[float, ...]
    shape: float
    scale_years: float
    delay_years: float


@dataclass(frozen=True)
class LifeView:
    """One class of heater: its name, its sample and what was fitted, as text.

    `facts` are label and text; `refused` says why no life was fitted, and then there are
    neither facts nor plot. `now` says what the rate sheet holds, where one was given.
    """

    heater_class: HeaterClass
    name: str
    sample: str
    facts: tuple[tuple[str, str], ...]
    cautions: tuple[str, ...]
    now: str
    refused: str | None
    plot: LifePlot | None


def build_life_view(
    found: ClassLife, in_force: Mapping[HeaterClass, LifeDistribution] | None = None
) -> LifeView:
    """Build the view of one class.

    Parameters
    ----------
    found
        What the records say.
    in_force
        The lives of the rate sheet in force, to stand beside.

    Returns
    -------
    The view.
    """
    name = CLASS_NAMES[found.heater_class]
    held = (in_force or {}).get(found.heater_class)
    now = f"The rate sheet now holds a mean of {_years(mean_life(held))}." if held else ""
    return LifeView(
        heater_class=found.heater_class,
        name=name,
        sample=_sample(found),
        facts=_facts(found.fit) if found.fit else (),
        cautions=_cautions(found),
        now=now,
        refused=found.refused,
        plot=_plot(found, name),
    )


def _years(value: float) -> str:
    return formatting.years(value, 1)


def _sample(found: ClassLife) -> str:
    failed = f"{found.failures} {'failure' if found.failures == 1 else 'failures'}"
    late = f", {found.recorded_late} recorded only from some age on" if found.recorded_late else ""
    return f"{failed}, {found.still_running} still running{late}"


def _facts(fit: FittedLife) -> tuple[tuple[str, str], ...]:
    def between(ends: tuple[float, float], decimals: int) -> str:
        return " to ".join(formatting.number(end, decimals) for end in ends)

    return (
        ("Mean life when new", f"{_years(fit.mean)} ({between(fit.mean_interval, 1)})"),
        ("Shape", f"{formatting.number(fit.shape, 2)} ({between(fit.shape_interval, 2)})"),
        ("Scale", f"{_years(fit.scale)} ({between(fit.scale_interval, 1)})"),
        ("Delay, as given", _years(fit.delay)),
    )


def _cautions(found: ClassLife) -> tuple[str, ...]:
    if found.fit is None:
        return ()
    said = []
    if found.failures < FEW_FAILURES:
        said.append(
            f"With {found.failures} failures the intervals are rough: they come from a rule for "
            "large samples."
        )
    if _outside(found) > MOST_OUTSIDE:
        said.append(
            "One Weibull curve does not follow these records: look at the plot before you adopt it."
        )
    if found.fit.shape_interval[0] <= 1.0:
        said.append(
            "The records do not show that old heaters fail more often than new ones (the shape "
            "may be 1 or less)."
        )
    return tuple(said)


def _outside(found: ClassLife) -> float:
    """Share of the steps whose interval does not hold the fitted curve [1]."""
    if found.life is None or found.steps is None:
        return 0.0
    reached = float(survival(found.life, found.youngest_years))
    curve = survival(found.life, found.steps.ages) / reached
    outside = (curve < found.steps.low) | (curve > found.steps.high)
    return float(outside.mean())


def _plot(found: ClassLife, name: str) -> LifePlot | None:
    fit, life, steps = found.fit, found.life, found.steps
    if fit is None or life is None or steps is None:
        return None
    ages = np.linspace(0.0, math.ceil(float(steps.ages[-1]) * 1.1), CURVE_POINTS)
    half = next(
        (age for age, left in zip(steps.ages, steps.surviving, strict=True) if left <= 0.5), None
    )
    halved = f" Half of them have failed by {_years(float(half))}." if half is not None else ""
    return LifePlot(
        title=f"{name}: how long they last",
        description=(
            f"{_sample(found)}.{halved} The fitted mean life is {_years(fit.mean)}. Steps are the "
            "records, with their 95% interval; the dashed line is the fitted life."
        ),
        ages=tuple(steps.ages.tolist()),
        surviving=tuple(steps.surviving.tolist()),
        low=tuple(steps.low.tolist()),
        high=tuple(steps.high.tolist()),
        plotted_failed=tuple(steps.plotted.tolist()),
        curve_ages=tuple(ages.tolist()),
        curve_surviving=tuple(survival(life, ages).tolist()),
        shape=fit.shape,
        scale_years=fit.scale,
        delay_years=fit.delay,
    )


def paper_height(share_failed: float) -> float:
    """Return the height of a share on Weibull probability paper, where a life is a line.

    Parameters
    ----------
    share_failed
        Share that has failed, between 0 and 1 [1].

    Returns
    -------
    ``ln(-ln(1 - share))`` [1].

    References
    ----------
    NIST/SEMATECH e-Handbook of Statistical Methods, 8.2.2.1.
    """
    return math.log(-math.log1p(-share_failed))


def life_json(found: Sequence[ClassLife]) -> list[dict[str, object]]:
    """Return what the records say as plain values under documented keys.

    Parameters
    ----------
    found
        One for each class.

    Returns
    -------
    Ages in years, shares as fractions, intervals as two numbers; what was refused is null.
    """
    return [
        {
            "heater_class": each.heater_class.value,
            "failures": each.failures,
            "still_running": each.still_running,
            "recorded_late": each.recorded_late,
            "fit": _fit_json(each.fit) if each.fit else None,
            "refused": each.refused,
            "cautions": list(_cautions(each)),
            "kaplan_meier": _steps_json(each),
        }
        for each in found
    ]


def _fit_json(fit: FittedLife) -> dict[str, object]:
    return {
        "shape": fit.shape,
        "shape_interval": list(fit.shape_interval),
        "scale_years": fit.scale,
        "scale_interval_years": list(fit.scale_interval),
        "delay_years": fit.delay,
        "mean_years": fit.mean,
        "mean_interval_years": list(fit.mean_interval),
        "log_likelihood": fit.log_likelihood,
    }


def _steps_json(found: ClassLife) -> list[dict[str, object]]:
    steps = found.steps
    if steps is None:
        return []
    columns = {
        "age_years": steps.ages,
        "at_risk": steps.at_risk.astype(int),
        "failed": steps.died.astype(int),
        "surviving": steps.surviving,
        "low": steps.low,
        "high": steps.high,
        "plotted_failed": steps.plotted,
    }
    return [
        dict(zip(columns, row, strict=True))
        for row in zip(*(column.tolist() for column in columns.values()), strict=True)
    ]
