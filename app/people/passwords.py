"""Passwords: which are taken, and how they are kept (argon2id).

References
----------
RFC 9106, section 4: argon2id with 64 MiB, three passes and four lanes, its second
recommended option. The length is common practice, no source.
"""

from __future__ import annotations

import unicodedata
from functools import lru_cache
from typing import TYPE_CHECKING

from estimator.errors import InputTrouble

if TYPE_CHECKING:
    from argon2 import PasswordHasher

SHORTEST = 10
LONGEST = 200
FEWEST_DIFFERENT = 5

_COMMON = frozenset(
    {
        *("password", "passwort", "contraseña", "letmein", "welcome", "qwerty", "qwertyuiop"),
        *("iloveyou", "administrator", "changeme", "waterheater", "technician", "owner"),
        *("abcdefghij", "asdfghjkl", "monkey", "dragon", "football", "baseball", "sunshine"),
    }
)


def check_password(password: str, name: str) -> str:
    """Return a new password in the spelling that is hashed, or say why it is not taken.

    Parameters
    ----------
    password
        What was typed.
    name
        The person's name, which the password may not be made of.

    Raises
    ------
    InputTrouble
        If it is too short, too long, one of the commonest, or made of the name.
    """
    plain = _normal(password)
    folded = plain.casefold()
    letters = "".join(sign for sign in folded if sign.isalpha())
    why = None
    if len(plain) < SHORTEST:
        why = f"The password has {len(plain)} characters; at least {SHORTEST} are needed"
    elif len(plain) > LONGEST:
        why = f"The password has {len(plain)} characters; at most {LONGEST} are taken"
    elif len(set(folded)) < FEWEST_DIFFERENT:
        why = "The password repeats the same few characters"
    elif letters in _COMMON or folded in _COMMON:
        why = "The password is one of the first that anybody tries"
    elif letters and letters == "".join(sign for sign in name.casefold() if sign.isalpha()):
        why = "The password is the person's own name"
    if why is not None:
        mend = "Take a few words that nobody would put together."
        raise InputTrouble(why, "", mend, field="password")
    return plain


def hash_password(password: str, name: str) -> str:
    """Return the hash under which a new password is kept.

    Parameters
    ----------
    password
        What was typed.
    name
        The person's name.

    Raises
    ------
    InputTrouble
        If the password is not one that is taken.
    """
    return _hasher().hash(check_password(password, name))


def password_fits(kept: str | None, password: str) -> bool:
    """Return whether a typed password is the one that was kept.

    Parameters
    ----------
    kept
        The hash; ``None`` or empty where there is nobody or no password, which takes as long.
    password
        What was typed.
    """
    from argon2.exceptions import InvalidHashError, VerificationError  # noqa: PLC0415 - slow

    try:
        _hasher().verify(kept or _nobodys(), _normal(password)[: LONGEST + 1])
    except (VerificationError, InvalidHashError):
        return False
    return bool(kept)


def is_weaker(kept: str) -> bool:
    """Return whether a hash was made with weaker settings than today's."""
    return _hasher().check_needs_rehash(kept)


def _normal(password: str) -> str:
    # The same password typed on two keyboards must be the same characters; half of a pair,
    # which no keyboard sends, must not stop the program.
    return unicodedata.normalize("NFKC", password).encode("utf-8", "replace").decode()


@lru_cache(maxsize=1)
def _hasher() -> PasswordHasher:
    from argon2 import PasswordHasher, profiles  # noqa: PLC0415 - wanted at sign-in only

    return PasswordHasher.from_parameters(profiles.RFC_9106_LOW_MEMORY)


@lru_cache(maxsize=1)
def _nobodys() -> str:
    return _hasher().hash("no person has this password")
