"""What could replace the heaters of a fleet, and at what price: by kind of heater in place."""

from __future__ import annotations

from dataclasses import dataclass
from typing import NamedTuple, Protocol

from estimator.efficiency import Rating
from estimator.energy import ELECTRIC_TANK_INPUT_BTU_PER_H
from estimator.errors import InputTrouble
from estimator.heater import Access, DrawBin, HeaterClass, Location, Venting
from estimator.recovery import default_recovery_efficiency
from estimator.wham import fuel_ua

ELECTRIC = frozenset({HeaterClass.HEAT_PUMP, HeaterClass.ELECTRIC_STORAGE})
OVER_RATING = frozenset({HeaterClass.GAS_INSTANTANEOUS, HeaterClass.HEAT_PUMP})


class Key(NamedTuple):
    """All that the offers for a heater depend on: heaters that share it share their offers.

    `fuel` is "natural_gas" or "propane"; a fact of the site is ``None`` where nobody looked.
    """

    fuel: str
    tank_volume_gal: float
    input_btu_per_h: float
    venting: Venting
    location: Location
    access: Access
    circuit_240v: bool | None
    condensate_drain: bool | None
    gas_line_btu_per_h: float | None


@dataclass(frozen=True)
class Offer:
    """One heater that could stand in the old one's place, priced.

    Attributes
    ----------
    name
        What it is called in the output.
    heater_class
        Its class: life and energy model go by it.
    uniform_energy_factor
        UEF [1].
    ua
        Fuel UA of a tank [Btu/(h·°F)]; 0 where load over rating is used.
    recovery_efficiency, input_btu_per_h
        Of a tank [1], [Btu/h].
    yearly_upkeep
        Upkeep and expected later repairs [USD/yr].
    installed_price, incentives
        What the customer pays before incentives, and the incentives [USD].
    like_for_like
        Whether it is of the kind in place.
    standing
        0 goes there, 1 may go there, 2 is closed.
    """

    name: str
    heater_class: HeaterClass
    uniform_energy_factor: float
    ua: float
    recovery_efficiency: float
    input_btu_per_h: float
    yearly_upkeep: float
    installed_price: float
    incentives: float
    like_for_like: bool
    standing: int = 0


class OfferBook(Protocol):
    """Where offers come from."""

    @property
    def slots(self) -> tuple[tuple[str, HeaterClass], ...]:
        """Name and class of each challenger, in the order of the output's columns."""
        ...

    def fingerprint(self) -> str:
        """Return text that changes when an offer changes."""
        ...

    def offers_for(self, key: Key) -> tuple[Offer | None, ...]:
        """Return the offer of each slot for heaters of a key, ``None`` where there is none."""
        ...


def tank_model(
    heater_class: HeaterClass,
    uniform_energy_factor: float,
    draw_bin: DrawBin,
    recovery_efficiency: float | None,
    input_btu_per_h: float | None,
    name: str,
) -> tuple[float, float, float]:
    """Return what the tank equation needs of a replacement.

    Parameters
    ----------
    heater_class
        Its class.
    uniform_energy_factor, draw_bin, recovery_efficiency, input_btu_per_h
        Of its label; recovery efficiency by regression where ``None``, and the input of an
        electric tank that of one element.
    name
        For the message.

    Returns
    -------
    Fuel UA [Btu/(h·°F)], recovery efficiency [1], input [Btu/h]; 0, 1, 1 where load over
    rating is used.

    Raises
    ------
    InputTrouble
        If a gas tank has no input, or the rating is not below the recovery efficiency.
    """
    if heater_class in OVER_RATING:
        return 0.0, 1.0, 1.0
    if input_btu_per_h is None:
        if heater_class not in ELECTRIC:
            raise InputTrouble(f"{name} has no input_btu_per_h, which a gas tank needs")
        input_btu_per_h = ELECTRIC_TANK_INPUT_BTU_PER_H
    if recovery_efficiency is None:
        recovery_efficiency = default_recovery_efficiency(
            heater_class, uniform_energy_factor, "UEF"
        )
    rating = Rating(
        value=uniform_energy_factor,
        metric="UEF",
        draw_bin=draw_bin,
        recovery_efficiency=recovery_efficiency,
    )
    return fuel_ua(rating, input_btu_per_h), recovery_efficiency, input_btu_per_h
