"""Labor operations of a remedy."""

from __future__ import annotations

from typing import TYPE_CHECKING

from estimator.errors import CatalogTrouble
from estimator.supply import Operation

if TYPE_CHECKING:
    from catalog.snapshots import Catalog
    from estimator.findings import Remedy


def operations_for(catalog: Catalog, remedy: Remedy) -> tuple[Operation, ...]:
    """Return the labor operations of a remedy.

    Parameters
    ----------
    catalog
        The open catalog.
    remedy
        The remedy. Replacing the heater has none here: its labor goes with the heater
        that is chosen.

    Returns
    -------
    The remedy's own operation first, then what goes with it, such as lighting and
    testing. Hours with open access [h].
    """
    rows = catalog.rows("operations", {"remedy": remedy.value})
    return tuple(Operation(**row) for row in rows)


def install_operation(catalog: Catalog, slug: str) -> Operation:
    """Return the operation of installing a replacement heater.

    Parameters
    ----------
    catalog
        The open catalog.
    slug
        Its slug.

    Returns
    -------
    The operation.

    Raises
    ------
    CatalogTrouble
        If the catalog has no such operation.
    """
    rows = catalog.rows("install_operation", {"slug": slug})
    if not rows:
        raise CatalogTrouble(
            f'The install operation "{slug}" is not in the catalog',
            "operation.csv",
            "Add it with kind install and build again.",
        )
    return Operation(**rows[0])
