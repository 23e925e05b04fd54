"""The journal in the owner's hands: its lines, and its head as an anchor to write down."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

from app.ledger.records import JournalHead
from app.people.guard import Actor, require
from app.people.roles import Action
from estimator.errors import InputTrouble

if TYPE_CHECKING:
    from app.ledger.records import JournalLine
    from app.shop import Shop


def journal(
    shop: Shop,
    actor: Actor,
    limit: int = 100,
    *,
    before: int | None = None,
    action: str | None = None,
    subject: str | None = None,
) -> tuple[JournalLine, ...]:
    """Return lines of the journal, the last written first, for the owner."""
    require(shop, actor, Action.READ_JOURNAL)
    lines = shop.ledger.journal.lines
    return lines(limit, before=before, action=action, subject=subject)


def journal_head(shop: Shop, actor: Actor) -> JournalHead:
    """Return the journal's head, to be written down outside of the ledger as an anchor."""
    require(shop, actor, Action.READ_JOURNAL)
    return shop.ledger.journal.head()


def head_from(text: str) -> JournalHead:
    """Read an anchor as `journal_head` prints it.

    Parameters
    ----------
    text
        The line's number, a colon, and its hash.

    Raises
    ------
    InputTrouble
        If it is not that.
    """
    found = re.fullmatch(r"\s*([0-9]{1,12}):([0-9a-f]{64})\s*", text)
    if found is None:
        raise InputTrouble(
            "The anchor is not a line's number, a colon and 64 hexadecimal digits",
            "",
            "Copy it as `heater ledger head` printed it.",
        )
    return JournalHead(int(found[1]), found[2])
