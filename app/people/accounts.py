"""People of a shop: the first owner, adding, changing, removing; and the demo shop's two."""

from __future__ import annotations

from datetime import datetime
from typing import TYPE_CHECKING

from app.people.guard import Actor, require
from app.people.passwords import hash_password
from app.people.roles import STAFF_ROLES, Action, Role
from app.people.signing_in import checked_person
from estimator.errors import InputTrouble

if TYPE_CHECKING:
    from app.ledger.entries import Person
    from app.shop import Shop

DEMO_PASSWORD = "invented-demo-shop"
"""Published, and only ever in the demo shop."""

DEMO_OWNER = "Demo owner (invented)"
DEMO_TECHNICIAN = "Demo technician (invented)"


def needs_first_owner(shop: Shop) -> bool:
    """Whether nobody may sign in yet, so that the first step is to make the owner."""
    return not shop.ledger.people.any()


def create_first_owner(shop: Shop, name: str, password: str, at: datetime) -> Person:
    """Make the owner, once, while there is nobody yet.

    Parameters
    ----------
    shop
        The shop.
    name, password
        As typed; there is no default.
    at
        Now, with its zone.

    Raises
    ------
    InputTrouble
        If the name is empty or the password is not one that is taken.
    LedgerTrouble
        If somebody is there already.
    """
    name = _checked_name(name)
    hashed = hash_password(password, name)
    return shop.ledger.people.add(name, Role.OWNER, hashed, name, at, first=True)


def create_demo_people(shop: Shop, at: datetime) -> None:
    """Make the demo shop's owner and technician, whose password is published.

    Parameters
    ----------
    shop
        The demo shop; where anybody is there already, nothing is done.
    at
        Now, with its zone.
    """
    if not needs_first_owner(shop):
        return
    for name, role in ((DEMO_OWNER, Role.OWNER), (DEMO_TECHNICIAN, Role.TECHNICIAN)):
        hashed = hash_password(DEMO_PASSWORD, name)
        shop.ledger.people.add(name, role, hashed, "setup", at, demo=True)


def demo_people(shop: Shop) -> tuple[Person, ...]:
    """Return who can sign in with the published demo password, so that the page can say so."""
    return tuple(person for person in shop.ledger.people.every() if person.demo)


def people(shop: Shop, actor: Actor, *, removed: bool = False) -> tuple[Person, ...]:
    """Return the people of the shop, for the owner."""
    require(shop, actor, Action.MANAGE_PEOPLE)
    return shop.ledger.people.every(removed=removed)


def person_named(shop: Shop, actor: Actor, name: str) -> Person:
    """Return who is called so, for the owner.

    Raises
    ------
    Trouble
        If it is not the actor's to ask, or nobody is.
    """
    require(shop, actor, Action.MANAGE_PEOPLE)
    found = shop.ledger.people.by_name(name)
    if found is None:
        raise InputTrouble(f"Nobody is called {name}", "", "Look at the list of people.")
    return found[0]


def add_person(
    shop: Shop,
    actor: Actor,
    name: str,
    role: Role | str,
    password: str,
    at: datetime,
    *,
    email: str = "",
) -> Person:
    """Add a person.

    Parameters
    ----------
    shop
        The shop.
    actor
        The owner.
    name
        The name, once in the shop.
    role
        Owner or technician.
    password
        The first password; empty where only the shop's provider signs this person in.
    at
        Now, with its zone.
    email
        The address under which the provider knows the person.

    Raises
    ------
    Trouble
        If it is not the actor's to do, or something given is not usable.
    """
    require(shop, actor, Action.MANAGE_PEOPLE, at)
    name = _checked_name(name)
    if not password and not email:
        raise InputTrouble("There is neither a password nor an address", "", "Give one of the two.")
    if email and ("@" not in email or len(email) > 200):
        raise InputTrouble(
            f'"{email[:60]}" is no address', "", "Write it as name@example.org.", field="email"
        )
    hashed = hash_password(password, name) if password else ""
    kept = shop.ledger.people
    return kept.add(name, _checked_role(role), hashed, actor.name, at, email=email)


def remove_person(shop: Shop, actor: Actor, person_id: str, at: datetime) -> Person:
    """Remove a person in one step: no more sign-in, and every session ended.

    Parameters
    ----------
    shop
        The shop.
    actor
        The owner.
    person_id
        Who; his name stays in what he did.
    at
        Now, with its zone.

    Raises
    ------
    Trouble
        If it is not the actor's to do, or that is the last owner.
    """
    require(shop, actor, Action.MANAGE_PEOPLE, at)
    return shop.ledger.people.remove(person_id, actor.name, at, Role.OWNER)


def set_password(shop: Shop, actor: Actor, person_id: str, password: str, at: datetime) -> Person:
    """Give a person a new password, for the owner; every session of his ends."""
    require(shop, actor, Action.MANAGE_PEOPLE, at)
    hashed = hash_password(password, "")
    return shop.ledger.people.change(person_id, actor.name, at, password_hash=hashed)


def change_own_password(shop: Shop, actor: Actor, old: str, new: str, at: datetime) -> Person:
    """Change one's own password; every session ends, this one too.

    Parameters
    ----------
    shop
        The shop.
    actor
        Who is signed in.
    old, new
        The password as it is and as it shall be.
    at
        Now, with its zone.

    Raises
    ------
    Trouble
        If the old one is not right or the new one is not taken, or there were too many tries.
    """
    require(shop, actor, Action.CHANGE_OWN_PASSWORD, at)
    # Counted like any other try: who finds a page left open must not guess on at it.
    wrong = "The old password is not right"
    own = actor.person_id or ""
    person, _ = checked_person(shop, actor.name, old, at, wrong=wrong, device=own, field="old")
    hashed = hash_password(new, actor.name)
    return shop.ledger.people.change(person.person_id, actor.name, at, password_hash=hashed)


def _checked_name(name: str) -> str:
    plain = " ".join(name.split())
    if not 1 <= len(plain) <= 80 or not plain.isprintable():
        raise InputTrouble(
            "A name has 1 to 80 characters", "", "Write the person's name.", field="name"
        )
    return plain


def _checked_role(role: Role | str) -> Role:
    if role not in STAFF_ROLES:
        roles = " or ".join(STAFF_ROLES)
        raise InputTrouble(f'"{str(role)[:40]}" is no role', "", f"Take {roles}.", field="role")
    return Role(role)
