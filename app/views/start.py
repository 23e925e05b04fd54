"""The list of visits under way."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from app.views.fields import shortened
from app.views.heater import plate_line
from app.views.payload import read
from app.views.trail import known_step, label_of_step
from estimator.findings import FINDINGS, Finding

if TYPE_CHECKING:
    from collections.abc import Iterable

    from app.ledger.records import Draft


@dataclass(frozen=True)
class OpenVisit:
    """A visit under way: whose it is, what it is about, and where it was left."""

    draft_id: str
    title: str
    about: str
    left_at: str


def build_start_view(drafts: Iterable[Draft]) -> tuple[OpenVisit, ...]:
    """Build the list of visits under way.

    Parameters
    ----------
    drafts
        The drafts of the ledger, the last saved first.

    Returns
    -------
    One entry for each.
    """
    return tuple(_open_visit(draft) for draft in drafts)


def _open_visit(draft: Draft) -> OpenVisit:
    payload = draft.payload
    customer = read(payload, "visit.customer_name") or read(payload, "title") or "No name yet"
    named = read(payload, "work.finding")
    finding = FINDINGS[Finding(named)].name if named in set(Finding) else ""
    plate = plate_line(payload).split(" · ")[0]
    about = " · ".join(text for text in (finding, plate) if text) or "Nothing typed yet"
    saved = draft.saved_at.astimezone()
    step = label_of_step(known_step(draft.step))
    return OpenVisit(
        draft.draft_id,
        shortened(str(customer)),
        about,
        f"{step}, saved {saved:%d %b %H:%M} by {draft.person}",
    )
