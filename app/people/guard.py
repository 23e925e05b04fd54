"""The check before every action: who asks, what for, and a journal line where it is refused."""

from __future__ import annotations

from contextlib import suppress
from dataclasses import dataclass
from datetime import UTC, datetime
from typing import TYPE_CHECKING

from app.people.roles import MATRIX, Action, Role
from app.shop_settings import ledger_there, ledger_url
from estimator.errors import Trouble

if TYPE_CHECKING:
    from pathlib import Path

    from app.ledger.entries import Person
    from app.ledger.ledger import Ledger
    from app.shop import Shop


@dataclass(frozen=True)
class Actor:
    """Who asks for something.

    `person_id` is set for a person who signed in; `number` for a customer, the quote that his
    link opens. An operator at the shop's own command line has neither: who may write to the
    shop's folder can change every file in it, so that is what is checked there.
    """

    name: str
    role: Role
    person_id: str | None = None
    number: str | None = None


COMMAND_LINE = "command line"
"""The name under which the command line acts where nobody is named with --by."""


def staff(person: Person) -> Actor:
    """Return the actor for a person who signed in."""
    return Actor(person.name, Role(person.role), person.person_id)


def customer(number: str) -> Actor:
    """Return the actor for whoever holds the link to a quote."""
    return Actor("customer", Role.CUSTOMER, number=number)


def operator(name: str) -> Actor:
    """Return the actor for whoever runs the command line in the shop's folder."""
    return Actor(name, Role.OWNER)


def allowed(actor: Actor, action: Action) -> bool:
    """Return whether an actor's role may do an action."""
    return actor.role in MATRIX[action]


def require(
    shop: Shop,
    actor: Actor,
    action: Action,
    at: datetime | None = None,
    *,
    number: str | None = None,
) -> None:
    """Refuse an action that is not the actor's to do, and write the refusal down.

    Parameters
    ----------
    shop
        The shop, for its journal.
    actor
        Who asks.
    action
        What for.
    at
        Now, with its zone.
    number
        The quote that it is about, where a customer asks.

    Raises
    ------
    Trouble
        A plain refusal that tells nothing else.
    """
    own = actor.role is not Role.CUSTOMER or (number is not None and number == actor.number)
    if allowed(actor, action) and own:
        return
    _note_refusal(shop.ledger, actor, action, at or datetime.now(UTC), number)
    raise refusal(action)


def refusal(action: Action) -> Trouble:
    """Return the plain refusal of an action, not raised."""
    return Trouble(f"You may not {action.value}", "", "Ask the owner.")


def require_in_folder(folder: Path, actor: Actor, action: Action, at: datetime) -> None:
    """Refuse an action on a shop's folder, which may hold no shop yet; see `require`.

    Parameters
    ----------
    folder
        The folder; the refusal goes into the journal of its shop where there is one.
    actor, action, at
        As for `require`.

    Raises
    ------
    Trouble
        A plain refusal that tells nothing else.
    """
    if allowed(actor, action):
        return
    with suppress(Trouble):  # a shop that cannot be opened takes no line, and opens nothing
        if ledger_there(folder):
            from app.ledger.ledger import Ledger  # noqa: PLC0415 - wanted on a refusal only

            with Ledger.open(ledger_url(folder), create=False) as ledger:
                _note_refusal(ledger, actor, action, at)
    raise refusal(action)


def _note_refusal(
    ledger: Ledger, actor: Actor, action: Action, at: datetime, number: str | None = None
) -> None:
    detail = {"action": action.value, "role": actor.role.value}
    ledger.journal.note(at, actor.name, "refused", number or "", detail)
