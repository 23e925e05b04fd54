"""What a visit comes to if the finding is wrong: worked out beside the quote, never in it.

It is for the technician. An issued quote holds the readings and the ranked findings it
rests on, so this can be worked out again at any time; a replay of the quote does not need it.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any, Final

from app.people.guard import require
from app.people.roles import Action
from app.reserving import free_catalog
from app.supplying import fit_for, supply_for
from app.visit import OldPart
from estimator.doubt import BeingWrong, PossibleFinding, cheapest_order, doubtful_repair
from estimator.doubt_attempts import is_settled, possible_attempts
from estimator.estimating import price_repair
from estimator.findings import Remedy
from estimator.money import to_float

if TYPE_CHECKING:
    from app.people.guard import Actor
    from app.shop import Shop
    from app.visit import Visit
    from app.visiting import PricedVisit
    from catalog.snapshots import Catalog
    from estimator.doubt import DoubtfulRepair
    from estimator.doubt_attempts import Attempt
    from estimator.estimate import ReplacementPath
    from estimator.rates import RateSheet

ASSUMED: Final = (
    "One repair a visit. A wrong one is paid in full, for a part that has been in does not go "
    "back, and the van comes again at the trip charge (common practice, no source).",
    "Findings under 3% are left out; one of those counted is taken to be true.",
)

LEAST_WEIGHT: Final = 1e-6
"""Stands for no chance at all: a finding that the plate rules out may be named all the same."""


@dataclass(frozen=True)
class Trial:
    """A repair that may be tried, and its price [USD]; ``None`` where none can be made."""

    attempt: Attempt
    repair_price: float | None


@dataclass(frozen=True)
class Doubt:
    """What repairing comes to when the finding may be wrong, and replacing beside it.

    Attributes
    ----------
    trials
        What may be tried: the remedy chosen, then the others in the order in which they
        would be, with those that no repair mends last.
    cost
        Expected cost and chances.
    replacement
        The replacement that is compared.
    study_years
        Years that the costs are over.
    """

    trials: tuple[Trial, ...]
    cost: DoubtfulRepair
    replacement: ReplacementPath
    study_years: int

    @property
    def repair_is_cheaper(self) -> bool:
        """Whether setting out to repair is expected to cost less than replacing now."""
        return self.cost.lcc < self.replacement.cost.lcc


def doubt_of(shop: Shop, actor: Actor, priced: PricedVisit) -> Doubt | None:
    """Work out what being wrong about the finding is expected to cost.

    Parameters
    ----------
    shop
        The shop: its catalog in force supplies the parts of the other repairs.
    actor
        Who works on the visit.
    priced
        The visit.

    Returns
    -------
    The doubt; ``None`` where the readings settle the finding, the repair path is closed, or
    no replacement is open to go over to.
    """
    require(shop, actor, Action.WORK_VISIT)
    estimate, work = priced.estimate, priced.visit.work
    attempts = possible_attempts(work.finding, work.remedy, estimate.ranked)
    best = estimate.replacements[0]
    closed = not estimate.repair.open or best.closed_reason is not None
    if closed or is_settled(attempts):
        return None
    catalog = free_catalog(shop, priced.visit.visit.date)
    sheet = priced.rate_sheet.sheet
    price = to_float(estimate.repair.priced.total)
    trials = [Trial(attempts[0], price)]
    trials += [Trial(each, _price(catalog, priced.visit, each, sheet)) for each in attempts[1:]]
    by_name = {_name(trial): trial for trial in trials}
    first, *others = (
        PossibleFinding(
            name=name,
            weight=max(trial.attempt.probability, LEAST_WEIGHT),
            repair_price=trial.repair_price,
        )
        for name, trial in by_name.items()
    )
    wrong = _being_wrong(sheet)
    order = (first, *cheapest_order(others, wrong))
    return Doubt(
        trials=tuple(by_name[each.name] for each in order),
        cost=doubtful_repair(order, estimate.repair.cost.lcc - price, best.cost.lcc, wrong),
        replacement=best,
        study_years=estimate.study_years,
    )


def _name(trial: Trial) -> str:
    return trial.attempt.findings[0].value


def _being_wrong(sheet: RateSheet) -> BeingWrong:
    """Count the coming again once: where the trip is not credited, it is in each price."""
    trip = to_float(sheet.trip.amount) if sheet.trip.credited_when_work_goes_ahead else 0.0
    return BeingWrong(second_visit_price=trip, price_kept=1.0)


def _price(catalog: Catalog, visit: Visit, attempt: Attempt, sheet: RateSheet) -> float | None:
    """Price another repair of the same heater, with the part that fits it best [USD]."""
    if attempt.remedy is Remedy.REPLACE_HEATER:
        return None
    work = visit.work.model_copy(
        update={
            "finding": attempt.findings[0],
            "remedy": attempt.remedy,
            "part_number": None,
        }
    )
    other = visit.model_copy(update={"work": work, "old_part": OldPart()})
    supply = supply_for(catalog, other, fit_for(catalog, other))
    if supply.no_part_reason is not None:
        return None
    return to_float(price_repair(other.case(), supply, sheet, other.visit.date).total)


def doubt_json(doubt: Doubt | None) -> dict[str, Any] | None:
    """Return the doubt under documented keys.

    Parameters
    ----------
    doubt
        What `doubt_of` gave.

    Returns
    -------
    Plain JSON values: chances as fractions, prices and costs over the study [USD]; ``None``
    where there is no doubt worth a word.
    """
    if doubt is None:
        return None
    cost = doubt.cost
    return {
        "possible": [
            {
                "remedy": trial.attempt.remedy.value,
                "findings": [finding.value for finding in trial.attempt.findings],
                "chance": trial.attempt.probability,
                "repair_price": trial.repair_price,
                "tried": _name(trial) in cost.tried,
            }
            for trial in doubt.trials
        ],
        "chance_first_is_right": cost.chance_first_is_right,
        "chance_replaced": cost.chance_replaced,
        "lcc": cost.lcc,
        "lcc_if_known": cost.lcc_if_known,
        "doubt_cost": cost.doubt_cost,
        "dearest_price": cost.dearest_price,
        "compared_with": doubt.replacement.slug,
        "replace_lcc": doubt.replacement.cost.lcc,
        "repair_is_cheaper": doubt.repair_is_cheaper,
        "assumed": list(ASSUMED),
    }
