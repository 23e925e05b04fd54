"""How long a study is, and that real and nominal terms give the same answer."""

from __future__ import annotations

import tomllib
from datetime import date
from decimal import Decimal
from pathlib import Path
from typing import Any

import pytest

from estimator.case import Case
from estimator.comparison import Challenger, Defender, Terms
from estimator.discounting import nominal_rate
from estimator.engine_inputs import study_years
from estimator.life_cycle import compare
from estimator.rates import RateSheet, rate_sheet_from
from estimator.survival import LifeDistribution

ON = date(2026, 6, 1)
RATES = Path(__file__).parents[2] / "demo_data" / "rates.toml"


@pytest.fixture(scope="module")
def rates() -> RateSheet:
    return rate_sheet_from(tomllib.loads(RATES.read_text(), parse_float=Decimal), "rates.toml")


def case(**given: Any) -> Case:
    return Case.model_validate(
        {
            "heater": {
                "fuel": "natural_gas", "tank_volume_gal": 40, "input_btu_per_h": 38_000,
                "ignition": "pilot_thermocouple", "manufactured": date(2014, 6, 1),
            },
            "finding": "element_worn", "remedy": "replace_element",
        } | given
    )  # fmt: skip


@pytest.mark.parametrize(
    ("given", "years"),
    [
        ({}, 13),  # mean life of a new gas tank
        ({"household": {"years_in_house": 7}}, 7),
        ({"household": {"years_in_house": 7}, "study": "challenger_life"}, 13),
        ({"household": {"years_in_house": 7}, "study": "remaining_life"}, 6),
        ({"household": {"years_in_house": 7}, "study": "remaining_life", "years": 20}, 20),
    ],
)
def test_what_sets_the_study_period(rates: RateSheet, given: dict[str, Any], years: int) -> None:
    assert study_years(case(**given), rates, ON) == years


def test_a_heater_that_should_be_dead_still_gets_one_year(rates: RateSheet) -> None:
    old = case(study="remaining_life").model_copy(
        update={"heater": case().heater.model_copy(update={"manufactured": date(1950, 1, 1)})}
    )
    assert study_years(old, rates, ON) == 1


def test_remaining_life_follows_the_shops_own_life(rates: RateSheet) -> None:
    own = LifeDistribution(shape=1.0, scale_years=22.0)
    economics = rates.economics.model_copy(update={"lives": {"gas_storage": own}})
    fitted = rates.model_copy(update={"economics": economics})
    assert study_years(case(study="remaining_life"), fitted, ON) == 22


@pytest.mark.parametrize("inflation", [0.02, 0.07, -0.01])
@pytest.mark.parametrize("upkeep", [0.0, 35.0])
def test_a_comparison_in_nominal_terms_gives_the_same_costs(
    inflation: float, upkeep: float
) -> None:
    """The whole comparison again in dollars of the day.

    The engine takes upkeep and damage in constant dollars. In nominal terms both rise with
    inflation, so upkeep goes in with energy under an index of its own, and damage with the
    urgency of one price; all prices escalate by inflation besides.
    """
    life = LifeDistribution(shape=2.2, scale_years=13.0, delay_years=1.0)
    real = [1.01**year for year in range(1, 16)]
    price, damage, urgency, escalation = 1_900.0, 150.0, 0.15, 0.012

    def unit(energy: float) -> dict[str, Any]:
        return {
            "life": life, "energy_cost_per_year": energy, "price_indices": tuple(real),
            "upkeep_per_year": upkeep, "installed_price": price,
        }  # fmt: skip

    def nominal(energy: float) -> dict[str, Any]:
        paid = [(energy * index + upkeep) / (energy + upkeep) for index in real]
        grown = [index * (1 + inflation) ** year for year, index in enumerate(paid, start=1)]
        return unit(energy) | {
            "energy_cost_per_year": energy + upkeep, "price_indices": tuple(grown),
            "upkeep_per_year": 0.0,
        }  # fmt: skip

    def costs(of: Any, rate: float, **terms: float) -> list[float]:
        found = compare(
            Defender(name="old", age_years=9.0, repair_price=310.0, **of(320.0)),
            [Challenger(name="new", incentives=60.0, **of(240.0))],
            Terms(years=15, real_discount_rate=rate, **terms),
        )
        planned = found.best_planned
        assert planned is not None
        return [
            found.repair.lcc, found.challengers[0].lcc, found.break_even_repair_price,
            planned.lcc, float(planned.year), found.break_even_age_years or -1.0,
        ]  # fmt: skip

    in_real = costs(
        unit, 0.03, urgency_premium=urgency, install_price_escalation=0.0, failure_damage=damage
    )
    in_nominal = costs(
        nominal, nominal_rate(0.03, inflation),
        urgency_premium=urgency + damage / price, install_price_escalation=inflation,
    )  # fmt: skip
    assert in_nominal == pytest.approx(in_real, rel=1e-9)
    # Without damage installed prices may escalate by themselves too.
    rising = costs(unit, 0.03, install_price_escalation=escalation)
    risen = costs(
        nominal, nominal_rate(0.03, inflation),
        install_price_escalation=(1 + escalation) * (1 + inflation) - 1,
    )  # fmt: skip
    assert risen == pytest.approx(rising, rel=1e-9)
    assert rising[0] != pytest.approx(in_real[0], rel=1e-3)
