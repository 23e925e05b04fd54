"""Values as columns: moments, days and money, in and out."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import UTC, datetime
from decimal import Decimal
from typing import Any

from estimator.errors import LedgerTrouble
from estimator.money import to_cents

Row = Mapping[Any, Any]
"""A row of a table: column names to values."""


def moment_text(moment: datetime) -> str:
    """Write a moment as ISO text in UTC with microseconds, so that texts sort as moments.

    Parameters
    ----------
    moment
        A time with its zone.

    Raises
    ------
    LedgerTrouble
        If the time has no zone: the same text could then mean two moments.
    """
    if moment.tzinfo is None:
        raise LedgerTrouble(
            f"The time {moment.isoformat()} has no time zone",
            "what the ledger was given",
            "Give the time with its zone.",
        )
    return moment.astimezone(UTC).isoformat(timespec="microseconds")


def cents(amount: Decimal | None) -> int | None:
    """Return a price in whole cents, or ``None`` for none.

    Parameters
    ----------
    amount
        The price [USD].

    Raises
    ------
    LedgerTrouble
        If the price is not a number of whole cents; rounding is not the ledger's to do.
    """
    if amount is None:
        return None
    if not amount.is_finite() or abs(amount) >= 10**12 or to_cents(amount) != amount:
        raise LedgerTrouble(
            f"The price {amount} is not in whole cents",
            "the quote to issue",
            "Round it as the shop rounds before the quote is issued.",
        )
    return int(amount * 100)


def dollars(amount_cents: int | None) -> Decimal | None:
    """Return a price with two decimals [USD].

    Parameters
    ----------
    amount_cents
        The price in whole cents, or ``None`` for none.
    """
    return None if amount_cents is None else Decimal(amount_cents).scaleb(-2)
