"""A number that may be meant, and a part as it can be had today, as cards."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from app import formatting
from app.views.supplied import where_it_is
from estimator.price_lines import part_price

if TYPE_CHECKING:
    from collections.abc import Mapping

    from app.parts_search import Standing
    from app.views.fields import Tone
    from catalog.finding_numbers import FoundNumber
    from catalog.parts import Part
    from estimator.rates import PartPricing

NOT_SOLD = "Not sold today"
ON_THE_LIST = "On this heater's parts list"
AS_TOLD = "As told with it"


@dataclass(frozen=True)
class TodayCard:
    """A part as it can be had today."""

    number: str
    description: str
    price: str
    where: str
    where_tone: Tone


@dataclass(frozen=True)
class NumberCard:
    """A part that a typed number may mean.

    `how` says how the number may have become what was typed; `known` says what else speaks for
    it: that it is on the parts list of the heater that was told, that it measures as told;
    `today` is what goes in its place, ``None`` where nothing is sold for it.
    """

    number: str
    whose: str
    part_number: str
    description: str
    how: str
    known: tuple[str, ...]
    exact: bool
    replaced: bool
    today: TodayCard | None


def build_number_card(
    found: FoundNumber, standing: Mapping[str, Standing], pricing: PartPricing
) -> NumberCard:
    """Build the card of a number.

    Parameters
    ----------
    found
        The number, and the part that carries it.
    standing
        What each part costs and where it is.
    pricing
        How the shop prices its parts.

    Returns
    -------
    The card.
    """
    return NumberCard(
        number=found.number,
        whose=found.whose,
        part_number=found.part.number,
        description=found.part.description,
        how="" if found.exact else f"{found.slip.words[:1].upper()}{found.slip.words[1:]}.",
        known=(ON_THE_LIST,) * found.of_heater + (AS_TOLD,) * found.as_told,
        exact=found.exact,
        replaced=found.part.discontinued,
        today=build_today_card(found.today, standing, pricing) if found.today is not None else None,
    )


def build_today_card(
    part: Part, standing: Mapping[str, Standing], pricing: PartPricing
) -> TodayCard:
    """Build the card of a part as it can be had today.

    Parameters
    ----------
    part
        The part.
    standing
        What each part costs and where it is.
    pricing
        How the shop prices its parts.

    Returns
    -------
    The card; without a price where the part is not sold any more.
    """
    held = standing[part.number]
    price = NOT_SOLD
    if held.offer is not None and not part.discontinued:
        price = formatting.money(part_price(held.offer.cost, held.offer.list_price, pricing))
    where, tone = where_it_is(held.stock)
    return TodayCard(part.number, part.description, price, where, tone)
