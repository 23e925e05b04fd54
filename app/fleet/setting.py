"""What a fleet is costed with: the terms, the prices of energy, and the offers."""

from __future__ import annotations

import hashlib
import json
from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING

from app.fleet.offers import ELECTRIC, OfferBook
from estimator.comparison import Terms
from estimator.engine_inputs import life_of
from estimator.fleet_columns import FleetGroup, UnitKind
from estimator.heater import Fuel, HeaterClass
from estimator.money import to_float
from estimator.price_outlook import flat_indices, price_indices

if TYPE_CHECKING:
    from datetime import date

    from estimator.economics import Economics, FuelPrices, UnitUpkeep

GAS_FUELS = (Fuel.NATURAL_GAS, Fuel.PROPANE)
FORM = 2
"""Number of the form of the output; a run begun in another form is begun again."""


@dataclass(frozen=True)
class FleetSetting:
    """Terms, energy prices and offers.

    Attributes
    ----------
    on
        The day that ages are counted to; calendar years of the summary start with its year.
    years
        Study period of all heaters [yr].
    economics, fuel_prices
        As in a rate sheet.
    offers
        What could replace the heaters.
    repair_price
        Price of repairing [USD] where the file gives none; ``None`` to leave such rows out.
    """

    on: date
    years: int
    economics: Economics
    fuel_prices: FuelPrices
    offers: OfferBook
    repair_price: float | None = None

    @cached_property
    def terms(self) -> Terms:
        """Terms of the engine."""
        economics = self.economics
        return Terms(
            years=self.years,
            real_discount_rate=economics.real_discount_rate,
            install_price_escalation=economics.install_price_escalation,
            urgency_premium=economics.urgency_premium,
            failure_damage=to_float(economics.failure_damage),
            aging=economics.aging,
        )

    @cached_property
    def groups(self) -> tuple[FleetGroup, ...]:
        """Kinds of heater in place and of challenger, by fuel in the order of `GAS_FUELS`."""
        electric = self._indices(Fuel.ELECTRICITY)
        groups = []
        for fuel in GAS_FUELS:
            gas = self._indices(fuel)
            challengers = tuple(
                UnitKind(life_of(of, self.economics), electric if of in ELECTRIC else gas)
                for _, of in self.offers.slots
            )
            in_place = UnitKind(life_of(HeaterClass.GAS_STORAGE, self.economics), gas)
            groups.append(FleetGroup(in_place, challengers))
        return tuple(groups)

    @property
    def defender_upkeep(self) -> float:
        """Upkeep and expected later repairs of a heater in place [USD/yr]."""
        return yearly(self.economics.defender_upkeep)

    def fingerprint(self) -> str:
        """Return a hash that changes when anything changes that the output depends on."""
        said = {
            "form": FORM,
            "on": self.on.isoformat(),
            "years": self.years,
            "economics": self.economics.model_dump(mode="json"),
            "fuel_prices": self.fuel_prices.model_dump(mode="json"),
            "repair_price": self.repair_price,
            "offers": self.offers.fingerprint(),
        }
        return hashlib.sha256(json.dumps(said, sort_keys=True).encode()).hexdigest()

    def _indices(self, fuel: Fuel) -> tuple[float, ...]:
        if self.economics.price_outlook == "published":
            return price_indices(fuel, self.years, self.on.year)
        return flat_indices(self.economics.fuel_escalation, self.years)


def yearly(upkeep: UnitUpkeep) -> float:
    """Return upkeep and expected later repairs of a year [USD/yr]."""
    repairs = upkeep.repairs_per_year * to_float(upkeep.repair_price)
    return to_float(upkeep.upkeep_per_year) + repairs
