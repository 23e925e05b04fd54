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
from catalog.told import is_as_told

if TYPE_CHECKING:
    from collections.abc import Collection, Iterable, Mapping, Sequence

    from catalog.snapshots import Catalog
    from catalog.told import Told

MOST_FOUND = 20
MOST_BEGIN_SO = 400
"""Numbers that begin so and are looked at where more is told than the number."""
SHORTEST_PREFIX = 3
MOVED_DASH = 0.15
"""How much less likely a number is whose dashes stand elsewhere [1]; common practice."""
ON_THE_LIST, REPLACED_BY_ONE, OF_NO_LIST = range(3)
AFTER_EVERY_LETTER = "\x7f"

NumberKind = Literal["maker", "supplier", "shop"]
KIND_ORDER = ("maker", "shop", "supplier")


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
    as_told
        Whether the part is as was told beside the number.
    """

    part: Part
    number: str
    kind: NumberKind
    whose: str
    slip: Slip
    today: Part | None
    of_heater: bool = False
    as_told: bool = False

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
        # A slip may have made another part's number of the one that is meant.
        listed = next((each.number for each in self.found if each.of_heater), None)
        if listed is not None and not first.of_heater:
            return f"{said} It is not on this heater's parts list; {listed} is, and one slip away."
        so = next((each.number for each in self.found if each.as_told), None)
        if so is not None and not first.as_told:
            return f"{said} It is not as told; {so} is, and one slip away."
        return said


@dataclass(frozen=True)
class _Candidate:
    """A number that may be meant, and how likely that is by the number alone.

    Of a number from the heater's list it is not read whose it is: that of the part's maker.
    """

    part: str
    number: str
    folded: str
    kind: NumberKind
    whose: str
    slip: Slip
    moved: bool

    @property
    def likely(self) -> tuple[float, int]:
        """The likelier the lower: how it may have slipped, then whose number it is."""
        return self.slip.cost + MOVED_DASH * self.moved, KIND_ORDER.index(self.kind)

    @property
    def order(self) -> tuple[float, int, str]:
        """The likelier the lower, no two numbers alike."""
        return (*self.likely, self.folded)


def find_number(
    catalog: Catalog,
    text: str,
    heater_family: str | None = None,
    most: int = MOST_FOUND,
    told: Told | None = None,
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
    told
        What is known of the old part beside its number: measures, kind.

    Returns
    -------
    The candidates. An exact number comes first; then numbers one slip away (a wrong,
    lost, doubled, extra or swapped character, something put or lost before it) and numbers
    that begin so, by how likely the slip is; among equally likely ones those come first that
    the shop has in stock. Where the heater is known, what is on its parts list comes before
    all but an exact number, for a part that came out of it is nearly always one of those;
    then what is as told.

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
    listed = _parts_of_heater(catalog, heater_family)
    own = {*listed, *(part.sold_as for part in listed.values() if part.sold_as)}
    rows = _numbers_like(catalog, read, MOST_BEGIN_SO if told else most)
    candidates = _candidates(read, written_groups(text), [*rows, *map(_own_number, own)])
    looked_at = candidates if own or told else candidates[:most]
    held = _parts_met(catalog, [each.part for each in looked_at], listed, told or {})
    near = {number: _nearness(part, own) for number, part in held.items()}
    so = {number for number, part in held.items() if told and is_as_told(part, told)}

    def known(each: _Candidate) -> tuple[bool, int, bool]:
        return each.slip.cost > 0, near[each.part], each.part not in so

    first = sorted(looked_at, key=lambda each: (known(each), each.order))[:most]
    exact = bool(first) and first[0].slip.cost == 0
    if not exact and len({(known(each), each.likely) for each in first}) < len(first):
        # Among numbers equally likely, what the shop has comes first: that is met most often.
        met = _in_stock(catalog, [held[each.part] for each in first])
        first.sort(key=lambda each: (known(each), each.likely, each.part not in met, each.folded))
    sure = held[first[0].part] if exact or len(first) == 1 else None
    steps = steps_of_chain(catalog, sure, held) if sure and sure.replaced_by else []
    twins = alike_numbers(catalog, sure.sold_as or sure.number) if sure else []
    later = {each.sold_as for each in held.values() if each.sold_as} | {*steps, *twins}
    held = listed | held
    held |= parts_by_number(catalog, sorted(later - set(held)), features_of=())
    return NumberAnswer(
        typed=text,
        read_as=read,
        found=tuple(_found(each, held, near, so) for each in first),
        chain=tuple(held[step] for step in steps) or ((sure,) if sure else ()),
        alike=tuple(held[twin] for twin in twins),
    )


def _found(
    each: _Candidate, held: Mapping[str, Part], near: Mapping[str, int], so: Collection[str]
) -> FoundNumber:
    part = held[each.part]
    return FoundNumber(
        part=part,
        number=each.number,
        kind=each.kind,
        whose=each.whose or part.maker,
        slip=each.slip,
        today=held.get(part.sold_as or ""),
        of_heater=near[each.part] != OF_NO_LIST,
        as_told=each.part in so,
    )


def _parts_met(
    catalog: Catalog, numbers: Collection[str], listed: Mapping[str, Part], told: Told
) -> dict[str, Part]:
    """Return the parts that may be meant; features only where something was told of them."""
    read = {} if told else {number: listed[number] for number in numbers if number in listed}
    rest = [number for number in numbers if number not in read]
    return read | parts_by_number(catalog, rest, features_of=told)


def _numbers_like(catalog: Catalog, read: str, most: int) -> list[dict[str, Any]]:
    """Return the numbers that begin so or are one slip away, and some that are not."""
    beyond = f"{read}{AFTER_EVERY_LETTER}" if len(read) >= SHORTEST_PREFIX else f"{read}\x00"
    letters = slip_hashes(read) if len(read) >= SHORTEST_FOR_SLIPS else []
    asked = {"first": read, "beyond": beyond, "most": most, "letters": letters}
    return catalog.rows("numbers_like", asked)


def _candidates(
    read: str, groups: tuple[str, ...], rows: Iterable[Mapping[str, Any]]
) -> list[_Candidate]:
    """Return the likeliest number of each part, the likeliest first."""
    best: dict[str, _Candidate] = {}
    for row in rows:
        slip = slip_between(read, row["folded"], row["number"])
        if slip is None:
            continue
        # Where a dash was typed, it stands where it stood: one more thing that must agree.
        parted = slip.cost > 0 and len(groups) > 1
        moved = parted and not keeps_groups(groups, written_groups(row["number"]))
        candidate = _Candidate(**row, slip=slip, moved=moved)
        held = best.get(candidate.part)
        if held is None or candidate.order < held.order:
            best[candidate.part] = candidate
    return sorted(best.values(), key=lambda each: each.order)


def _parts_of_heater(catalog: Catalog, slug: str | None) -> dict[str, Part]:
    """Return the parts of a heater's parts list."""
    if slug is None:
        return {}
    rows = catalog.rows("parts_of_heater", {"heater_family": slug})
    if not rows:
        held_family(catalog, slug)  # refused here where there is no such heater
    return {row["number"]: Part(**row, features={}) for row in rows}


def _own_number(number: str) -> dict[str, Any]:
    return {"folded": fold(number), "number": number, "part": number, "kind": "maker", "whose": ""}


def _nearness(part: Part, own: Collection[str]) -> int:
    """Say how near a part is to a heater's: on its list, replaced by one of it, or neither."""
    if part.number in own:
        return ON_THE_LIST
    return REPLACED_BY_ONE if part.sold_as in own else OF_NO_LIST


def _in_stock(catalog: Catalog, parts: Sequence[Part]) -> set[str]:
    """Return the numbers of those parts that the shop has, or has what is sold in their place."""
    serves = {part.number: {part.number, part.sold_as or part.number} for part in parts}
    rows = catalog.rows("stocked", {"numbers": sorted(set().union(*serves.values()))})
    stocked = {row["part"] for row in rows}
    return {number for number, served in serves.items() if served & stocked}
