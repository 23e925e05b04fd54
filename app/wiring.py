"""Where a shop lives, and how its catalog and ledger are opened together."""

from __future__ import annotations

import os
from datetime import UTC, date, datetime
from pathlib import Path
from typing import Any

from platformdirs import user_data_path

from app.cataloging import put_in_force
from app.files import read_toml
from app.ledger.ledger import Ledger
from app.people.accounts import DEMO_OWNER, DEMO_TECHNICIAN, create_demo_people
from app.people.guard import operator
from app.publishing import publish_rates
from app.shop import Shop
from app.shop_settings import CATALOGS, LEDGER_FILE, ledger_url, shop_settings
from app.visiting import start_visit
from estimator.errors import LedgerTrouble
from estimator.rates import rate_sheet_from

PROGRAM = "heater-door-quote"
DEMO_DATA = Path(__file__).resolve().parent.parent / "demo_data"
DEMO_PERSON = DEMO_TECHNICIAN
DEMO_VISIT = "worn_element"
DEMO_RATES_HOLD_FROM = date(2026, 1, 1)


def default_shop_folder() -> Path:
    """Return the shop's folder of the person who runs the program."""
    return user_data_path(PROGRAM)


def named_shop_folder() -> Path:
    """Return the folder that HEATER_SHOP names, else the user's own."""
    named = os.environ.get("HEATER_SHOP")
    return Path(named) if named else default_shop_folder()


def open_shop(folder: Path) -> Shop:
    """Open a shop that is set up.

    Parameters
    ----------
    folder
        The shop's folder.

    Returns
    -------
    The open shop.

    Raises
    ------
    LedgerTrouble
        If there is no shop in that folder, or its ledger cannot be opened.
    """
    settings = shop_settings(folder)
    if settings.ledger_url is None and not (folder / LEDGER_FILE).exists():
        raise LedgerTrouble(
            "There is no shop",
            f"the folder {folder}",
            "Name the shop's folder with --shop, or set one up with `heater setup`.",
        )
    ledger = Ledger.open(ledger_url(folder), create=False, copies=folder)
    return Shop(folder, folder / CATALOGS, ledger)


def set_up_shop(folder: Path, sources: Path, rates_file: Path, holds_from: date, by: str) -> Shop:
    """Set a shop up, or bring its catalog up to its sources; safe to call again.

    Parameters
    ----------
    folder
        The shop's folder; made where it is not there.
    sources
        The folder with the catalog's source files.
    rates_file
        The first rate sheet, published where the ledger holds none.
    holds_from
        The day from which that sheet holds.
    by
        Who sets the shop up.

    Returns
    -------
    The open shop.

    Raises
    ------
    Trouble
        If a source, the rate sheet or the ledger is not usable; the catalog in force
        then stays as it was.
    """
    owner, now = operator(by), datetime.now(UTC)
    sheet = rate_sheet_from(read_toml(rates_file), str(rates_file))
    put_in_force(folder, owner, sources, now)
    ledger = Ledger.open(ledger_url(folder), copies=folder)
    shop = Shop(folder, folder / CATALOGS, ledger)
    if not ledger.rate_sheets.every():
        publish_rates(shop, sheet, holds_from, owner, now)
    return shop


def build_demo_shop(folder: Path) -> Shop:
    """Set up the invented demo shop, with a visit ready to open.

    Parameters
    ----------
    folder
        Where it goes; a demo shop that is there already is kept.

    Returns
    -------
    The open shop.
    """
    shop = set_up_shop(
        folder, DEMO_DATA / "catalog", DEMO_DATA / "rates.toml", DEMO_RATES_HOLD_FROM, DEMO_OWNER
    )
    create_demo_people(shop, datetime.now(UTC))
    if not shop.ledger.drafts.every():
        start_visit(shop, operator(DEMO_PERSON), datetime.now(UTC), demo_visit(DEMO_VISIT))
    return shop


def demo_visit(name: str) -> dict[str, Any]:
    """Return an invented demo visit by its name.

    Parameters
    ----------
    name
        File name without its ending.

    Returns
    -------
    Keys and values of the visit file.
    """
    return read_toml(DEMO_DATA / "visits" / f"{name}.toml")
