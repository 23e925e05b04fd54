"""What a price list does to the parts that this shop uses, by the quotes of a year."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta
from decimal import Decimal
from typing import TYPE_CHECKING, Final, NamedTuple

from catalog.price_effects import margin_of
from estimator.price_lines import part_price

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping, Sequence

    from app.ledger.records import PartTaken
    from catalog.offers import Offer
    from catalog.price_effects import ListedPart
    from estimator.rates import PartPricing

VANISHED: Final = "vanished"


@dataclass(frozen=True)
class UsedPart:
    """A part that the shop uses and whose cost or price the list moves [USD, 1].

    `quoted` pieces were quoted, `used` of them in accepted repairs; `pieces` is which of the
    two counts. `cost_before` and `cost` are this supplier's; `paid_before` and `paid` what the
    shop pays, for it buys where a part is cheapest: from `supplier`, once the list holds.
    `margin_kept` is the gross margin if the price stays, `margin` if it follows. `dearer` is
    what the pieces cost more.
    """

    part: str
    quoted: Decimal
    used: Decimal
    pieces: Decimal
    cost_before: Decimal | None
    cost: Decimal
    paid_before: Decimal
    paid: Decimal
    supplier: str
    price_before: Decimal
    price: Decimal
    margin_before: Decimal | None
    margin_kept: Decimal | None
    margin: Decimal | None
    dearer: Decimal


@dataclass(frozen=True)
class GonePart:
    """A part that the shop uses, buys from this supplier and misses in the list [USD].

    `elsewhere` is what `supplier` asks, the cheapest of the others; ``None`` where nobody
    offers it. It holds only if the list is the whole one.
    """

    part: str
    quoted: Decimal
    used: Decimal
    paid_before: Decimal
    elsewhere: Decimal | None
    supplier: str


@dataclass(frozen=True)
class UsedEffect:
    """What a list does to the parts of the quotes from `since` to `until`.

    `parts` are all that move, the dearest effect first; the sums [USD] are over their
    `pieces`. These are the pieces of accepted repairs, or `by_quoted` all that were quoted,
    where no accepted repair of these days is known. `unmoved` used parts stand in the list with
    a change that moves nothing, for another supplier asks less; `taken` parts are in the quotes.
    """

    since: date
    until: date
    taken: int
    by_quoted: bool
    parts: tuple[UsedPart, ...]
    gone: tuple[GonePart, ...]
    unmoved: int
    pieces: Decimal
    cost_before: Decimal
    cost: Decimal
    price_before: Decimal
    price: Decimal
    margin_before: Decimal | None
    margin_kept: Decimal | None
    margin: Decimal | None


class _Ask(NamedTuple):
    """What a supplier asks, in the order by which a quote chooses."""

    cost: Decimal
    order_days: int
    supplier: str
    list_price: Decimal | None


def year_before(day: date) -> date:
    """Return the same day a year before; February 28 for a leap day."""
    leaps = (day.month, day.day) == (2, 29)
    return day.replace(year=day.year - 1, day=28 if leaps else day.day)


def used_effect(
    taken: Sequence[PartTaken], listed: Iterable[ListedPart],
    offers: Mapping[str, Sequence[Offer]], supplier: str, pricing: PartPricing, until: date,
) -> UsedEffect:  # fmt: skip
    """Work out what a list does to the parts that the shop uses.

    Parameters
    ----------
    taken
        The parts in the quotes of the year up to `until`.
    listed
        What the list does to them.
    offers
        Part to every offer that holds on the list's first day, without the list.
    supplier
        Whose list it is.
    pricing
        How the shop prices its parts.
    until
        Today.

    Returns
    -------
    The effect.
    """
    by_quoted = not any(each.used for each in taken)
    pieces = {each.part: each for each in taken}
    parts, gone, unmoved = [], [], 0
    for each in listed:
        held = [_Ask(it.cost, it.order_days, it.supplier, it.list_price)
                for it in offers.get(each.part, ())]  # fmt: skip
        before = min(held, default=None, key=_rank)
        after = min(_once_it_holds(held, each, supplier), default=None, key=_rank)
        use = pieces[each.part]
        if before is None:
            continue  # nobody offered it: there is nothing to hold the new cost against
        if each.kind == VANISHED:
            if after is None or after.cost != before.cost:
                gone.append(_gone(use, before, after))
        elif each.cost is not None and after is not None and _moves(before, after, pricing):
            count = use.quoted if by_quoted else use.used
            parts.append(_used(use, count, each, before, after, pricing))
        else:
            unmoved += 1
    return _effect(parts, gone, unmoved, until, taken=len(taken), by_quoted=by_quoted)


def _rank(ask: _Ask) -> tuple[Decimal, int, str]:
    return ask.cost, ask.order_days, ask.supplier


def _once_it_holds(held: list[_Ask], listed: ListedPart, supplier: str) -> list[_Ask]:
    """Return what is asked once the list holds: the supplier's offers of before end with it."""
    asks = [ask for ask in held if ask.supplier != supplier]
    if listed.cost is not None:
        days = listed.order_days or 0
        asks.append(_Ask(listed.cost, days, supplier, listed.list_price))
    return asks


def _price(ask: _Ask, pricing: PartPricing) -> Decimal:
    return part_price(ask.cost, ask.list_price, pricing)


def _moves(before: _Ask, after: _Ask, pricing: PartPricing) -> bool:
    return before.cost != after.cost or _price(before, pricing) != _price(after, pricing)


def _used(
    use: PartTaken, pieces: Decimal, listed: ListedPart, before: _Ask, after: _Ask,
    pricing: PartPricing,
) -> UsedPart:  # fmt: skip
    price_before, price = _price(before, pricing), _price(after, pricing)
    return UsedPart(
        part=use.part,
        quoted=use.quoted,
        used=use.used,
        pieces=pieces,
        cost_before=listed.cost_before,
        cost=listed.cost if listed.cost is not None else after.cost,
        paid_before=before.cost,
        paid=after.cost,
        supplier=after.supplier,
        price_before=price_before,
        price=price,
        margin_before=margin_of(price_before, before.cost),
        margin_kept=margin_of(price_before, after.cost),
        margin=margin_of(price, after.cost),
        dearer=pieces * (after.cost - before.cost),
    )


def _gone(use: PartTaken, before: _Ask, after: _Ask | None) -> GonePart:
    elsewhere, supplier = (None, "") if after is None else (after.cost, after.supplier)
    return GonePart(use.part, use.quoted, use.used, before.cost, elsewhere, supplier)


def _effect(
    parts: list[UsedPart], gone: list[GonePart], unmoved: int, until: date, *,
    taken: int, by_quoted: bool,
) -> UsedEffect:  # fmt: skip
    def total(cents: Iterable[Decimal]) -> Decimal:
        return sum(cents, Decimal("0.00"))

    cost_before = total(each.pieces * each.paid_before for each in parts)
    cost = total(each.pieces * each.paid for each in parts)
    price_before = total(each.pieces * each.price_before for each in parts)
    price = total(each.pieces * each.price for each in parts)
    return UsedEffect(
        since=year_before(until) + timedelta(days=1),
        until=until,
        taken=taken,
        by_quoted=by_quoted,
        parts=tuple(sorted(parts, key=_dearest_first)),
        gone=tuple(sorted(gone, key=_gone_first)),
        unmoved=unmoved,
        pieces=sum((each.pieces for each in parts), Decimal(0)),
        cost_before=cost_before,
        cost=cost,
        price_before=price_before,
        price=price,
        margin_before=margin_of(price_before, cost_before),
        margin_kept=margin_of(price_before, cost),
        margin=margin_of(price, cost),
    )


def _dearest_first(part: UsedPart) -> tuple[Decimal, Decimal, str]:
    # Then by what was quoted: a part that no repair took yet may be in the next one.
    return -part.dearer, -part.quoted * (part.paid - part.paid_before), part.part


def _gone_first(part: GonePart) -> tuple[bool, Decimal, str]:
    more = Decimal(0) if part.elsewhere is None else part.elsewhere - part.paid_before
    return part.elsewhere is not None, -more * part.quoted, part.part
