"""Rate sheets on the owner's desk: versions, a draft tried, the labor rate built up."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from typing import TYPE_CHECKING, Any

from app import formatting
from app.desk.labor import build_labor_rate, labor_sheet_from
from app.views.quotes import VERDICTS

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping

    from app.desk.rate_trials import (
        PathTried,
        RateTrial,
        SheetTried,
        VersionListed,
        VisitTried,
    )
    from app.desk.what_if import WhatIf


@dataclass(frozen=True)
class TriedRow:
    """One reference visit: at both sheets the lines of repair, replacement and verdict."""

    title: str
    now: tuple[str, ...]
    draft: tuple[str, ...]
    warning: str


def build_tried_view(trial: RateTrial) -> tuple[TriedRow, ...]:
    """Build old and new side by side.

    Parameters
    ----------
    trial
        The draft as tried.

    Returns
    -------
    One row for each visit; `warning` says what the owner should look at.
    """
    return tuple(_tried(each) for each in trial.visits)


def tried_summary(trial: RateTrial) -> str:
    """Say in a sentence what the draft does to the repairs that are open at both sheets."""
    pairs = [
        (each.old.repair.price, each.new.repair.price)
        for each in trial.visits
        if each.old.repair is not None and each.new.repair is not None
    ]
    turned = sum(each.verdict_changes for each in trial.visits)
    verdicts = "1 verdict turns" if turned == 1 else f"{turned} verdicts turn"
    if not pairs:
        return f"No repair is open at both sheets. {verdicts}."
    before, after = (sum(side, Decimal(0)) for side in zip(*pairs, strict=True))
    return (
        f"{len(pairs)} repairs: {formatting.money(before)} now, {formatting.money(after)} at the "
        f"draft. {verdicts}."
    )


def _tried(each: VisitTried) -> TriedRow:
    said = ["The verdict turns."] if each.verdict_changes else []
    sides = ((each.old.repair, each.new.repair), (each.old.replacement, each.new.replacement))
    said += [
        f"{new.name} falls under the margin floor."
        for old, new in sides
        if new is not None and new.below_floor and not (old is not None and old.below_floor)
    ]
    return TriedRow(each.name, _side(each.old), _side(each.new), " ".join(said))


def _side(side: SheetTried) -> tuple[str, ...]:
    if side.refused is not None or side.verdict is None:
        return (f"Refused: {side.refused}",)
    paths = (("Repair", side.repair), ("Replace", side.replacement))
    return (*(_path(name, path) for name, path in paths), VERDICTS[side.verdict][0])


def _path(name: str, path: PathTried | None) -> str:
    if path is None:
        return f"{name} closed"
    return f"{name} {formatting.money(path.price)}, margin {path.gross_margin * 100:.1f}%"


def build_what_if(found: WhatIf) -> tuple[tuple[str, str], ...]:
    """Return what a span of the books comes to as issued and at a draft, a line each."""
    spans = (("Repairs", found.repair), ("New heaters", found.replace), ("Taken", found.taken))
    return tuple(
        (
            f"{name}: {jobs.jobs:,} jobs",
            f"{formatting.money(jobs.old_total)} → {formatting.money(jobs.new_total)}",
        )
        for name, jobs in spans
    )


def build_versions(every: Iterable[VersionListed]) -> tuple[tuple[int, str, bool], ...]:
    """Return each version's number, its words, and whether it is in force; the last first."""
    return tuple(
        (
            each.version,
            f"Version {each.version}, from {formatting.long_date(each.holds_from)}: "
            + each.standing
            + (f", the same as version {each.same_as}" if each.same_as else ""),
            each.standing == "in force",
        )
        for each in reversed(tuple(every))
    )


@dataclass(frozen=True)
class LaborView:
    """The labor rate and its parts per billable hour, and at fewer and more hours, as text."""

    rate_per_h: Decimal
    cost_per_h: Decimal
    parts: tuple[tuple[str, str], ...]
    sensitivity: tuple[tuple[str, str], ...]


def build_labor_view(values: Mapping[str, Any]) -> LaborView:
    """Build up the labor rate from what was typed.

    Parameters
    ----------
    values
        The keys of `app.desk.labor.LaborSheet`, exact numbers as text.

    Returns
    -------
    The rate with every part.

    Raises
    ------
    InputTrouble
        If something typed cannot be.
    """
    built = build_labor_rate(labor_sheet_from(values, "the labor rate"))
    rate = built.rate
    parts = [(part.name, part.per_h) for part in built.parts]
    parts += [("An hour costs you", rate.cost_per_h), ("Labor rate", rate.rate_per_h)]
    return LaborView(
        rate_per_h=rate.rate_per_h,
        cost_per_h=rate.cost_per_h,
        parts=tuple((name, f"{formatting.money(sum_)}/h") for name, sum_ in parts),
        sensitivity=tuple(
            (f"{each.billable_hours:,.0f} h billed", f"{formatting.money(each.rate_per_h)}/h")
            for each in rate.sensitivity
        ),
    )
