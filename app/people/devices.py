"""Browsers in which a person signed in before, so that a stranger's tries do not lock him out.

Tries to sign in are counted by name; somebody who tries on and on would keep that name locked.
A browser that signed in under a name carries a signed word of it, and its tries are counted apart.
The word opens nothing: who steals it gains no more than tries of his own, locked in the same way.
"""

from __future__ import annotations

import hmac
import secrets
from typing import TYPE_CHECKING

from app.ledger.person_rows import folded
from app.links import key_of

if TYPE_CHECKING:
    from pathlib import Path

_NONCE = 32
_LONGEST = 200


def new_device(folder: Path, name: str) -> str:
    """Return the word for a browser in which a person just signed in.

    Parameters
    ----------
    folder
        The shop's folder, where its key is.
    name
        The person's name.
    """
    nonce = secrets.token_hex(_NONCE // 2)
    return nonce + _signature(folder, name, nonce)


def known_device(folder: Path, name: str, word: str | None) -> str:
    """Return what names a browser in which this person signed in before; empty where none did.

    Parameters
    ----------
    folder
        The shop's folder.
    name
        The name that was typed.
    word
        What the browser brought, if anything.
    """
    if not word or len(word) > _LONGEST or not word.isascii():
        return ""
    nonce, signature = word[:_NONCE], word[_NONCE:]
    fits = hmac.compare_digest(_signature(folder, name, nonce), signature)
    return nonce if fits else ""


def _signature(folder: Path, name: str, nonce: str) -> str:
    said = f"device 1:{nonce}:{folded(name)}".encode("utf-8", "replace")
    return hmac.digest(key_of(folder), said, "sha256").hex()
