"""The parts worth judging against a need, each once, under the best class it may have."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from catalog.judging import FeatureReason
from catalog.offers import place_order, stocks
from catalog.part_lookup import Part, parts_by_number, parts_of_features
from catalog.part_rows import FEATURES
from estimator.supply import FitClass, PartFamily

if TYPE_CHECKING:
    from collections.abc import Mapping

    from catalog.needs import Known
    from catalog.snapshots import Catalog

MOST_CANDIDATES = 60
MOST_COUNTED = 100
"""How many parts beyond those judged are counted, where they are as near as the last one."""


@dataclass(frozen=True)
class Candidate:
    """A part to judge, the best class that it may have, and where it stands on a list."""

    part: Part
    fit_class: FitClass
    standing: FeatureReason


@dataclass(frozen=True)
class Candidates:
    """The candidates, and how many more parts are as near by all that is known.

    `beyond` counts up to `MOST_COUNTED`.
    """

    held: tuple[Candidate, ...]
    beyond: int = 0


def candidates_for(catalog: Catalog, known: Known, van: str) -> Candidates:
    """Gather parts to judge, each once, under the best class that it may have.

    Parameters
    ----------
    catalog
        The open catalog.
    known
        What is known of the need.
    van
        The van to look on first; empty for none.

    Returns
    -------
    The candidates: listed first, then alike, then found by their features. Of more parts
    equally near than can be judged, those come first of which pieces are free on the van,
    then at the branch.
    """
    made: dict[str, Candidate] = {}
    for listed in known.listed:
        _add_listed(catalog, made, listed, "listed by the maker for this heater")
    if known.old is not None and not known.listed:
        _add_listed(catalog, made, known.old, "the number on the old part")
    basis = [known.old, *known.listed] if known.old is not None else list(known.listed)
    numbers = {part.number for part in basis} | {part.sold_as for part in basis if part.sold_as}
    if numbers:
        _add_alike(catalog, made, sorted(numbers))
    if known.ambiguous:
        return Candidates(tuple(made.values()))
    limits = {name: known.wanted[name].value if name in known.wanted else None
              for name in FEATURES[known.need.family]}  # fmt: skip
    # A feature that no rule judges does not narrow the search either.
    rows, beyond = _nearest(catalog, known.need.family, limits, van)
    nearby = parts_of_features(catalog, [row for row in rows if row["number"] not in made])
    for number, part in nearby.items():
        if part.universal:
            standing = FeatureReason("listing", "matched", "Sold as universal.")
            made[number] = Candidate(part, FitClass.UNIVERSAL, standing)
        else:
            standing = FeatureReason(
                "listing", "matched", f"Found by its features; {part.maker} makes it."
            )
            made[number] = Candidate(part, FitClass.ALIKE, standing)
    return Candidates(tuple(made.values()), beyond)


def _nearest(
    catalog: Catalog, family: PartFamily, limits: Mapping[str, object], van: str
) -> tuple[list[dict[str, Any]], int]:
    """Return the parts nearest by features, and how many more are as near as the last."""
    asked = {**_asked(family, limits), "most": MOST_CANDIDATES + MOST_COUNTED}
    rows = catalog.rows(f"candidates_{family.value}", asked)
    near = [(row.pop("differing"), row.pop("spare")) for row in rows]
    if len(rows) <= MOST_CANDIDATES or near[MOST_CANDIDATES] != near[MOST_CANDIDATES - 1]:
        return rows[:MOST_CANDIDATES], 0
    last = near[MOST_CANDIDATES - 1]
    nearer = [row for row, place in zip(rows, near, strict=True) if place < last]
    equal = [row for row, place in zip(rows, near, strict=True) if place == last]
    # Only some of these can be judged: better those at hand than those first by number.
    numbers = [row["number"] for row in equal]
    where = stocks(catalog, numbers, van, {})
    equal.sort(key=lambda row: place_order(where[row["number"]]))
    kept = [*nearer, *equal][:MOST_CANDIDATES]
    return kept, len(nearer) + len(equal) - len(kept)


def _asked(family: PartFamily, limits: Mapping[str, object]) -> dict[str, object]:
    unused = {
        PartFamily.PILOT_ASSEMBLY: ("output_class_mv", "connection", "cut_off_built_in"),
        PartFamily.GAS_CONTROL: ("manifold_in_wc", "knob"),
        PartFamily.DOOR_KIT: ("includes_gasket",),
    }.get(family, ())
    return {name: value for name, value in limits.items() if name not in unused}


def _add_listed(catalog: Catalog, made: dict[str, Candidate], first: Part, why: str) -> None:
    today = first
    if first.sold_as is not None and first.sold_as != first.number:
        today = parts_by_number(catalog, [first.sold_as])[first.sold_as]
    if today is first:
        sentence = f"{why[:1].upper()}{why[1:]}."
    else:
        sentence = f"Replaces {first.number}, {why}."
    fit_class = FitClass.LISTED
    if today.universal and why.startswith("the number"):
        fit_class = FitClass.UNIVERSAL
    made.setdefault(
        today.number, Candidate(today, fit_class, FeatureReason("listing", "matched", sentence))
    )


def _add_alike(catalog: Catalog, made: dict[str, Candidate], numbers: list[str]) -> None:
    pairs = {
        row["alike"]: row["part"] for row in catalog.rows("alike_to_any", {"numbers": numbers})
    }
    found = parts_by_number(catalog, pairs)
    today = parts_by_number(catalog, [p.sold_as for p in found.values() if p.sold_as])
    for number, part in found.items():
        sold = today.get(part.sold_as or "")
        if sold is None or sold.number in made:
            continue
        sentence = f"Alike to {pairs[number]}, both ways."
        fit_class = FitClass.UNIVERSAL if sold.universal else FitClass.ALIKE
        made[sold.number] = Candidate(sold, fit_class, FeatureReason("alike", "matched", sentence))
