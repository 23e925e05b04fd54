"""What a job needs besides the part: gasket, leak solution, sealant, clip, adapter."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from typing import TYPE_CHECKING

from catalog.parts import Part, offers, parts_by_number, stocks
from estimator.supply import FitClass, PartFamily, SuppliedPart

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence
    from datetime import date

    from catalog.fit_rules import CompanionRule
    from catalog.snapshots import Catalog
    from estimator.findings import Remedy
    from estimator.heater import RatingPlate


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
    found = parts_by_number(catalog, numbers)
    held = stocks(catalog, list(found), van, on)
    prices = offers(catalog, list(found), on)
    made = [
        SuppliedPart(
            number=number,
            description=found[number].description,
            family=found[number].family,
            fit_class=fit_class,
            quantity=Decimal(1),
            unit_cost=prices[number][0].cost,
            list_price=prices[number][0].list_price,
            stock=held[number],
            needed_because=because,
        )
        for number in found
        if number in prices
    ]
    return tuple(sorted(made, key=_nearest))


def place_order(part: SuppliedPart) -> int:
    """Return 0 for a part on the van, 1 at the branch, 2 to order, 3 for none.

    Parameters
    ----------
    part
        The part.

    Returns
    -------
    The place as a number to sort by.
    """
    if part.stock.van:
        return 0
    if part.stock.branch:
        return 1
    return 2 if part.stock.order_days is not None else 3


def _nearest(part: SuppliedPart) -> tuple[int, Decimal, str]:
    return place_order(part), part.unit_cost, part.number


def _counting(rules: Iterable[CompanionRule], *, sealed: bool) -> list[CompanionRule]:
    return [rule for rule in rules if rule.when == "always" or sealed]


def _chosen(
    catalog: Catalog, rules: Sequence[CompanionRule], heater_family: str | None, van: str, on: date
) -> Companions:
    parts, missing = [], []
    for rule in rules:
        name = catalog.rules.values["sundry_kind"][rule.kind]
        numbers, fit_class = _listed(catalog, rule, heater_family), FitClass.LISTED
        if not numbers and not rule.must_be_listed:
            rows = catalog.rows("sundries_of_kind", {"kind": rule.kind})
            numbers, fit_class = [row["number"] for row in rows], FitClass.UNIVERSAL
        found = supplied_companions(catalog, numbers, rule.because, fit_class, van, on)
        if found:
            parts.append(found[0])
        else:
            whose = "for this heater" if rule.must_be_listed else "that can be bought today"
            missing.append(
                f"The job needs a {name} ({rule.because}); the catalog has none {whose}."
            )
    return Companions(tuple(parts), tuple(missing))


def _listed(catalog: Catalog, rule: CompanionRule, heater_family: str | None) -> list[str]:
    if rule.position is None or heater_family is None:
        return []
    rows = catalog.rows(
        "listed_at", {"heater_family": heater_family, "positions": [rule.position]}
    )
    found: Iterable[Part] = parts_by_number(catalog, [row["part"] for row in rows]).values()
    return [part.sold_as for part in found if part.sold_as is not None]
