"""Which catalog snapshots are kept, and the one that is in use.

A snapshot is one file, ``catalog-<version>.duckdb``. A pointer file names the one in
use; both come into being by `os.replace`, so that a build that is cut short at any
moment leaves the catalog in use as it was.
"""

from __future__ import annotations

import json
import os
import time
from typing import TYPE_CHECKING, Final

from estimator.errors import CatalogTrouble

if TYPE_CHECKING:
    from pathlib import Path

POINTER: Final = "current.json"
KEPT: Final = 10
ABANDONED_AFTER_S: Final = 86_400
BUILD_AGAIN: Final = "Build the catalog again with: heater catalog build DIR."


def snapshot_path(catalogs: Path, version: str) -> Path:
    """Return where a snapshot is kept.

    Parameters
    ----------
    catalogs
        The folder of catalog snapshots.
    version
        The snapshot's version.

    Returns
    -------
    The file's path.
    """
    return catalogs / f"catalog-{version}.duckdb"


def versions(catalogs: Path) -> tuple[str, ...]:
    """Return the versions that are kept, the last published first.

    Parameters
    ----------
    catalogs
        The folder of catalog snapshots.

    Returns
    -------
    Versions.
    """
    found = sorted(catalogs.glob("catalog-*.duckdb"), key=_published, reverse=True)
    return tuple(path.stem.removeprefix("catalog-") for path in found)


def _published(path: Path) -> tuple[int, str]:
    return path.stat().st_mtime_ns, path.name


def current_version(catalogs: Path) -> str:
    """Return the version in use.

    Parameters
    ----------
    catalogs
        The folder of catalog snapshots.

    Returns
    -------
    The version that the pointer file names.

    Raises
    ------
    CatalogTrouble
        If no catalog was built yet, or the pointer file is damaged.
    """
    pointer = catalogs / POINTER
    try:
        version = json.loads(pointer.read_text(encoding="utf-8"))["version"]
    except FileNotFoundError:
        raise CatalogTrouble(
            "There is no catalog yet", str(catalogs), "Build one with: heater catalog build DIR."
        ) from None
    except (OSError, ValueError, KeyError, TypeError):
        raise CatalogTrouble(
            "The file that names the catalog in use is damaged", str(pointer), BUILD_AGAIN
        ) from None
    if not isinstance(version, str) or not version.isalnum():
        raise CatalogTrouble(
            "The file that names the catalog in use is damaged", str(pointer), BUILD_AGAIN
        )
    return version


def point_to(catalogs: Path, version: str) -> None:
    """Make a snapshot the one in use.

    Parameters
    ----------
    catalogs
        The folder of catalog snapshots.
    version
        The version to use.

    Raises
    ------
    CatalogTrouble
        If that snapshot is not there.
    """
    if not snapshot_path(catalogs, version).exists():
        raise CatalogTrouble(
            f"There is no catalog of version {version}",
            str(catalogs),
            f"Kept are {', '.join(versions(catalogs)) or 'none'}.",
        )
    pointer = catalogs / POINTER
    draft = pointer.with_suffix(".tmp")
    with draft.open("w", encoding="utf-8") as out:
        json.dump({"version": version}, out)
        out.flush()
        os.fsync(out.fileno())
    draft.replace(pointer)


def keep_last(catalogs: Path) -> None:
    """Delete snapshots older than the last ten; never the one in use.

    Parameters
    ----------
    catalogs
        The folder of catalog snapshots.
    """
    in_use = current_version(catalogs)
    for left in catalogs.glob("catalog-*.tmp*"):
        # What a program that was killed has left; one at work is younger.
        if time.time() - left.stat().st_mtime > ABANDONED_AFTER_S:
            left.unlink(missing_ok=True)
    for version in versions(catalogs)[KEPT:]:
        if version != in_use:
            snapshot_path(catalogs, version).unlink(missing_ok=True)
