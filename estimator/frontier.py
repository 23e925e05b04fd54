"""Which choices no other choice beats."""

from __future__ import annotations

from collections.abc import Sequence


def frontier(price: Sequence[float], lcc: Sequence[float]) -> tuple[int, ...]:
    """Return the choices that no other beats on price today and cost over the study both.

    Parameters
    ----------
    price
        Price of each choice today [USD], P choices.
    lcc
        Life-cycle cost of each [USD], P choices.

    Returns
    -------
    Their places, by price and then in the order given.

    Raises
    ------
    ValueError
        If the rows differ in length.

    Notes
    -----
    One choice beats another when it costs no more on either count and less on at least one.
    Of equal choices none beats the other: all of them stay.
    """
    choices = list(zip(price, lcc, strict=True))
    left = [
        place
        for place, choice in enumerate(choices)
        if not any(_beats(other, choice) for other in choices)
    ]
    return tuple(sorted(left, key=lambda place: (choices[place][0], place)))


def _beats(one: tuple[float, float], other: tuple[float, float]) -> bool:
    return one[0] <= other[0] and one[1] <= other[1] and one != other
