"""What a job needs besides the part: gasket, leak solution, sealant, clip, adapter."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from typing import TYPE_CHECKING
from weakref import WeakKeyDictionary

from catalog.offers import offers, place_order, stocks
from estimator.supply import FitClass, SuppliedPart

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence
    from datetime import date

    from catalog.fit_rules import CompanionRule
    from catalog.snapshots import Catalog
    from estimator.findings import Remedy
    from estimator.heater import RatingPlate
    from estimator.supply import PartFamily

DAYS_KEPT = 64
_NEAREST: WeakKeyDictionary[Catalog, dict[tuple[str, date], dict[str, list[str]]]] = (
    WeakKeyDictionary()
)


@dataclass(frozen=True)
class Companions:
    """Companions of a job, and what the catalog could not supply, as sentences."""

    parts: tuple[SuppliedPart, ...] = ()
    missing: tuple[str, ...] = ()


def companions_of_part(
    catalog: Catalog, family: PartFamily, heater_family: str | None, *, sealed: bool,
    van: str, on: date,
) -> Companions:  # fmt: skip
    """Return what goes with putting in a part.

    Parameters
    ----------
    catalog
        The open catalog.
    family
        The part's family.
    heater_family
        Slug of the heater family, where it is known.
    sealed
        Whether the chamber is sealed.
    van
        The van to look on first; empty for none.
    on
        The day of the job.

    Returns
    -------
    The companions.
    """
    rules = [rule for rule in catalog.rules.companions if family in rule.families]
    return _chosen(catalog, _counting(rules, sealed=sealed), heater_family, van, on)


def companions_for(
    catalog: Catalog, remedy: Remedy, plate: RatingPlate, heater_family: str | None,
    van: str, on: date,
) -> Companions:  # fmt: skip
    """Return what a remedy needs that puts in no part.

    Parameters
    ----------
    catalog
        The open catalog.
    remedy
        The remedy.
    plate
        The heater's rating plate.
    heater_family
        Slug of the heater family, where it is known.
    van
        The van to look on first; empty for none.
    on
        The day of the job.

    Returns
    -------
    The companions; none where the remedy needs nothing.
    """
    rules = [rule for rule in catalog.rules.companions if remedy in rule.remedies]
    sealed = plate.chamber.value == "sealed"
    return _chosen(catalog, _counting(rules, sealed=sealed), heater_family, van, on)


def supplied_companions(
    catalog: Catalog, numbers: Sequence[str], because: str, fit_class: FitClass,
    van: str, on: date,
) -> tuple[SuppliedPart, ...]:  # fmt: skip
    """Return parts as companions, those that can be bought.

    Parameters
    ----------
    catalog
        The open catalog.
    numbers
        Exact numbers.
    because
        Why the job needs them.
    fit_class
        Their fit class.
    van
        The van to look on; empty for none.
    on
        The day of the job.

    Returns
    -------
    The companions, nearest and cheapest first.
    """
    return tuple(
        part.model_copy(update={"needed_because": because, "fit_class": fit_class})
        for part in _to_be_had(catalog, numbers, van, on)
    )


def _nearest(part: SuppliedPart) -> tuple[int, Decimal, str]:
    return place_order(part.stock), part.unit_cost, part.number


def _counting(rules: Iterable[CompanionRule], *, sealed: bool) -> list[CompanionRule]:
    return [rule for rule in rules if rule.when == "always" or sealed]


def _to_be_had(catalog: Catalog, numbers: Sequence[str], van: str, on: date) -> list[SuppliedPart]:
    """Return the parts that can be bought, nearest and cheapest first."""
    if not numbers:
        return []
    found = catalog.rows("parts_by_number", {"numbers": list(numbers)})
    prices = offers(catalog, numbers, on)
    held = stocks(catalog, numbers, van, prices)
    made = [
        SuppliedPart(
            number=row["number"],
            description=row["description"],
            family=row["family"],
            fit_class=FitClass.LISTED,
            quantity=Decimal(1),
            unit_cost=prices[row["number"]][0].cost,
            list_price=prices[row["number"]][0].list_price,
            stock=held[row["number"]],
        )
        for row in found
        if row["number"] in prices
    ]
    return sorted(made, key=_nearest)


def _chosen(
    catalog: Catalog, rules: Sequence[CompanionRule], heater_family: str | None, van: str, on: date
) -> Companions:
    listed = _listed(catalog, rules, heater_family)
    by_kind = _nearest_sundries(catalog, van, on) if rules else {}
    asked = {}
    for rule in rules:
        numbers = listed.get(rule.position or "", [])
        if not numbers and not rule.must_be_listed:
            numbers = by_kind.get(rule.kind, [])
        asked[rule.kind] = numbers
    every = [number for numbers in asked.values() for number in numbers]
    found = _to_be_had(catalog, list(dict.fromkeys(every)), van, on)
    parts, missing = [], []
    for rule in rules:
        name = catalog.rules.values["sundry_kind"][rule.kind]
        best = next((part for part in found if part.number in asked[rule.kind]), None)
        if best is None:
            whose = "for this heater" if rule.must_be_listed else "that can be bought today"
            missing.append(
                f"The job needs a {name} ({rule.because}); the catalog has none {whose}."
            )
            continue
        by_list = best.number in listed.get(rule.position or "", [])
        fit_class = FitClass.LISTED if by_list else FitClass.UNIVERSAL
        told = {"needed_because": rule.because, "fit_class": fit_class}
        parts.append(best.model_copy(update=told))
    return Companions(tuple(parts), tuple(missing))


def _nearest_sundries(catalog: Catalog, van: str, on: date) -> dict[str, list[str]]:
    """Return the nearest and cheapest part of each kind, and those that are set aside.

    Kept, for a snapshot never changes.
    """
    kept = _NEAREST.setdefault(catalog, {})
    if (van, on) not in kept:
        if len(kept) >= DAYS_KEPT:
            kept.clear()
        asked = {"van": van, "on": on, "set_aside": list(catalog.parts_set_aside)}
        found: dict[str, list[str]] = {}
        for row in catalog.rows("nearest_sundries", asked):
            found.setdefault(row["sundry_kind"], []).append(row["number"])
        kept[van, on] = found
    return kept[van, on]


def _listed(
    catalog: Catalog, rules: Sequence[CompanionRule], heater_family: str | None
) -> dict[str, list[str]]:
    positions = [rule.position for rule in rules if rule.position is not None]
    if not positions or heater_family is None:
        return {}
    listed: dict[str, list[str]] = {}
    for row in catalog.rows("listed_at", {"heater_family": heater_family, "positions": positions}):
        if row["sold_as"] is not None:
            listed.setdefault(row["position"], []).append(row["sold_as"])
    return listed
