"""Search by number: any maker's, supplier's or shop's number, slips forgiven."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any, Literal

from catalog.heaters import heater_family as held_family
from catalog.numbers import (
    SHORTEST_FOR_SLIPS,
    Slip,
    fold,
    keeps_groups,
    read_number,
    slip_between,
    slip_hashes,
    written_groups,
)
from catalog.parts import Part, alike_numbers, parts_by_number, steps_of_chain

if TYPE_CHECKING:
    from collections.abc import Collection, Mapping

    from catalog.snapshots import Catalog

MOST_FOUND = 20
SHORTEST_PREFIX = 3
MOVED_DASH = 0.15
"""How much less likely a number is whose dashes stand elsewhere [1]; common practice."""
ON_THE_LIST, REPLACED_BY_ONE, OF_NO_LIST = range(3)
AFTER_EVERY_LETTER = "\x7f"

NumberKind = Literal["maker", "supplier", "shop"]
KIND_ORDER = ("maker", "shop", "supplier")
_Ranked = tuple[tuple[float, int, str], Slip, dict[str, Any]]


@dataclass(frozen=True)
class FoundNumber:
    """A part that a typed number may mean.

    Parameters
    ----------
    part
        The part that carries the number, sold today or not.
    number
        The number as its owner writes it.
    kind, whose
        Whose number it is: the maker's, a supplier's, a shop's.
    slip
        How it may have become what was typed.
    today
        The part sold today in its place, itself where it is; ``None`` where nothing is.
    of_heater
        Whether the part, or the one sold today in its place, is on the parts list of the
        heater that was told.
    """

    part: Part
    number: str
    kind: NumberKind
    whose: str
    slip: Slip
    today: Part | None
    of_heater: bool = False

    @property
    def exact(self) -> bool:
        """Whether it is the number typed, once case, dashes, O/0 and I/1 are set aside."""
        return self.slip.cost == 0


@dataclass(frozen=True)
class NumberAnswer:
    """What a typed number may mean: how it was read, and the candidates, likeliest first.

    `chain` follows the first candidate to the part sold today, `alike` lists what serves
    for that part and it for them; both only where the first candidate is exact or alone.
    The parts come without their features: a list to choose from needs none.
    """

    typed: str
    read_as: str
    found: tuple[FoundNumber, ...] = ()
    chain: tuple[Part, ...] = ()
    alike: tuple[Part, ...] = ()

    @property
    def exact(self) -> bool:
        """Whether the number typed is one that the catalog knows."""
        return bool(self.found) and self.found[0].exact

    @property
    def how_read(self) -> str:
        """How the number was read, as a sentence."""
        if not self.read_as:
            return "There is no letter and no digit in it."
        said = f"Read as {self.read_as}"
        if not self.found:
            return f"{said}: no number in the catalog is like it."
        first = self.found[0]
        if not first.exact:
            nearest = "this heater's parts list has" if first.of_heater else "the nearest is"
            return f"{said}: not in the catalog; {nearest} {first.number}."
        said = f"{said}: number {first.number} of {first.whose}."
        listed = next((each.number for each in self.found if each.of_heater), None)
        if first.of_heater or listed is None:
            return said
        # A slip may have made another heater's number of one of this heater's.
        return f"{said} It is not on this heater's parts list; {listed} is, and one slip away."


def find_number(
    catalog: Catalog, text: str, heater_family: str | None = None, most: int = MOST_FOUND
) -> NumberAnswer:
    """Find the parts that a typed number may mean.

    Parameters
    ----------
    catalog
        The open catalog.
    text
        What is stamped on the old part, or pasted: any maker's, supplier's or shop's
        number, or its beginning.
    heater_family
        Slug of the heater that the part came out of, where it is known.
    most
        How many candidates are wanted.

    Returns
    -------
    The candidates. An exact number comes first; then numbers one slip away (a wrong,
    lost, doubled, extra or swapped character) and numbers that begin so, by how likely
    the slip is; among equally likely ones those come first that the shop has in stock.
    Where the heater is known, what is on its parts list comes before all but an exact
    number, for a part that came out of it is nearly always one of those.

    Raises
    ------
    CatalogTrouble
        If the catalog does not hold the heater family.

    Notes
    -----
    Common practice, no source: the order of slips. A slip may turn a number into another
    that exists; the neighbors are therefore listed behind an exact number too.
    """
    read = read_number(text)
    if not read:
        return NumberAnswer(text, read)
    own = _parts_of_heater(catalog, heater_family)
    rows = [*_beginning(catalog, read, most), *map(_own_number, own.values())]
    if len(read) >= SHORTEST_FOR_SLIPS:
        rows += catalog.rows("numbers_near", {"letters": slip_hashes(read)})
    ranked = _ranked(read, written_groups(text), rows)
    looked_at = ranked if own else ranked[:most]
    held = parts_by_number(catalog, [row["part"] for _, _, row in looked_at], with_features=False)
    near = {number: _nearness(part, own) for number, part in held.items()}
    first_met = sorted(looked_at, key=lambda each: _own_first(each, near))[:most]
    ranked = _met_first(catalog, first_met, held, near)
    sure = bool(ranked) and (ranked[0][1].cost == 0 or len(ranked) == 1)
    first = held[ranked[0][2]["part"]] if sure else None
    steps = steps_of_chain(catalog, first.number) if first and first.replaced_by else []
    twins = alike_numbers(catalog, first.sold_as or first.number) if first else []
    later = {part.sold_as for part in held.values() if part.sold_as} | {*steps, *twins}
    held |= parts_by_number(catalog, sorted(later - set(held)), with_features=False)
    return NumberAnswer(
        typed=text,
        read_as=read,
        found=tuple(_found(held, slip, row, near) for _, slip, row in ranked),
        chain=tuple(held[step] for step in steps) or ((first,) if first else ()),
        alike=tuple(held[twin] for twin in twins),
    )


def _beginning(catalog: Catalog, read: str, most: int) -> list[dict[str, Any]]:
    beyond = f"{read}{AFTER_EVERY_LETTER}" if len(read) >= SHORTEST_PREFIX else f"{read}\x00"
    return catalog.rows("numbers_from", {"first": read, "beyond": beyond, "most": most})


def _ranked(read: str, groups: tuple[str, ...], rows: list[dict[str, Any]]) -> list[_Ranked]:
    best: dict[str, _Ranked] = {}
    for row in rows:
        slip = slip_between(read, row["folded"])
        if slip is None:
            continue
        # Where a dash was typed, it stands where it stood: one more thing that must agree.
        parted = slip.cost > 0 and len(groups) > 1
        moved = parted and not keeps_groups(groups, written_groups(row["number"]))
        order = (slip.cost + MOVED_DASH * moved, KIND_ORDER.index(row["kind"]), row["folded"])
        held = best.get(row["part"])
        if held is None or order < held[0]:
            best[row["part"]] = (order, slip, row)
    return sorted(best.values(), key=lambda each: each[0])


def _parts_of_heater(catalog: Catalog, slug: str | None) -> dict[str, Part]:
    """Return the parts of a heater's parts list, and those sold today in their place."""
    if slug is None:
        return {}
    rows = catalog.rows("listed_parts", {"heater_family": slug})
    if not rows:
        held_family(catalog, slug)  # refused here where there is no such heater
    listed = parts_by_number(catalog, [row["part"] for row in rows], with_features=False)
    later = {part.sold_as for part in listed.values() if part.sold_as} - set(listed)
    return listed | parts_by_number(catalog, sorted(later), with_features=False)


def _own_number(part: Part) -> dict[str, Any]:
    return {"folded": fold(part.number), "number": part.number, "part": part.number,
            "kind": "maker", "whose": part.maker}  # fmt: skip


def _nearness(part: Part, own: Collection[str]) -> int:
    """Say how near a part is to a heater's: on its list, replaced by one of it, or neither."""
    if part.number in own:
        return ON_THE_LIST
    return REPLACED_BY_ONE if part.sold_as in own else OF_NO_LIST


def _own_first(each: _Ranked, near: Mapping[str, int]) -> tuple[bool, int]:
    (cost, _, _), _, row = each
    return cost > 0, near[row["part"]]


def _met_first(
    catalog: Catalog, ranked: list[_Ranked], held: Mapping[str, Part], near: Mapping[str, int]
) -> list[_Ranked]:
    """Among numbers equally likely, put first what the shop has: that is met most often."""
    parts = (held[row["part"]] for _, _, row in ranked)
    serves = {part.number: {part.number, part.sold_as or part.number} for part in parts}
    asked = sorted(set().union(*serves.values()))
    rows = catalog.rows("stocked", {"numbers": asked}) if len(ranked) > 1 else []
    stocked = {row["part"] for row in rows}

    def order(each: _Ranked) -> tuple[tuple[bool, int], float, int, bool, str]:
        (cost, kind, folded), _, row = each
        met = bool(serves[row["part"]] & stocked)
        return _own_first(each, near), cost, kind, not met, folded

    return sorted(ranked, key=order)


def _found(
    held: Mapping[str, Part], slip: Slip, row: Mapping[str, Any], near: Mapping[str, int]
) -> FoundNumber:
    part = held[row["part"]]
    return FoundNumber(
        part=part,
        number=row["number"],
        kind=row["kind"],
        whose=row["whose"],
        slip=slip,
        today=held.get(part.sold_as or ""),
        of_heater=near[part.number] != OF_NO_LIST,
    )
