"""The complete kit for each remedy of a finding, so that remedies are compared."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from typing import TYPE_CHECKING

from app.supplying import fit_for
from app.visit import OldPart, Visit
from catalog.companions import companions_for
from catalog.operations import operations_for
from estimator.findings import FINDINGS, REMEDIES, Remedy
from estimator.priced_job import Job
from estimator.pricing import price_job
from estimator.warranty import warranty_on

if TYPE_CHECKING:
    from catalog.fit import Fit
    from catalog.snapshots import Catalog
    from estimator.priced_job import JobMargin, PricedJob
    from estimator.rates import RateSheet
    from estimator.supply import Operation, SuppliedPart


@dataclass(frozen=True)
class Kit:
    """All that one remedy takes.

    Parameters
    ----------
    remedy, name
        The remedy, and in words.
    fit
        The best part that fits; ``None`` where the remedy puts none in, or none fits.
    parts
        That part and its companions.
    operations
        Labor with open access [h].
    hours
        Labor with the access factor, before any minimum [h].
    access_factor
        The factor [1].
    priced
        The job at the shop's rates.
    margin
        What it leaves the shop: for the owner's eyes only.
    missing
        What the job needs and the catalog has not.
    closed_reason
        Why the kit cannot be had today.
    """

    remedy: Remedy
    name: str
    fit: Fit | None
    parts: tuple[SuppliedPart, ...]
    operations: tuple[Operation, ...]
    hours: Decimal
    access_factor: Decimal
    priced: PricedJob
    margin: JobMargin
    missing: tuple[str, ...] = ()
    closed_reason: str | None = None

    @property
    def on_the_van(self) -> bool:
        """Whether every part of it is on the van."""
        return all(part.stock.van >= part.quantity for part in self.parts)

    @property
    def days(self) -> int | None:
        """Days until the last part is there; 0 where all are on the van or at the branch.

        ``None`` where a part is not to be had.
        """
        waits = [
            0 if part.stock.van or part.stock.branch else part.stock.order_days
            for part in self.parts
        ]
        if any(wait is None for wait in waits):
            return None
        return max((wait for wait in waits if wait is not None), default=0)


def kits(catalog: Catalog, visit: Visit, rates: RateSheet) -> tuple[Kit, ...]:
    """Put together the kit of every remedy of a visit's finding.

    Parameters
    ----------
    catalog
        The open catalog.
    visit
        The visit; its own remedy and part picked do not matter.
    rates
        The rate sheet.

    Returns
    -------
    A kit for each remedy but replacing the heater: those that can be had first, then by
    price.

    Raises
    ------
    Trouble
        If the old part's number or the heater family is not in the catalog.
    """
    made = [
        _kit(catalog, visit, remedy, rates)
        for remedy in FINDINGS[visit.work.finding].remedies
        if remedy is not Remedy.REPLACE_HEATER
    ]
    return tuple(
        sorted(made, key=lambda kit: (kit.closed_reason is not None, kit.priced.total, kit.name))
    )


def _kit(catalog: Catalog, visit: Visit, remedy: Remedy, rates: RateSheet) -> Kit:
    work = visit.work.model_copy(update={"remedy": remedy, "part_number": None})
    asked = visit.model_copy(update={"work": work})
    if REMEDIES[remedy].family is not REMEDIES[visit.work.remedy].family:
        # What was read and measured is of the part that the visit's own remedy replaces.
        asked = asked.model_copy(update={"old_part": OldPart()})
    on = visit.visit.date
    best: Fit | None = None
    parts: tuple[SuppliedPart, ...] = ()
    missing: tuple[str, ...] = ()
    closed = None
    if REMEDIES[remedy].family is None:
        beside = companions_for(catalog, remedy, visit.heater, visit.family, visit.visit.van, on)
        parts, missing = beside.parts, beside.missing
    else:
        answer = fit_for(catalog, asked)
        if answer is not None and answer.fitting:
            best = answer.fitting[0]
            parts = (best.supplied(), *best.companions)
        else:
            closed = (answer.closed_reason if answer else None) or "No part that fits."
    operations = operations_for(catalog, remedy)
    factor = rates.labor.access_factor[visit.site.access]
    priced, margin = price_job(
        Job(
            name=REMEDIES[remedy].name,
            parts=parts,
            operations=operations,
            access=visit.site.access,
            after_hours=visit.work.after_hours,
            plan_member=visit.work.plan_member,
            discount=visit.work.discount,
            warranty=warranty_on(visit.heater, on),
        ),
        rates.at_place(visit.work.tax_place),
    )
    return Kit(
        remedy=remedy,
        name=REMEDIES[remedy].name,
        fit=best,
        parts=parts,
        operations=operations,
        hours=sum((each.hours for each in operations), Decimal(0)) * factor,
        access_factor=factor,
        priced=priced,
        margin=margin,
        missing=missing,
        closed_reason=closed,
    )
