"""The owner's view of the books at a draft rate sheet."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from app import formatting
from app.views.desk_words import changed, counted, money_or_none, percent_or_none, signed_money

if TYPE_CHECKING:
    from app.desk.what_if import JobsCompared, WhatIf


@dataclass(frozen=True)
class WhatIfRow:
    """Jobs of one kind: totals and margin as issued and at the draft, as text."""

    name: str
    jobs: str
    total: str
    change: str
    margin: str
    note: str


@dataclass(frozen=True)
class WhatIfView:
    """What the quotes of some days come to at the draft; `quotes` open by their number."""

    summary: str
    rows: tuple[WhatIfRow, ...]
    quotes: tuple[tuple[str, str, str], ...]
    note: str


def build_what_if_view(found: WhatIf) -> WhatIfView:
    """Build the view.

    Parameters
    ----------
    found
        The quotes at the draft.

    Returns
    -------
    The view; for the owner's eyes only.
    """
    kinds = (
        ("Repairs quoted", found.repair),
        ("Replacements quoted", found.replace),
        ("Jobs taken", found.taken),
    )
    return WhatIfView(
        summary=f"{counted(found.quotes, 'quote')} priced again at the draft.",
        rows=tuple(_row(name, jobs) for name, jobs in kinds),
        quotes=tuple(
            (
                each.number,
                changed(money_or_none(each.repair_old), money_or_none(each.repair_new)),
                changed(money_or_none(each.replace_old), money_or_none(each.replace_new)),
            )
            for each in found.most_changed
        ),
        note="Parts, hours and heaters at their cost then. What customers would have answered at "
        "other prices is not guessed.",
    )


def _row(name: str, jobs: JobsCompared) -> WhatIfRow:
    notes = []
    if jobs.under_floor:
        notes.append(f"{formatting.number(jobs.under_floor)} under the margin floor")
    if jobs.refused:
        notes.append(f"{formatting.number(jobs.refused)} cannot be priced at the draft")
    return WhatIfRow(
        name=name,
        jobs=formatting.number(jobs.jobs),
        total=changed(formatting.money(jobs.old_total), formatting.money(jobs.new_total)),
        change=signed_money(jobs.new_total - jobs.old_total),
        margin=changed(percent_or_none(jobs.old_margin), percent_or_none(jobs.new_margin)),
        note="; ".join(notes),
    )
