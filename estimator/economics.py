"""The sections of a rate sheet on energy prices, upkeep and the terms of the comparison."""

from __future__ import annotations

from decimal import Decimal
from typing import Annotated, Literal

from pydantic import Field

from estimator.draws import Spread
from estimator.heater import HeaterClass
from estimator.money import Dollars
from estimator.rate_section import RateSection
from estimator.survival import LifeDistribution

Rate = Annotated[float, Field(gt=-0.5, lt=1, allow_inf_nan=False)]


class FuelPrices(RateSection):
    """What energy costs here when the customer has no bill at hand."""

    natural_gas_per_therm: Annotated[float, Field(gt=0, le=50)]
    propane_per_gal: Annotated[float, Field(gt=0, le=50)]
    electricity_per_kwh: Annotated[float, Field(gt=0, le=5)]


class UnitUpkeep(RateSection):
    """Upkeep of a class of heater and how often it is mended.

    `upkeep_per_year` [USD/yr] (flushing, checking); `repairs_per_year` [1/yr] with
    `repair_price` [USD] each.
    """

    upkeep_per_year: Dollars = Decimal(0)
    repairs_per_year: Annotated[float, Field(ge=0, le=5)] = 0.0
    repair_price: Dollars = Decimal(0)


class Economics(RateSection):
    """Terms of the comparison; see the engine for each symbol.

    `price_outlook` picks the fuel-price indices: "published" (the dated table that the
    estimator carries) or "flat" with `fuel_escalation` a year, above inflation.
    """

    real_discount_rate: Rate = 0.03
    price_outlook: Literal["published", "flat"] = "published"
    fuel_escalation: Rate = 0.0
    install_price_escalation: Rate = 0.0
    urgency_premium: Annotated[float, Field(ge=0, le=5)] = 0.15
    failure_damage: Dollars = Decimal(150)
    aging: Annotated[float, Field(ge=0, le=0.2)] = 0.0
    indifference_band: Dollars = Decimal(150)
    defender_upkeep: UnitUpkeep = UnitUpkeep()
    challenger_upkeep: dict[HeaterClass, UnitUpkeep] = Field(default_factory=dict)
    lives: dict[HeaterClass, LifeDistribution] = Field(default_factory=dict)
    spread: Spread = Spread()
