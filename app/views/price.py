"""The fourth step: the price line by line, both paths compared, the verdict."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Final

from app import formatting
from app.views.customer_prices import PriceTable, build_price_table
from estimator.evidence import Support
from estimator.verdict import VerdictKind

if TYPE_CHECKING:
    from decimal import Decimal

    from app.views.fields import Tone
    from estimator.estimate import Estimate, ReplacementPath
    from estimator.priced_job import PricedJob
    from estimator.uncertainty import PathFutures

HEADLINES: Final[dict[VerdictKind, str]] = {
    VerdictKind.REPAIR: "Repair is the cheaper path",
    VerdictKind.REPLACE: "Replacing is the cheaper path",
    VerdictKind.EITHER: "Either is sound",
    VerdictKind.CLOSED: "The repair path is closed",
}
TONES: Final[dict[VerdictKind, Tone]] = {
    VerdictKind.REPAIR: "good",
    VerdictKind.REPLACE: "good",
    VerdictKind.EITHER: "plain",
    VerdictKind.CLOSED: "stop",
}
DASH: Final = "–"  # noqa: RUF001 - shown where a figure is not defined


@dataclass(frozen=True)
class PathRow:
    """One path in the comparison; a closed one has its reason and no figures."""

    name: str
    open: bool
    today: str
    per_month: str
    over_study: str
    energy: str
    closed_reason: str
    checks: tuple[str, ...]
    measures: tuple[tuple[str, str], ...]
    prices: PriceTable | None


@dataclass(frozen=True)
class Advice:
    """A caution with its source, if one is published."""

    text: str
    source: str


@dataclass(frozen=True)
class PriceView:
    """The fourth step: what the job costs, how the paths compare, and what decides."""

    kind: str
    headline: str
    tone: Tone
    reasons: tuple[str, ...]
    turns: tuple[str, ...]
    rules_of_thumb: tuple[str, ...]
    study: str
    rows: tuple[PathRow, ...]
    repair_prices: PriceTable | None
    marks: tuple[tuple[str, str], ...]
    sure: tuple[tuple[str, str], ...]
    cautions: tuple[Advice, ...]
    assumed: tuple[Advice, ...]
    finding_doubt: str


def build_price_view(estimate: Estimate) -> PriceView:
    """Build the fourth step.

    Parameters
    ----------
    estimate
        The estimate, which holds no cost and no margin.

    Returns
    -------
    The view.
    """
    repair, verdict = estimate.repair, estimate.verdict
    return PriceView(
        kind=verdict.kind.value,
        headline=HEADLINES[verdict.kind],
        tone=TONES[verdict.kind],
        reasons=verdict.reasons,
        turns=verdict.turns_at,
        rules_of_thumb=tuple(
            f"{rule.name}: {HEADLINES[rule.says].lower()}. {rule.why}"
            for rule in verdict.rules_of_thumb
        ),
        study=f"Over {formatting.years(estimate.study_years)}",
        rows=(
            _repair_row(estimate),
            *(_row(path, against=repair.open) for path in _by_cost(estimate)),
        ),
        repair_prices=_table(repair.priced) if repair.open else None,
        marks=_marks(estimate),
        sure=_sure(estimate),
        cautions=_advice(estimate, ("safety", "fit")),
        assumed=_advice(estimate, ("assumed", "evidence", "energy", "money")),
        finding_doubt=" ".join(estimate.grade.contradicting)
        if estimate.grade.support is Support.CONTRADICTED
        else "",
    )


def _by_cost(estimate: Estimate) -> list[ReplacementPath]:
    return sorted(
        estimate.replacements,
        key=lambda path: (path.closed_reason is not None, not path.settled, path.cost.lcc),
    )


def _repair_row(estimate: Estimate) -> PathRow:
    repair, heater = estimate.repair, estimate.heater
    energy = f"{formatting.whole_money(heater.energy_cost_per_year)} a year"
    return PathRow(
        name="Repair now",
        open=repair.open,
        today=formatting.money(repair.priced.total) if repair.open else "",
        per_month=formatting.whole_money(repair.per_month) if repair.open else "",
        over_study=formatting.whole_money(repair.cost.lcc) if repair.open else "",
        energy=energy if repair.open else "",
        closed_reason=repair.closed_reason or "",
        checks=(),
        measures=(),
        prices=None,
    )


def _row(path: ReplacementPath, *, against: bool) -> PathRow:
    is_open = path.closed_reason is None
    energy = f"{formatting.whole_money(path.energy_cost_per_year)} a year"
    return PathRow(
        name=path.name,
        open=is_open,
        today=formatting.money(path.price_after_incentives) if is_open else "",
        per_month=formatting.whole_money(path.per_month) if is_open else "",
        over_study=formatting.whole_money(path.cost.lcc) if is_open else "",
        energy=energy if is_open else "",
        closed_reason=path.closed_reason or "",
        checks=path.check_these,
        measures=_measures(path) if is_open and against else (),
        prices=_table(path.priced) if is_open else None,
    )


def _table(job: PricedJob) -> PriceTable:
    return build_price_table(job, job.name, lump=False)


def _measures(path: ReplacementPath) -> tuple[tuple[str, str], ...]:
    """Return the measures of Handbook 135 against repairing; a dash where undefined."""
    return (
        ("Net savings", formatting.whole_money(path.net_savings)),
        ("Savings-to-investment ratio", _number(path.sir)),
        ("Adjusted internal rate of return", _percent(path.airr)),
        ("Simple payback", _years(path.simple_payback_years)),
        ("Discounted payback", _years(path.discounted_payback_years)),
    )


def _number(value: float | None) -> str:
    return DASH if value is None else formatting.number(value, 2)


def _percent(value: float | None) -> str:
    return DASH if value is None else formatting.percent(value)


def _years(value: float | None) -> str:
    return DASH if value is None else formatting.years(value, 1)


def _marks(estimate: Estimate) -> tuple[tuple[str, str], ...]:
    """Return the figures where the answer turns: break-even price and age, best year."""
    repair = estimate.repair
    if not repair.open:
        return ()
    marks = [("Repair price where both cost the same", _price(repair.break_even_price))]
    if repair.break_even_age_years is not None:
        marks.append(
            ("Age where both cost the same", formatting.years(repair.break_even_age_years, 1))
        )
    if repair.best_planned_year is not None and repair.best_planned_saves is not None:
        marks.append(_planned(repair.best_planned_year, repair.best_planned_saves))
    left = estimate.heater.mean_life_left_years
    marks.append(("Mean life left at this age", formatting.years(left, 1)))
    return tuple(marks)


def _planned(year: int, saves: Decimal) -> tuple[str, str]:
    """Hold the best planned replacement after repairing against running until it fails."""
    when, amount = formatting.years(year), formatting.whole_money(abs(saves))
    if abs(saves) < 1:
        return ("Once repaired: on plan or run until it fails", f"the same (on plan in {when})")
    if saves > 0:
        return ("Once repaired, best replaced on plan", f"in {when}, saves {amount}")
    return ("Once repaired, best run until it fails", f"on plan costs {amount} more, at best")


def _sure(estimate: Estimate) -> tuple[tuple[str, str], ...]:
    """Return the chance that repairing is cheaper and the likely range of each open path."""
    futures = estimate.futures
    names = {path.slug: path.name for path in estimate.replacements if path.closed_reason is None}
    said = []
    if estimate.repair.open and futures.cheapest in names:
        chance = round(100 * futures.chance_repair_cheaper)
        said.append(("Repairing turns out cheaper", f"in {chance} of 100 futures"))
    if estimate.repair.open:
        said.append(("Repair now, in all", _range(futures.repair)))
    said += [
        (f"{names[path.name]}, in all", _range(path))
        for path in futures.challengers
        if path.name == futures.cheapest and path.name in names
    ]
    return tuple(said)


def _range(path: PathFutures) -> str:
    low, high = (formatting.whole_money(value) for value in (path.lcc.low, path.lcc.high))
    return f"{low} to {high}"


def _price(amount: Decimal) -> str:
    return formatting.money(amount) if amount > 0 else "none: replacing is cheaper at any price"


def _advice(estimate: Estimate, topics: tuple[str, ...]) -> tuple[Advice, ...]:
    return tuple(
        Advice(each.message, "" if "no source" in each.source else each.source)
        for each in estimate.cautions
        if each.topic in topics
    )
