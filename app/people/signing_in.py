"""Signing in: names, passwords, lock-out, and sessions that end."""

from __future__ import annotations

import hashlib
import secrets
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import TYPE_CHECKING

from app.people.devices import known_device
from app.people.guard import Actor, staff
from app.people.passwords import hash_password, is_weaker, password_fits
from app.people.roles import Role
from estimator.errors import InputTrouble, Trouble

if TYPE_CHECKING:
    from app.ledger.entries import Person
    from app.shop import Shop

IDLE: dict[str, timedelta] = {Role.OWNER: timedelta(hours=2), Role.TECHNICIAN: timedelta(hours=12)}
"""A session ends when nothing was done for this long: a technician's lasts his working day, for
he has dirty hands and no signal; the owner's, who may do everything, does not."""

LONGEST_SESSION = timedelta(days=7)
"""A session ends after this long at the latest."""

FREE_TRIES = 4
FIRST_DELAY = timedelta(seconds=15)
LONGEST_DELAY = timedelta(minutes=15)

_NOT_RIGHT = "The name or the password is not right"


@dataclass(frozen=True)
class SignedIn:
    """A person who just signed in: the token for the browser, and when it ends at the latest.

    The ledger keeps only the token's hash: who reads the ledger cannot use a session.
    """

    token: str
    actor: Actor
    person: Person
    ends_at: datetime


def delay_after(failures: int) -> timedelta:
    """Return how long a name is locked after so many failures in a row.

    Parameters
    ----------
    failures
        Failures in a row, with this one.

    Returns
    -------
    Nothing for the first `FREE_TRIES`, then `FIRST_DELAY`, doubled by each further failure
    up to `LONGEST_DELAY`: long against guessing, short enough that a stranger cannot keep
    the owner out for a day.
    """
    over = failures - FREE_TRIES
    if over <= 0:
        return timedelta(0)
    doubled: timedelta = FIRST_DELAY * 2 ** min(over - 1, 20)
    return min(doubled, LONGEST_DELAY)


def sign_in(
    shop: Shop, name: str, password: str, at: datetime, *, device: str | None = None
) -> SignedIn:
    """Sign a person in by name and password.

    Parameters
    ----------
    shop
        The shop.
    name, password
        As typed.
    at
        Now, with its zone.
    device
        What the browser brought of an earlier sign-in, if anything; see `app.people.devices`.

    Returns
    -------
    The session; its token goes to the browser and nowhere else.

    Raises
    ------
    InputTrouble
        With the same words and after the same work, whether the name is known or not.
    Trouble
        If there were too many tries; it says how long to wait.
    """
    name = name[:200]
    known = known_device(shop.folder, name, device)
    person, kept = checked_person(shop, name, password, at, device=known)
    if is_weaker(kept):
        rehashed = hash_password(password, "")
        person = shop.ledger.people.change(
            person.person_id, person.name, at, password_hash=rehashed
        )
    return _start(shop, person, at, known)


def checked_person(
    shop: Shop,
    name: str,
    password: str,
    at: datetime,
    *,
    wrong: str = _NOT_RIGHT,
    device: str = "",
    field: str = "",
) -> tuple[Person, str]:
    """Return whose name and password these are; tries are counted and lock the name.

    Parameters
    ----------
    shop
        The shop.
    name, password
        As typed.
    at
        Now, with its zone.
    wrong
        What is said where they do not fit.
    device
        The browser whose tries are counted apart, if it is a known one.
    field
        The field that a refusal is about, where the password alone is asked for.

    Returns
    -------
    The person, and the hash of the password that is kept.

    Raises
    ------
    Trouble
        As `sign_in`.
    """
    tries = shop.ledger.sign_ins
    # Counted before the password is looked at: many tries at once then count as many.
    failures, locked_until = tries.count_try(name, at, device)
    if locked_until is not None:
        raise _locked(locked_until - at, field=field)
    found = shop.ledger.people.by_name(name)
    kept = found[1] if found else None
    if not password_fits(kept, password) or found is None or kept is None:
        delay = delay_after(failures)
        tries.fail_try(name, at + delay if delay else None, at, device)
        if delay:
            raise _locked(delay, wrong, field=field)
        mend = "Type it again." if field else "Type both again."
        raise InputTrouble(wrong, "", mend, field=field)
    return found[0], kept


def sign_in_by_provider(shop: Shop, email: str, at: datetime) -> SignedIn:
    """Sign a person in whom the shop's provider (OIDC) has identified.

    Parameters
    ----------
    shop
        The shop.
    email
        The address in the provider's verified token. The caller checks the token, and that
        the provider calls the address verified.
    at
        Now, with its zone.

    Raises
    ------
    Trouble
        If the owner added nobody with this address.
    """
    person = shop.ledger.people.by_email(email)
    if person is None:
        shop.ledger.journal.note(at, "unknown", "sign-in failed", "", {"by": "provider"})
        raise Trouble(
            "Nobody in this shop has the address that you signed in with",
            "",
            "Ask the owner to add you with this address.",
        )
    return _start(shop, person, at)


def who(shop: Shop, token: str | None, at: datetime) -> Actor | None:
    """Return who is signed in with a token, or ``None`` where that ended.

    Parameters
    ----------
    shop
        The shop.
    token
        The token from the browser, if any.
    at
        Now, with its zone.
    """
    if not token or len(token) > 200:
        return None
    session = shop.ledger.sign_ins.session(token_hash(token), at, IDLE)
    return None if session is None else staff(session.person)


def sign_out(shop: Shop, token: str, at: datetime) -> None:
    """End a session as its person asks, and journal it; one that ended already is no error."""
    shop.ledger.sign_ins.end_session(token_hash(token), at)


def token_hash(token: str) -> str:
    """Return what the ledger keeps of a token [hex]."""
    return hashlib.sha256(token.encode("utf-8", "replace")).hexdigest()


def _start(shop: Shop, person: Person, at: datetime, device: str = "") -> SignedIn:
    token = secrets.token_urlsafe(32)
    ends_at = at + LONGEST_SESSION
    session = shop.ledger.sign_ins.start_session(
        person.person_id, token_hash(token), ends_at, at, device
    )
    return SignedIn(token, staff(session.person), session.person, ends_at)


def _locked(
    left: timedelta,
    because: str = "There were too many tries with this name",
    *,
    field: str = "",
) -> Trouble:
    seconds = max(int(left.total_seconds()), 1)
    wait = f"{seconds} seconds" if seconds < 120 else f"{-(-seconds // 60)} minutes"
    return Trouble(because, "", f"Wait {wait} and try again.", field=field)
