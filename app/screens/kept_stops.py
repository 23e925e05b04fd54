"""Stops that a correction lifted, as the ledger keeps them: for the shop, not the customer."""

from __future__ import annotations

from html import escape
from typing import TYPE_CHECKING

from app.screens import marks

if TYPE_CHECKING:
    from app.views.stops import KeptStop

TITLE = "Stops that were corrected"
UNDER = "The ledger keeps each stop and its correction."


def markup(stops: tuple[KeptStop, ...]) -> str:
    """Return the stops, folded; nothing where there is none."""
    rows = "".join(_stop(stop) for stop in stops)
    under = f'<p class="under">{UNDER}</p>'
    return (
        f'<div class="kept">{marks.more(f"{TITLE}: {len(stops)}", under + rows)}</div>'
        if rows
        else ""
    )


def _stop(stop: KeptStop) -> str:
    when = " · ".join(text for text in (stop.shown, stop.corrected) if text)
    return (
        f'<h3>{escape(stop.why)}</h3>{marks.items(stop.changes)}<p class="under">{escape(when)}</p>'
    )
