"""From a part to the one sold today, and to those alike: one-way and both ways."""

from __future__ import annotations

from typing import TYPE_CHECKING

from catalog.part_lookup import Part, part, parts_by_number

if TYPE_CHECKING:
    from catalog.snapshots import Catalog


def chain(catalog: Catalog, number: str) -> tuple[Part, ...]:
    """Follow a part to the one sold today.

    Parameters
    ----------
    catalog
        The open catalog.
    number
        The number, read as `part` reads it.

    Returns
    -------
    The part, then each that replaces the one before. The last is sold today, unless
    nothing replaces it: then it is `discontinued`.

    Raises
    ------
    PartNotFound
        If the catalog does not hold the number.
    """
    first = part(catalog, number)
    if first.replaced_by is None:
        return (first,)
    order = steps_of_chain(catalog, first.number)
    found = parts_by_number(catalog, order)
    return tuple(found[step] for step in order)


def steps_of_chain(catalog: Catalog, number: str) -> list[str]:
    """Return the numbers from a part to the one sold today.

    Parameters
    ----------
    catalog
        The open catalog.
    number
        The exact number.

    Returns
    -------
    The number, then each that replaces the one before.
    """
    # One look-up a step: a recursive query would read the whole table at each.
    order, after = [number], number
    while rows := catalog.rows("next_in_chain", {"number": after}):
        if not rows[0]["discontinued"] or rows[0]["replaced_by"] is None:
            break
        after = rows[0]["replaced_by"]
        order.append(after)
    return order


def alike(catalog: Catalog, number: str) -> tuple[Part, ...]:
    """Return the parts that serve for a part and it for them.

    Parameters
    ----------
    catalog
        The open catalog.
    number
        The number, read as `part` reads it.

    Returns
    -------
    Parts alike, by number.

    Raises
    ------
    PartNotFound
        If the catalog does not hold the number.
    """
    held = part(catalog, number)
    found = parts_by_number(catalog, alike_numbers(catalog, held.number))
    return tuple(sorted(found.values(), key=lambda p: p.number))


def alike_numbers(catalog: Catalog, number: str) -> list[str]:
    """Return the numbers of the parts alike to a part.

    Parameters
    ----------
    catalog
        The open catalog.
    number
        The exact number.

    Returns
    -------
    Numbers, in order.
    """
    return [row["alike"] for row in catalog.rows("alike", {"number": number})]
