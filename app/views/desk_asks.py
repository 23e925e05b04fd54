"""Requests to allow a job under the margin floor, as the owner reads them."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from typing import TYPE_CHECKING

from app import formatting

if TYPE_CHECKING:
    from collections.abc import Iterable

    from app.ledger.entries import Allowance


@dataclass(frozen=True)
class AskRow:
    """One request: each job with its price, cost and margin, and how it was decided."""

    allowance_id: str
    title: str
    about: str
    note: str
    jobs: tuple[tuple[str, str], ...]
    decided: str


def build_asks_view(asks: Iterable[Allowance], floor: Decimal) -> tuple[AskRow, ...]:
    """Build the list of requests.

    Parameters
    ----------
    asks
        The requests, the last one first.
    floor
        The margin floor in force [fraction of price].

    Returns
    -------
    One row for each.
    """
    return tuple(_row(ask, floor) for ask in asks)


def _row(ask: Allowance, floor: Decimal) -> AskRow:
    at = ask.asked_at.astimezone()
    jobs = []
    for job in ask.jobs:
        margin = Decimal(str(job["gross_margin"]))
        sums = (
            f"{formatting.money(Decimal(str(job['revenue'])))} before tax, costs "
            f"{formatting.money(Decimal(str(job['cost'])))}: margin {_percent(margin)}"
        )
        jobs.append((str(job["name"]), f"{sums}, floor {_percent(floor)}"))
    decided = f"{ask.decision.capitalize()} by {ask.decided_by}: {ask.reason}"
    return AskRow(
        allowance_id=ask.allowance_id,
        title=ask.title,
        about=f"Asked by {ask.asked_by}, {formatting.long_date(at.date())} {at:%H:%M}",
        note=ask.note,
        jobs=tuple(jobs),
        decided=decided if ask.decision else "",
    )


def _percent(share: Decimal) -> str:
    return f"{share * 100:.1f}%"
