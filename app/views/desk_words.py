"""Words that the owner's views share: a figure and its change, a name that may be unknown."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from app import formatting

if TYPE_CHECKING:
    from decimal import Decimal

NONE: Final = "—"
ARROW: Final = "→"


def money_or_none(amount: Decimal | None) -> str:
    """Write an amount, or a dash where there is none."""
    return NONE if amount is None else formatting.money(amount)


def percent_or_none(share: Decimal | None) -> str:
    """Write a share in percent, or a dash where there is none."""
    return NONE if share is None else formatting.percent(share)


def changed(old: str, new: str) -> str:
    """Write what was and what would be; once where they are the same."""
    return old if old == new else f"{old} {ARROW} {new}"


def counted(count: int, thing: str) -> str:
    """Write a count with its thing: 1 quote, 1,200 quotes."""
    return f"{formatting.number(count)} {thing}{'' if count == 1 else 's'}"


def signed_money(amount: Decimal) -> str:
    """Write a difference with its sign; nothing has none."""
    return f"+{formatting.money(amount)}" if amount > 0 else formatting.money(amount)
