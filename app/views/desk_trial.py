"""The owner's view of a draft rate sheet tried on visits: old and new side by side."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from app import formatting
from app.views.desk_words import NONE, changed, counted, money_or_none, percent_or_none
from app.views.quotes import VERDICTS
from app.views.rate_changes import changes_of
from estimator.rates import rate_sheet_to

if TYPE_CHECKING:
    from app.desk.rate_trials import PathTried, RateTrial, SheetTried, VisitTried


@dataclass(frozen=True)
class TrialRow:
    """One visit: each cell says old and new, once where they agree.

    `cells` hold apart what there is to compare: what it is, at the sheet in force, at the
    draft. `marks` names the cells that differ. `refused` says why the draft, or the sheet in force,
    cannot price the visit. `under_floor` says which jobs the draft brings under the floor.
    """

    name: str
    repair_price: str
    repair_margin: str
    replacement: str
    replacement_price: str
    replacement_margin: str
    verdict: str
    cells: tuple[tuple[str, str, str], ...]
    marks: tuple[str, ...]
    under_floor: str
    refused: str


@dataclass(frozen=True)
class TrialView:
    """A trial on the screen; `summary` counts what changes."""

    title: str
    summary: str
    changes: tuple[str, ...]
    rows: tuple[TrialRow, ...]
    cautions: tuple[str, ...]


def build_trial_view(trial: RateTrial) -> TrialView:
    """Build the view of a trial.

    Parameters
    ----------
    trial
        The trial.

    Returns
    -------
    The view; for the owner's eyes only, for it shows margins.
    """
    rows = tuple(_row(each) for each in trial.visits)
    prices = sum(any("price" in mark for mark in row.marks) for row in rows)
    verdicts = sum("verdict" in row.marks for row in rows)
    refused = sum(bool(row.refused) for row in rows)
    held = f"version {trial.against.version}, holding since "
    said = f"{counted(len(rows), 'visit')}: {prices} with another price, "
    said += f"{verdicts} with another verdict."
    return TrialView(
        title=f"The draft beside {held}{formatting.long_date(trial.against.holds_from)}",
        summary=f"{said} {refused} cannot be priced." if refused else said,
        changes=changes_of(rate_sheet_to(trial.draft), trial.against.sheet),
        rows=rows,
        cautions=tuple(caution.message for caution in trial.cautions),
    )


def _row(tried: VisitTried) -> TrialRow:
    old, new = tried.old, tried.new
    cells = {
        "repair price": _both(old, new, "repair", "price"),
        "repair margin": _both(old, new, "repair", "margin"),
        "replacement": (_name(old.replacement), _name(new.replacement)),
        "replacement price": _both(old, new, "replacement", "price"),
        "replacement margin": _both(old, new, "replacement", "margin"),
        "verdict": (_verdict(old), _verdict(new)),
    }
    said = {name: changed(*cell) for name, cell in cells.items()}
    return TrialRow(
        name=tried.name,
        repair_price=said["repair price"],
        repair_margin=said["repair margin"],
        replacement=said["replacement"],
        replacement_price=said["replacement price"],
        replacement_margin=said["replacement margin"],
        verdict=said["verdict"],
        cells=tuple(
            (name.capitalize(), *cell)
            for name, cell in cells.items()
            if cell != (NONE, NONE) and (name != "replacement" or cell[0] != cell[1])
        ),
        marks=tuple(name for name, cell in cells.items() if cell[0] != cell[1]),
        under_floor=_under_floor(new),
        refused=_refused(old, new),
    )


def _both(old: SheetTried, new: SheetTried, path: str, what: str) -> tuple[str, str]:
    def said(tried: PathTried | None) -> str:
        if tried is None:
            return NONE
        if what == "price":
            return money_or_none(tried.price)
        return percent_or_none(tried.gross_margin)

    return said(getattr(old, path)), said(getattr(new, path))


def _name(path: PathTried | None) -> str:
    return NONE if path is None else path.name


def _verdict(tried: SheetTried) -> str:
    return NONE if tried.verdict is None else VERDICTS[tried.verdict][0]


def _under_floor(tried: SheetTried) -> str:
    paths = [path for path in (tried.repair, tried.replacement) if path is not None]
    return formatting.listed([path.name for path in paths if path.below_floor])


def _refused(old: SheetTried, new: SheetTried) -> str:
    if new.refused:
        return f"The draft cannot price it. {new.refused}"
    return f"The sheet in force cannot price it. {old.refused}" if old.refused else ""
