"""The catalog of a shop built from its sources, and an earlier one brought back, for the owner."""

from __future__ import annotations

from typing import TYPE_CHECKING

from app.people.guard import Actor, require_in_folder
from app.people.roles import Action
from app.shop_settings import CATALOGS, ledger_there, ledger_url

if TYPE_CHECKING:
    from datetime import datetime
    from pathlib import Path

    from catalog.database import BuildReport


def put_in_force(folder: Path, actor: Actor, sources: Path, at: datetime) -> BuildReport:
    """Build a catalog from its source files and put it in force.

    Parameters
    ----------
    folder
        The shop's folder; a shop need not be set up in it yet.
    actor
        The owner.
    sources
        The folder with the source files.
    at
        Now, with its zone.

    Returns
    -------
    What was read.

    Raises
    ------
    Trouble
        If it is not the actor's to do, or a row is not usable; the catalog in force stays then.
    """
    require_in_folder(folder, actor, Action.BUILD_CATALOG, at)
    from catalog.database import build_catalog  # noqa: PLC0415 - DuckDB is slow to import

    report = build_catalog(sources, folder / CATALOGS)
    _tell(folder, actor, "build catalog", report.version, at)
    return report


def bring_back(folder: Path, actor: Actor, version: str | None, at: datetime) -> str:
    """Bring an earlier catalog back into force.

    Parameters
    ----------
    folder
        The shop's folder.
    actor
        The owner.
    version
        Which one; the one before if ``None``.
    at
        Now, with its zone.

    Returns
    -------
    The version in force.

    Raises
    ------
    Trouble
        If it is not the actor's to do, or there is no such version.
    """
    require_in_folder(folder, actor, Action.BUILD_CATALOG, at)
    from catalog.price_lists import roll_back  # noqa: PLC0415 - DuckDB is slow to import

    back = roll_back(folder / CATALOGS, version)
    _tell(folder, actor, "bring back catalog", back, at)
    return back


def _tell(folder: Path, actor: Actor, action: str, version: str, at: datetime) -> None:
    """Write it down where there is a shop already; a first catalog comes before its ledger."""
    if not ledger_there(folder):
        return
    from app.ledger.ledger import Ledger  # noqa: PLC0415 - a first catalog needs none

    with Ledger.open(ledger_url(folder), create=False, copies=folder) as ledger:
        ledger.journal.note(at, actor.name, action, version)
