"""Part numbers as people write them."""

from __future__ import annotations

_FOLD = str.maketrans({"O": "0", "I": "1", "L": "1", "-": None, " ": None, ".": None, "/": None})


def fold(number: str) -> str:
    """Return a part number with everything set aside that is commonly mistaken.

    Parameters
    ----------
    number
        The number as typed, stamped or printed.

    Returns
    -------
    Upper case, without dashes, spaces, points and slashes; O read as 0, I and L as 1.
    """
    return number.upper().translate(_FOLD)
