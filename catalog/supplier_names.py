"""The name of a supplier, as it was typed and as the catalog writes it."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from estimator.errors import CatalogTrouble

if TYPE_CHECKING:
    import duckdb

LONGEST_NAME: Final = 160


def checked_name(supplier: str) -> str:
    """Return a supplier's name with single spaces, or say that it is none.

    Parameters
    ----------
    supplier
        As it was typed.

    Raises
    ------
    CatalogTrouble
        If nothing is left of it, it is too long, or it holds signs that nobody sees.
    """
    plain = " ".join(supplier.split())
    if not 1 <= len(plain) <= LONGEST_NAME or not plain.isprintable():
        raise CatalogTrouble(
            "It is not said whose price list it is",
            "",
            f"Name the supplier, in 1 to {LONGEST_NAME} characters.",
        )
    return plain


def refuse_other_spelling(connection: duckdb.DuckDBPyConnection, supplier: str) -> None:
    """Refuse a name that the catalog knows in other letters: every offer would stand twice.

    Parameters
    ----------
    connection
        Sees the offers of the catalog in use.
    supplier
        The name.

    Raises
    ------
    CatalogTrouble
        Naming how the catalog writes it.
    """
    held = connection.execute("SELECT DISTINCT supplier FROM supplier_offer").fetchall()
    known = {name for (name,) in held}
    like = [name for name in known if name.casefold() == supplier.casefold()]
    if like and supplier not in known:
        raise CatalogTrouble(
            f'No supplier is called "{supplier}"', "", f'Did you mean "{min(like)}"?'
        )
