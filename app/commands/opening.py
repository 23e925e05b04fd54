"""The shop that a command works on: opened for who gave the command, closed at the end."""

from __future__ import annotations

from contextlib import contextmanager
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path

    from app.people.guard import Actor
    from app.shop import Shop


@contextmanager
def opened(folder: Path | None, by: str = "") -> Iterator[tuple[Shop, Actor]]:
    """Open a shop at the command line, and close it at the end.

    Parameters
    ----------
    folder
        The shop's folder; the usual one where ``None``.
    by
        Who gave the command, as the journal names it; "command line" when empty.

    Yields
    ------
    The shop, and who works on it.
    """
    from app.people.guard import COMMAND_LINE, operator
    from app.wiring import default_shop_folder, open_shop

    shop = open_shop(folder or default_shop_folder())
    try:
        yield shop, operator(by or COMMAND_LINE)
    finally:
        shop.close()
