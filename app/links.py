"""Tokens of customers' links: signed with the shop's own key, unguessable, kept as a hash.

A token is sixteen random bytes and their HMAC-SHA-256, cut to sixteen bytes (RFC 2104 lets a
MAC be cut to half). What was guessed or altered is refused by the signature alone; what was
revoked or has ended, by the ledger. Who can write to the ledger but not read the key cannot
make a link.
"""

from __future__ import annotations

import base64
import binascii
import hashlib
import hmac
import os
import secrets
from contextlib import suppress
from typing import TYPE_CHECKING

from estimator.errors import LedgerTrouble

if TYPE_CHECKING:
    from pathlib import Path

KEY_FILE = "link.key"
_KEY_BYTES = 32
_HALF = 16
_PURPOSE = b"customer link 1:"


def new_token(folder: Path) -> str:
    """Return a new token for a link.

    Parameters
    ----------
    folder
        The shop's folder, where its key is.
    """
    identity = secrets.token_bytes(_HALF)
    signed = identity + _signature(folder, identity)
    return base64.urlsafe_b64encode(signed).decode().rstrip("=")


def token_hash(token: str, folder: Path | None = None) -> str | None:
    """Return what the ledger keeps of a token, or ``None`` where this shop did not sign it.

    Parameters
    ----------
    token
        What the address holds, whatever it is.
    folder
        The shop's folder; its signature is not looked at without it.
    """
    try:
        signed = base64.b64decode(token.encode("ascii") + b"=", altchars=b"-_", validate=True)
    except (UnicodeEncodeError, binascii.Error, ValueError):
        return None
    # The same bytes have one spelling: another one of them is an altered token.
    if base64.urlsafe_b64encode(signed).decode().rstrip("=") != token or len(signed) != 2 * _HALF:
        return None
    identity, signature = signed[:_HALF], signed[_HALF:]
    if folder is not None and not hmac.compare_digest(_signature(folder, identity), signature):
        return None
    return hashlib.sha256(signed).hexdigest()


def key_of(folder: Path) -> bytes:
    """Return the key that signs the shop's links; the first call makes it.

    Parameters
    ----------
    folder
        The shop's folder. Several servers of one shop share it, or a copy of the key in it.

    Raises
    ------
    LedgerTrouble
        If the key cannot be read or written, or is no key.
    """
    path = folder / KEY_FILE
    try:
        if not path.exists():
            _make(path)
        key = path.read_bytes()
    except OSError as refused:
        reason = refused.strerror or type(refused).__name__
        raise LedgerTrouble(
            f"The key for links cannot be read: {reason}", str(path), "Check the folder."
        ) from None
    if len(key) != _KEY_BYTES:
        raise LedgerTrouble(
            "The key for links is damaged",
            str(path),
            "Put it back from a backup, or move it away: a new one is made, and links made"
            " before open nothing.",
        )
    return key


def _make(path: Path) -> None:
    beside = path.with_name(f"{path.name}.{secrets.token_hex(4)}.tmp")
    opened = os.open(beside, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600)
    try:
        os.write(opened, secrets.token_bytes(_KEY_BYTES))
        os.fsync(opened)
    finally:
        os.close(opened)
    # Linking fails where another program was first; its key is then the one.
    with suppress(FileExistsError):
        path.hardlink_to(beside)
    beside.unlink()


def _signature(folder: Path, identity: bytes) -> bytes:
    return hmac.digest(key_of(folder), _PURPOSE + identity, "sha256")[:_HALF]
