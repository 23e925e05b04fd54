"""The names of a catalog that a customer reads."""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from catalog.snapshots import Catalog


def customer_names(catalog: Catalog) -> tuple[str, ...]:
    """Return what a customer reads of a catalog as it stands there.

    Parameters
    ----------
    catalog
        The open catalog.

    Returns
    -------
    Names of operations, heaters, site items, incentives and kinds of part, and why each site
    item is asked for, by the alphabet; the first two thousand.
    """
    return tuple(str(row["name"]) for row in catalog.rows("customer_names"))
