"""One shop's folder, open: its catalogs and its ledger."""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from pathlib import Path

    from app.ledger.ledger import Ledger
    from catalog.snapshots import Catalog


class Shop:
    """One shop's folder: its catalogs and its ledger, open.

    Parameters
    ----------
    folder
        The shop's folder.
    catalogs
        Where its catalog snapshots are.
    ledger
        Its open ledger.
    """

    def __init__(self, folder: Path, catalogs: Path, ledger: Ledger) -> None:
        self.folder = folder
        self.catalogs = catalogs
        self.ledger = ledger
        self._catalog: Catalog | None = None

    def catalog(self) -> Catalog:
        """Return the catalog in force; a newly published one is taken up at once.

        Returns
        -------
        The open catalog.

        Raises
        ------
        CatalogTrouble
            If none is published, or it is damaged.
        """
        from catalog.snapshots import Catalog
        from catalog.versions import current_version

        if self._catalog is None or self._catalog.version != current_version(self.catalogs):
            self._catalog = Catalog.open_current(self.catalogs)
        return self._catalog

    def close(self) -> None:
        """Close what is open."""
        if self._catalog is not None:
            self._catalog.close()
        self.ledger.close()
