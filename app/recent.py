"""What the last visits of a shop had in common with the next: heater families, the van."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Final

from app.people.guard import Actor, require
from app.people.roles import Action

if TYPE_CHECKING:
    from app.shop import Shop

QUOTES_READ: Final = 12
FAMILIES_SHOWN: Final = 3
READ_AT_MOST: Final = 500


@dataclass(frozen=True)
class Recent:
    """Heater families by slug, the last one first, and the technician's last van."""

    families: tuple[str, ...]
    van: str


def recent_visits(shop: Shop, actor: Actor) -> Recent:
    """Look through the visits under way and the last quotes.

    Parameters
    ----------
    shop
        The shop.
    actor
        Whose van is wanted; families are those of everybody.

    Returns
    -------
    The families met last, at most three, and the van that the technician last came with;
    empty where there was none.
    """
    require(shop, actor, Action.WORK_VISIT)
    met = [
        (
            draft.saved_at,
            draft.person,
            str(draft.payload.get("family") or ""),
            str((draft.payload.get("visit") or {}).get("van") or ""),
        )
        for draft in shop.ledger.drafts.every()
    ]
    for quote in shop.ledger.quotes.listed(QUOTES_READ):
        family, van = _of_quote(shop, quote.number, quote.revision)
        met.append((quote.issued_at, quote.issued_by, family, van))
    met.sort(key=lambda visit: visit[0], reverse=True)
    families = tuple(dict.fromkeys(family for _, _, family, _ in met if family))
    vans = (van for _, person, _, van in met if van and person == actor.name)
    return Recent(families[:FAMILIES_SHOWN], next(vans, ""))


def _of_quote(shop: Shop, number: str, revision: int) -> tuple[str, str]:
    """Return the family and the van of an issued quote, read once: it never changes."""
    key = (str(shop.folder), number, revision)
    if key not in _READ:
        from app.quoting import quote_visit  # noqa: PLC0415 - quoting is heavy, wanted here only

        quote = shop.ledger.quotes.get(number, revision)
        if quote.erased_at is not None:
            return "", ""
        visit = quote_visit(quote)
        if len(_READ) >= READ_AT_MOST:
            _READ.clear()
        _READ[key] = (visit.family or "", visit.visit.van)
    return _READ[key]


_READ: dict[tuple[str, str, int], tuple[str, str]] = {}
