"""The kit of each remedy as a card: what it takes, and what the whole job costs, tax in."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from app import formatting
from app.views.supplied import beside, days_long

if TYPE_CHECKING:
    from collections.abc import Sequence
    from decimal import Decimal

    from app.kits import Kit
    from app.views.fields import Tone
    from app.views.supplied import Besides
    from estimator.rates import PartPricing


@dataclass(frozen=True)
class KitCard:
    """What one remedy takes, and what the customer pays for it, tax in.

    `labor` names each operation with its hours at open access; `access` says what the reach
    makes of them, nothing where it is open; `hours` is the whole.
    """

    remedy: str
    name: str
    part: str
    besides: tuple[Besides, ...]
    labor: tuple[str, ...]
    access: str
    hours: str
    price: str
    where: str
    where_tone: Tone
    check_these: tuple[str, ...]
    missing: tuple[str, ...]
    closed_reason: str


def build_kit_cards(kits: Sequence[Kit], pricing: PartPricing) -> tuple[KitCard, ...]:
    """Build the kits of a finding, side by side.

    Parameters
    ----------
    kits
        The kits.
    pricing
        How the shop prices its parts.

    Returns
    -------
    A card for each remedy.
    """
    return tuple(_kit_card(kit, pricing) for kit in kits)


def _kit_card(kit: Kit, pricing: PartPricing) -> KitCard:
    where, tone = _kit_where(kit)
    main = kit.parts[0] if kit.fit is not None else None
    others = kit.parts[1:] if main is not None else kit.parts
    return KitCard(
        remedy=kit.remedy.value,
        name=kit.name,
        part=f"{main.description} ({main.number})" if main is not None else "No part",
        besides=tuple(beside(each, pricing) for each in others),
        labor=tuple(f"{each.name}, {_hours(each.hours)}" for each in kit.operations),
        access=(
            f"Times {kit.access_factor.normalize():f} for how hard it is to reach"
            if kit.access_factor != 1
            else ""
        ),
        hours=_hours(kit.hours),
        price="" if kit.closed_reason else formatting.money(kit.priced.total),
        where=where,
        where_tone=tone,
        check_these=kit.fit.check_these if kit.fit is not None else (),
        missing=kit.missing,
        closed_reason=kit.closed_reason or "",
    )


def _kit_where(kit: Kit) -> tuple[str, Tone]:
    if kit.closed_reason:
        return "Cannot be had today", "stop"
    if not kit.parts:
        return "No part needed", "good"
    if kit.on_the_van:
        return "All on the van", "good"
    days = kit.days
    if days is None:
        return "Not all of it can be had", "check"
    return (
        "All on the van or at the branch" if days == 0 else f"To order, {days_long(days)}"
    ), "check"


def _hours(hours: Decimal) -> str:
    return f"{hours.normalize():f} h"
