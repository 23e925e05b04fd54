"""Which choices no other choice beats on every count."""

from __future__ import annotations

from collections.abc import Sequence


def frontier(points: Sequence[tuple[float, ...]]) -> tuple[int, ...]:
    """Return the points that no other point beats.

    Parameters
    ----------
    points
        What each choice costs on each count, less being better, P points.

    Returns
    -------
    Their places in `points`, by the first count and then in the order given.

    Notes
    -----
    One point beats another when it costs no more on any count and less on at least one. Of
    equal points none beats the other: all of them stay.
    """
    left = [
        place
        for place, point in enumerate(points)
        if not any(_beats(other, point) for other in points)
    ]
    return tuple(sorted(left, key=lambda place: (points[place][0], place)))


def _beats(one: tuple[float, ...], other: tuple[float, ...]) -> bool:
    pairs = list(zip(one, other, strict=True))
    return all(a <= b for a, b in pairs) and any(a < b for a, b in pairs)
