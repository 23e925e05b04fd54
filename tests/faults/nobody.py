"""Acting as a user without rights: root may write anywhere, so that it would see no refusal."""

from __future__ import annotations

import os
import shutil
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

NOBODY = 65534


@contextmanager
def as_nobody() -> Iterator[None]:
    """Act as nobody where the tests run as root; else as the user who runs them."""
    user, group = os.geteuid(), os.getegid()
    if user == 0:
        os.setegid(NOBODY)
        os.seteuid(NOBODY)
    try:
        yield
    finally:
        if user == 0:
            os.seteuid(user)
            os.setegid(group)


@contextmanager
def reachable_folder() -> Iterator[Path]:
    """Give a folder that another user can reach, which pytest's own cannot."""
    folder = Path(tempfile.mkdtemp(prefix="reachable-"))
    folder.chmod(0o755)
    try:
        yield folder
    finally:
        folder.chmod(0o700)
        shutil.rmtree(folder)
