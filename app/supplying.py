"""What the catalog supplies to a visit, in the types that the estimator takes."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final
from weakref import WeakKeyDictionary

from catalog.companions import companions_for
from catalog.fit import Fit, FitAnswer, fit_parts
from catalog.needs import Need
from catalog.operations import operations_for
from catalog.parts import part
from catalog.replacements import replacements
from estimator.errors import InputTrouble
from estimator.findings import Finding
from estimator.heater import Chamber
from estimator.supply import FitClass, PartFamily, SuppliedPart, Supply

if TYPE_CHECKING:
    from app.visit import Visit
    from catalog.snapshots import Catalog

ANSWERS_KEPT: Final = 64
_FOUND: WeakKeyDictionary[Catalog, dict[str, FitAnswer]] = WeakKeyDictionary()


def fit_for(catalog: Catalog, visit: Visit) -> FitAnswer | None:
    """Find the parts that fit the remedy of a visit.

    Parameters
    ----------
    catalog
        The open catalog.
    visit
        The visit.

    Returns
    -------
    What fits and what was rejected, each with its reasons; ``None`` where the remedy
    puts no part in.

    Raises
    ------
    CatalogTrouble
        If the number of the old part, or the heater family, is not in the catalog.
    """
    need = Need.for_remedy(
        visit.work.remedy,
        visit.heater,
        visit.family,
        visit.old_part.number,
        visit.old_part.features,
    )
    if need is None:
        return None
    asked = repr((need, visit.visit.van, visit.visit.date))
    # A visit asks the same at each of its steps, and a snapshot never changes.
    found = _FOUND.setdefault(catalog, {})
    if asked not in found:
        if len(found) >= ANSWERS_KEPT:
            found.clear()
        found[asked] = fit_parts(catalog, need, visit.visit.van, visit.visit.date)
    return found[asked]


def supply_for(catalog: Catalog, visit: Visit, answer: FitAnswer | None) -> Supply:
    """Gather parts, operations and new heaters for a visit.

    Parameters
    ----------
    catalog
        The open catalog.
    visit
        The visit; its `work.part_number` picks a part, else the best that fits is taken.
    answer
        What `fit_for` found.

    Returns
    -------
    All that an estimate takes from the catalog.

    Raises
    ------
    InputTrouble
        If the part picked does not fit.
    PartNotFound
        If the part picked is not in the catalog.
    """
    remedy, on = visit.work.remedy, visit.visit.date
    parts: tuple[SuppliedPart, ...] = ()
    notes: tuple[str, ...] = ()
    no_part_reason = None
    if answer is None:
        companions = companions_for(
            catalog, remedy, visit.heater, visit.family, visit.visit.van, on
        )
        parts, notes = companions.parts, companions.missing
    elif chosen := _chosen(catalog, visit, answer):
        parts = (chosen.supplied(), *chosen.companions)
    else:
        no_part_reason = answer.closed_reason or "Nothing in the catalog fits this heater"
    return Supply(
        catalog_version=catalog.version,
        parts=parts,
        no_part_reason=no_part_reason,
        notes=notes,
        sealed_part_listed=_sealed_part_listed(catalog, visit),
        operations=operations_for(catalog, remedy),
        replacements=replacements(catalog, visit.heater, visit.site, visit.household, on),
    )


def _chosen(catalog: Catalog, visit: Visit, answer: FitAnswer) -> Fit | None:
    """Return the part picked by number, else the best that fits; refuse a misfit."""
    number = visit.work.part_number
    if number is None:
        return answer.fitting[0] if answer.fitting else None
    wanted = part(catalog, number).number
    for fit in answer.fitting:
        if fit.part.number == wanted:
            return fit
    why = next(
        (" ".join(fit.faults) for fit in answer.rejected if fit.part.number == wanted),
        "it is not a part for this remedy",
    )
    raise InputTrouble(
        f"Part {wanted} does not fit this heater: {why}",
        "work.part_number",
        "Take one of the parts that fit, or leave it out for the best one.",
    )


def _sealed_part_listed(catalog: Catalog, visit: Visit) -> bool | None:
    """Say whether a listed part closes the sealed chamber again; None where nobody asks."""
    damaged = visit.work.finding is Finding.DOOR_SEAL_DAMAGED
    if visit.heater.chamber is not Chamber.SEALED:
        return None
    if not (damaged or visit.hazards.sealed_chamber_broken):
        return None
    need = Need(PartFamily.DOOR_KIT, visit.heater, visit.family)
    answer = fit_parts(catalog, need, visit.visit.van, visit.visit.date)
    return any(fit.fit_class is FitClass.LISTED for fit in answer.fitting)
