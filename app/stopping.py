"""Stops of a visit under way: noted in the journal when shown, and when a correction lifts one.

A stop goes away by nothing but a change of what it rests on. The journal keeps the stop, what
it rested on, and what was put in its place, by whom and when. It holds no free text: of the
cause of an opened limit it says only that one was written.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, Final

from app.ledger.drafts import Noted
from app.people.guard import Actor, require
from app.people.roles import Action
from app.views.payload import hazards_of, read, readings_of
from app.views.stops import CORRECTED, SHOWN, KeptStop, build_kept_stops, standing_stops
from estimator.findings import OPEN_CIRCUIT, Finding, Remedy
from estimator.reading_words import OPEN_OHMS
from estimator.stops import RESTS_ON

if TYPE_CHECKING:
    from collections.abc import Mapping

    from app.shop import Shop

WRITTEN: Final = "written"
UNUSABLE: Final = "not usable"
MOST_LINES: Final = 1_000


def watch_stops(before: Mapping[str, Any] | None, after: Mapping[str, Any]) -> tuple[Noted, ...]:
    """Say what the journal is to hold of a change of a draft.

    Parameters
    ----------
    before
        The draft as it was; ``None`` for a new one.
    after
        The draft as it will be.

    Returns
    -------
    A line for each stop that is shown anew or rests on other values than before, and one for
    each that is gone.
    """
    had = {stop.code for stop in standing_stops(before)} if before is not None else set()
    noted = []
    for stop in standing_stops(after):
        values = _rests_on(stop.code, after)
        if stop.code not in had or values != _rests_on(stop.code, before or {}):
            noted.append(Noted(SHOWN, {"stop": stop.code, "rests_on": values}))
        had.discard(stop.code)
    for code in sorted(had):
        was, became = _rests_on(code, before or {}), _rests_on(code, after)
        changed = [path for path in RESTS_ON[code] if was.get(path) != became.get(path)]
        noted.append(
            Noted(
                CORRECTED,
                {
                    "stop": code,
                    "before": {path: was.get(path) for path in changed},
                    "after": {path: became.get(path) for path in changed},
                },
            )
        )
    return tuple(noted)


def _rests_on(code: str, payload: Mapping[str, Any]) -> dict[str, Any]:
    """Return what a stop rests on, as far as it is given, in words that name nobody."""
    values = {path: _sealed(path, payload) for path in RESTS_ON[code]}
    return {path: value for path, value in values.items() if value is not None}


def _sealed(path: str, payload: Mapping[str, Any]) -> Any:
    given = read(payload, path)
    section, _, key = path.partition(".")
    if given is None or (isinstance(given, str) and not given.strip()):
        return None
    if section == "hazards":
        return bool(getattr(hazards_of(payload), key)) or None
    if section == "work":
        known = {*(each.value for each in Finding), *(each.value for each in Remedy)}
        return given if given in known else UNUSABLE
    reading = getattr(readings_of(payload), key)
    if reading is None:
        return UNUSABLE
    if key.endswith("_ohms"):
        return OPEN_CIRCUIT if reading >= OPEN_OHMS else reading
    return reading if isinstance(reading, bool | int | float) else WRITTEN


def kept_stops(shop: Shop, actor: Actor, draft_id: str) -> tuple[KeptStop, ...]:
    """Return the stops of a visit that a correction lifted, by its draft's id.

    Parameters
    ----------
    shop
        The shop.
    actor
        Who asks.
    draft_id
        The draft of the visit, also once its quote is issued.

    Returns
    -------
    The first one first; what holds still is on the visit itself.
    """
    require(shop, actor, Action.WORK_VISIT)
    return build_kept_stops(
        line
        for action in (SHOWN, CORRECTED)
        for line in shop.ledger.journal.lines(MOST_LINES, action=action, subject=draft_id)
    )


def kept_stops_of_quote(shop: Shop, actor: Actor, number: str) -> tuple[KeptStop, ...]:
    """Return the stops that were corrected on the way to any revision of a quote.

    Parameters
    ----------
    shop, actor
        The shop, and who asks.
    number
        The quote's number.
    """
    require(shop, actor, Action.WORK_VISIT, number=number)
    drafts = dict.fromkeys(
        revision.draft_id for revision in shop.ledger.quotes.revisions(number) if revision.draft_id
    )
    return tuple(stop for draft in drafts for stop in kept_stops(shop, actor, draft))
