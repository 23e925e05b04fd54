"""The shop's own settings: `shop.toml` in the shop's folder, where the ledger is and the like."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

from pydantic import BaseModel, ConfigDict, Field

from app.files import read_toml
from estimator.errors import checked

SETTINGS_FILE = "shop.toml"
LEDGER_FILE = "ledger.sqlite"
COLUMNS_FILE = "price_lists.json"
"""Which column holds what in each supplier's price lists, as the owner said it."""
CATALOGS = "catalogs"


class ShopSettings(BaseModel):
    """What `shop.toml` may hold; every key may be left out.

    `ledger_url` is the address of a PostgreSQL ledger. Leave the password out of it and in
    the file that PostgreSQL's own client library reads (`~/.pgpass`). `reserve_on_issue` is
    whether a quote sets its parts aside where nobody says otherwise.
    """

    model_config = ConfigDict(frozen=True, extra="forbid")

    ledger_url: Annotated[str, Field(min_length=1, max_length=500)] | None = None
    reserve_on_issue: bool = False

    @property
    def on_server(self) -> bool:
        """Whether the ledger is on a database server."""
        return self.ledger_url is not None and not self.ledger_url.startswith("sqlite:")


def shop_settings(folder: Path) -> ShopSettings:
    """Read a shop's settings; without a file, the defaults hold.

    Parameters
    ----------
    folder
        The shop's folder.

    Raises
    ------
    InputTrouble
        If the file cannot be read, or a key is misspelt.
    """
    path = folder / SETTINGS_FILE
    if not path.exists():
        return ShopSettings()
    return checked(ShopSettings, read_toml(path), str(path))


def ledger_there(folder: Path) -> bool:
    """Whether a folder holds a shop: a ledger's file, or a setting that says where it is."""
    return shop_settings(folder).ledger_url is not None or (folder / LEDGER_FILE).exists()


def ledger_url(folder: Path) -> str:
    """Return the address of a shop's ledger: as set, else the file in the shop's folder."""
    return shop_settings(folder).ledger_url or f"sqlite:///{folder / LEDGER_FILE}"
