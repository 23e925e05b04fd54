"""The check before every action: who asks, what for, and a journal line where it is refused."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import UTC, datetime
from typing import TYPE_CHECKING

from app.people.roles import MATRIX, Action, Role
from estimator.errors import Trouble

if TYPE_CHECKING:
    from app.ledger.entries import Person
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
    moment = at or datetime.now(UTC)
    detail = {"action": action.value, "role": actor.role.value}
    shop.ledger.journal.note(moment, actor.name, "refused", number or "", detail)
    raise refusal(action)


def refusal(action: Action) -> Trouble:
    """Return the plain refusal of an action, not raised."""
    return Trouble(f"You may not {action.value}", "", "Ask the owner.")


def allowed_name(shop: Shop, person: Actor | str, action: Action, at: datetime) -> str:
    """Return the name under which somebody acts, if he may.

    Parameters
    ----------
    shop
        The shop, for its journal.
    person
        The actor, who must be allowed to; or the name of whoever runs the command line in
        the shop's folder.
    action
        What for.
    at
        Now, with its zone.

    Returns
    -------
    The name for the ledger.

    Raises
    ------
    Trouble
        If the action is not the actor's to do.
    """
    if isinstance(person, str):
        return person
    require(shop, person, action, at)
    return person.name
