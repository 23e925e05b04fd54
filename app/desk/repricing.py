"""Issued quotes priced again at another rate sheet, exactly as `price_job` prices them.

Only prices are worked out, not the comparison over the years. Most jobs of a shop are alike,
so each kind of job is priced once: what the price rests on is the key, and `price_job` itself
gives the answer.
"""

from __future__ import annotations

from collections.abc import Hashable, Mapping
from dataclasses import dataclass
from decimal import Decimal
from typing import TYPE_CHECKING, Any

from pydantic_core import from_json

from app.visit import Visit
from estimator.errors import Trouble
from estimator.findings import Finding
from estimator.priced_job import Job
from estimator.pricing import price_job
from estimator.supply import Operation, ReplacementHeater, SuppliedPart, Supply
from estimator.warranty import warranty_on

if TYPE_CHECKING:
    from estimator.priced_job import Warranty
    from estimator.rates import RateSheet

Terms = tuple[str, bool, bool, str, str]
"""Access, after hours, plan member, discount and place of the sales tax, as a visit keeps them."""


@dataclass(frozen=True)
class StoredJob:
    """What an issued quote keeps of its jobs: inputs and supply as JSON.

    `repair_open` is false where the repair path was closed; `replace_slug` is the replacement
    that was compared, ``None`` where none was open.
    """

    number: str
    revision: int
    inputs_json: str
    supply_json: str
    repair_open: bool
    replace_slug: str | None


@dataclass(frozen=True)
class Repriced:
    """A job at another rate sheet [USD]: `price` with tax in and incentives off.

    `revenue` is before tax. `refused` is set, and the rest ``None``, where the sheet does
    not let the job be priced.
    """

    price: Decimal | None = None
    revenue: Decimal | None = None
    cost: Decimal | None = None
    below_floor: bool = False
    refused: str | None = None


@dataclass(frozen=True)
class QuoteRepriced:
    """Both jobs of a quote at another rate sheet; ``None`` for a path that was closed."""

    number: str
    revision: int
    repair: Repriced | None
    replace: Repriced | None


class Repricer:
    """Prices stored jobs at one rate sheet, each kind of job once.

    Parameters
    ----------
    rates
        The rate sheet.
    """

    def __init__(self, rates: RateSheet) -> None:
        self._rates = rates
        self._known: dict[Hashable, Repriced] = {}
        self._warranties: dict[Hashable, tuple[Warranty, Warranty]] = {}
        self._terms: dict[Terms, dict[str, Any]] = {}

    def reprice(self, stored: StoredJob) -> QuoteRepriced:
        """Price both jobs of a quote again.

        Parameters
        ----------
        stored
            What the quote keeps.

        Returns
        -------
        The jobs' prices, revenue, cost and whether each is under the floor.

        Raises
        ------
        ValueError
            If what is stored can no longer be read.
        """
        inputs: dict[str, Any] = from_json(stored.inputs_json, cache_strings="keys")
        supply: dict[str, Any] = from_json(stored.supply_json, cache_strings="keys")
        try:
            return self._both(stored, inputs, supply)
        except KeyError:
            # An older program kept fewer keys; the models fill in what was meant by that.
            inputs = Visit.model_validate(inputs).model_dump(mode="json")
            supply = Supply.model_validate(supply).model_dump(mode="json")
            return self._both(stored, inputs, supply)

    def _both(
        self, stored: StoredJob, inputs: Mapping[str, Any], supply: Mapping[str, Any]
    ) -> QuoteRepriced:
        # All that a price takes from a visit; the model reads the visit only for a new job.
        work, heater, hazards = inputs["work"], inputs["heater"], inputs["hazards"]
        terms: Terms = (
            inputs["site"]["access"],
            *(work["after_hours"], work["plan_member"], work["discount"]),
            work.get("tax_place", ""),
        )
        covered = (
            *(inputs["visit"]["date"], heater["manufactured"]),
            *(heater["parts_warranty_years"], heater["tank_warranty_years"]),
            hazards["tank_leaks"] or work["finding"] == Finding.TANK_LEAK,
        )
        if covered not in self._warranties or terms not in self._terms:
            visit = Visit.model_validate(inputs)
            self._warranties[covered] = _warranties(visit)
            self._terms[terms] = _terms(visit)
        of_parts, of_tank = self._warranties[covered]
        repair = self._repair(supply, terms, of_parts) if stored.repair_open else None
        new = _heater(supply, stored.replace_slug)
        replace = None if new is None else self._replace(new, terms, of_tank)
        return QuoteRepriced(stored.number, stored.revision, repair, replace)

    def _repair(self, supply: Mapping[str, Any], terms: Terms, warranty: Warranty) -> Repriced:
        parts, operations = supply["parts"], supply["operations"]
        key = (
            "repair",
            terms,
            warranty.parts_free,
            tuple(
                (it["quantity"], it["unit_cost"], it["list_price"], it["family"], it["fit_class"])
                for it in parts
            ),
            tuple(it["hours"] for it in operations),
        )
        if key not in self._known:
            job = Job(
                name="Repair",
                parts=tuple(map(SuppliedPart.model_validate, parts)),
                operations=tuple(map(Operation.model_validate, operations)),
                warranty=warranty,
                **self._terms[terms],
            )
            self._known[key] = self._priced(job, terms[-1], Decimal(0))
        return self._known[key]

    def _replace(self, heater: Mapping[str, Any], terms: Terms, warranty: Warranty) -> Repriced:
        key = (
            "replace",
            terms,
            warranty.tank_free,
            *(heater["unit_cost"], heater["like_for_like"], heater["install"]["hours"]),
            tuple(
                (it["kind"], it["quantity"], it["unit_cost"], it["hours"])
                for it in heater["site_items"]
            ),
            tuple(it["amount"] for it in heater["incentives"]),
        )
        if key not in self._known:
            replacement = ReplacementHeater.model_validate(heater)
            job = Job(
                name=replacement.name,
                heater=replacement,
                site_items=replacement.site_items,
                warranty=warranty,
                **self._terms[terms],
            )
            offered = sum((it.amount for it in replacement.incentives), Decimal(0))
            self._known[key] = self._priced(job, terms[-1], offered)
        return self._known[key]

    def _priced(self, job: Job, place: str, offered: Decimal) -> Repriced:
        try:
            priced, margin = price_job(job, self._rates.at_place(place))
        except Trouble as refused:
            return Repriced(refused=str(refused))
        return Repriced(
            price=priced.total - min(offered, priced.total),
            revenue=margin.revenue,
            cost=margin.cost,
            below_floor=margin.below_floor,
        )


def _terms(visit: Visit) -> dict[str, Any]:
    return {
        "access": visit.site.access,
        "after_hours": visit.work.after_hours,
        "plan_member": visit.work.plan_member,
        "discount": visit.work.discount,
    }


def _warranties(visit: Visit) -> tuple[Warranty, Warranty]:
    """Return the maker's warranty on the repair, and on a replacement."""
    leaks = visit.hazards.tank_leaks or visit.work.finding is Finding.TANK_LEAK
    repair = warranty_on(visit.heater, visit.visit.date)
    return repair, warranty_on(visit.heater, visit.visit.date, tank_leaks=leaks)


def _heater(supply: Mapping[str, Any], slug: str | None) -> Mapping[str, Any] | None:
    if slug is None:
        return None
    found: Mapping[str, Any] = next(it for it in supply["replacements"] if it["slug"] == slug)
    return found
