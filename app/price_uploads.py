"""Price lists as they were uploaded, kept in the shop's folder until they are published."""

from __future__ import annotations

import hashlib
import re
from typing import TYPE_CHECKING

from app.files import write_whole
from app.people.guard import Actor, require
from app.people.roles import Action
from estimator.errors import InputTrouble

if TYPE_CHECKING:
    from pathlib import Path

    from app.shop import Shop

UPLOADS = "price_list_uploads"
KEPT = 3
LARGEST_MB = 200
KINDS = ("csv", "txt", "gz", "xlsx", "xlsm", "parquet", "pq")
_TOKEN = re.compile(r"[0-9a-f]{16}-[A-Za-z0-9_-][A-Za-z0-9._-]{0,80}")


def keep_upload(shop: Shop, actor: Actor, name: str, content: bytes) -> str:
    """Keep an uploaded price list; only the last few are kept.

    Parameters
    ----------
    shop
        The shop.
    actor
        The owner.
    name
        The file's name at the sender's.
    content
        Its bytes.

    Returns
    -------
    What names it from now on: it may stand in an address.

    Raises
    ------
    Trouble
        If it is not the actor's to do, the file is empty, or the disk is full.
    """
    require(shop, actor, Action.BUILD_CATALOG)
    if not content:
        raise InputTrouble("The file is empty", name, "Choose another.")
    plain = re.sub(r"[^A-Za-z0-9._-]+", "-", name).lstrip(".-")[-80:] or "list.csv"
    token = f"{hashlib.sha256(content).hexdigest()[:16]}-{plain}"
    folder = shop.folder / UPLOADS
    folder.mkdir(mode=0o700, exist_ok=True)
    write_whole(folder / token, content)
    kept = sorted(folder.iterdir(), key=lambda path: path.stat().st_mtime_ns, reverse=True)
    for old in kept[KEPT:]:
        old.unlink(missing_ok=True)
    return token


def upload_path(shop: Shop, token: str) -> Path | None:
    """Return where an uploaded price list is, or ``None`` where it is no longer there."""
    if not _TOKEN.fullmatch(token):
        return None
    path = shop.folder / UPLOADS / token
    return path if path.is_file() else None


def name_of(token: str) -> str:
    """Return the name that a price list came with."""
    return token.partition("-")[2]
