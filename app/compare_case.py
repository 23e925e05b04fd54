"""A comparison on numbers given outright, as a file that anyone can check by hand."""

from __future__ import annotations

from typing import Annotated, Any

from pydantic import BaseModel, ConfigDict, Field, model_validator

from app.quote_json import how_sure_json
from estimator.comparison import Amount, Challenger, Defender, Terms
from estimator.discounting import equivalent_annual_cost
from estimator.life_cycle import compare
from estimator.price_outlook import flat_indices
from estimator.sensitivity import swings, turning_points
from estimator.survival import LifeDistribution
from estimator.uncertainty import SEED, draw_futures

Rate = Annotated[float, Field(gt=-0.5, lt=1, allow_inf_nan=False)]
Index = Annotated[float, Field(gt=0, le=100, allow_inf_nan=False)]


class _Section(BaseModel):
    model_config = ConfigDict(frozen=True, extra="forbid")


class _Running(_Section):
    weibull: LifeDistribution
    energy_cost_per_year: Amount
    upkeep_per_year: Amount
    later_repairs_per_year: Annotated[float, Field(ge=0, le=10)]
    later_repair_price: Amount


class DefenderGiven(_Running):
    """The heater in place: age [yr], prices [USD], running costs [USD/yr]."""

    age_years: Annotated[float, Field(ge=0, le=150, allow_inf_nan=False)]
    repair_price: Amount
    like_for_like_price: Amount


class ChallengerGiven(_Running):
    """A heater that could replace it: prices [USD], running costs [USD/yr]."""

    name: Annotated[str, Field(min_length=1, max_length=120)]
    installed_price: Amount
    incentives: Amount = 0.0


class CompareCase(_Section):
    """Everything that a comparison rests on; all keys are needed but `incentives`.

    Of `fuel_escalation` and `price_indices` exactly one is given.
    """

    years: Annotated[int, Field(ge=1, le=40)]
    real_discount_rate: Rate
    fuel_escalation: Rate | None = None
    price_indices: tuple[Index, ...] | None = None
    install_price_escalation: Rate
    urgency_premium: Annotated[float, Field(ge=0, le=5)]
    failure_damage: Amount
    aging: Annotated[float, Field(ge=0, le=0.2)]
    defender: DefenderGiven
    challenger: Annotated[tuple[ChallengerGiven, ...], Field(min_length=1, max_length=50)]

    @model_validator(mode="after")
    def _one_price_path(self) -> CompareCase:
        if (self.fuel_escalation is None) == (self.price_indices is None):
            raise ValueError("give either fuel_escalation or price_indices, one of the two")
        if self.price_indices is not None and len(self.price_indices) < self.years:
            raise ValueError(
                f"price_indices has {len(self.price_indices)} numbers; "
                f"give one for each of the {self.years} years"
            )
        names = [each.name for each in self.challenger]
        if len(set(names)) < len(names):
            raise ValueError("two challengers have the same name; give each its own")
        return self

    def indices(self) -> tuple[float, ...]:
        """Return the fuel-price index of each year of the study [1]."""
        if self.price_indices is not None:
            return self.price_indices[: self.years]
        return flat_indices(self.fuel_escalation or 0.0, self.years)


def compare_case(case: CompareCase, draws: int | None = None, seed: int = SEED) -> dict[str, Any]:
    """Run the life-cycle engine on a comparison given outright.

    Parameters
    ----------
    case
        The numbers.
    draws
        How many random futures to draw as well, 100 to 100,000; none where ``None``.
    seed
        Seed of the random numbers.

    Returns
    -------
    Costs [USD], unrounded, under the keys that the command line documents.
    """
    indices = case.indices()
    terms = Terms(
        years=case.years,
        real_discount_rate=case.real_discount_rate,
        install_price_escalation=case.install_price_escalation,
        urgency_premium=case.urgency_premium,
        failure_damage=case.failure_damage,
        aging=case.aging,
    )
    given = case.defender
    defender = Defender(
        name="defender",
        installed_price=given.like_for_like_price,
        age_years=given.age_years,
        repair_price=given.repair_price,
        **_running(given, indices),
    )
    challengers = [
        Challenger(
            name=each.name,
            installed_price=each.installed_price,
            incentives=each.incentives,
            **_running(each, indices),
        )
        for each in case.challenger
    ]
    found = compare(defender, challengers, terms)
    planned = found.best_planned
    answer = {
        "repair_lcc": found.repair.lcc,
        "repair_equivalent_annual_cost": found.repair.equivalent_annual_cost,
        "challengers": [
            {
                "name": path.name,
                "lcc": path.lcc,
                "equivalent_annual_cost": path.equivalent_annual_cost,
            }
            for path in found.challengers
        ],
        "cheapest": found.cheapest,
        "break_even_repair_price": found.break_even_repair_price,
        "break_even_age_years": found.break_even_age_years,
        "best_planned_year": planned.year if planned else None,
        "best_planned_lcc": planned.lcc if planned else None,
        "best_planned_equivalent_annual_cost": (
            equivalent_annual_cost(planned.lcc, case.real_discount_rate, case.years)
            if planned
            else None
        ),
    }
    if draws is not None:
        futures = draw_futures(defender, challengers, terms, draws=draws, seed=seed)
        answer["how_sure"] = how_sure_json(futures)
        points = turning_points(defender, challengers, terms)
        answer["turning_points"] = [point.model_dump(mode="json") for point in points]
        moved = swings(defender, challengers, terms)
        answer["moves_most"] = [swing.model_dump(mode="json") for swing in moved]
    return answer


def _running(given: _Running, indices: tuple[float, ...]) -> dict[str, Any]:
    return {
        "life": given.weibull,
        "price_indices": indices,
        "energy_cost_per_year": given.energy_cost_per_year,
        "upkeep_per_year": given.upkeep_per_year,
        "later_repairs_per_year": given.later_repairs_per_year,
        "later_repair_price": given.later_repair_price,
    }
