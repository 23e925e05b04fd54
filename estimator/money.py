"""Money: the one door between exact decimal dollars and floating-point arrays."""

from __future__ import annotations

from decimal import ROUND_HALF_UP, Decimal
from typing import Annotated

from pydantic import Field

CENT = Decimal("0.01")

MOST_DOLLARS = Decimal(10_000_000)

Dollars = Annotated[Decimal, Field(ge=0, le=MOST_DOLLARS, allow_inf_nan=False)]
"""A price in US dollars [USD], zero or more."""

Share = Annotated[Decimal, Field(ge=0, lt=1, allow_inf_nan=False)]
"""A fraction of one: 0 or more, below 1."""


def to_cents(amount: Decimal, step: Decimal = CENT) -> Decimal:
    """Round an amount half up to a step.

    Parameters
    ----------
    amount
        The amount [USD].
    step
        What to round to [USD]; a cent unless told.

    Returns
    -------
    The rounded amount [USD], written with two decimals.

    Notes
    -----
    Half up away from zero, as sales tax tables round ("the third decimal over four
    rounds up"). The binary floats 2.675 and 1.005 round the other way, which is why
    money is never rounded as a float.

    References
    ----------
    City code of Fayetteville, West Virginia, 777.05.
    """
    steps = (amount / step).quantize(Decimal(1), rounding=ROUND_HALF_UP)
    return (steps * step).quantize(CENT, rounding=ROUND_HALF_UP)


def from_float(amount: float) -> Decimal:
    """Take a computed amount back into exact cents.

    Parameters
    ----------
    amount
        A finite amount [USD].

    Returns
    -------
    The amount rounded half up to the cent [USD].

    Raises
    ------
    ValueError
        If the amount is not finite.
    """
    exact = Decimal(repr(float(amount)))
    if not exact.is_finite():
        raise ValueError(f"An amount of money must be finite, not {amount}")
    return to_cents(exact)


def to_float(amount: Decimal) -> float:
    """Take exact dollars into floating point for the life-cycle arithmetic.

    Parameters
    ----------
    amount
        The amount [USD].

    Returns
    -------
    The nearest float [USD].
    """
    return float(amount)


def dollars(amount: Decimal) -> str:
    """Write an amount for a sentence, to the cent.

    Parameters
    ----------
    amount
        The amount [USD].

    Returns
    -------
    Text such as ``$1,234.50``.
    """
    cents = to_cents(amount)
    return f"-${-cents:,.2f}" if cents < 0 else f"${abs(cents):,.2f}"


def whole_dollars(amount: Decimal) -> str:
    """Write an expected amount for a sentence, to the dollar: more would feign precision.

    Parameters
    ----------
    amount
        The amount [USD].

    Returns
    -------
    Text such as ``$1,235``.
    """
    whole = to_cents(amount, Decimal(1))
    return f"-${-whole:,.0f}" if whole < 0 else f"${abs(whole):,.0f}"
