"""From a part to the one sold today, and to those alike: one-way and both ways."""

from __future__ import annotations

from types import MappingProxyType
from typing import TYPE_CHECKING

from catalog.part_lookup import Part, part, parts_by_number

if TYPE_CHECKING:
    from collections.abc import Mapping

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
    order = steps_of_chain(catalog, first)
    found = parts_by_number(catalog, order)
    return tuple(found[step] for step in order)


def steps_of_chain(
    catalog: Catalog, first: Part, held: Mapping[str, Part] = MappingProxyType({})
) -> list[str]:
    """Return the numbers from a part to the one sold today.

    Parameters
    ----------
    catalog
        The open catalog.
    first
        The part.
    held
        Parts that were read already, by number: they are not looked up again.

    Returns
    -------
    The part's number, then each that replaces the one before.
    """
    # One look-up a step: a recursive query would read the whole table at each.
    order = [first.number]
    after = None if first.sold_as == first.number else first.replaced_by
    while after is not None:
        order.append(after)
        if after == first.sold_as:
            break
        if after in held:
            after = held[after].replaced_by
        else:
            rows = catalog.rows("next_in_chain", {"number": after})
            after = rows[0]["replaced_by"] if rows else None
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
