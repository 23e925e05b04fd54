"""One part of a fleet from checked columns to answers."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

import numpy as np
from numpy.typing import NDArray

from app.fleet.checking import Rejected
from app.fleet.columns import BY_NAME
from app.fleet.offered import CLOSED, NOWHERE, OfferedColumns, offered_to
from app.fleet.offers import ELECTRIC, OVER_RATING
from app.fleet.setting import GAS_FUELS
from estimator.fleet import compare_fleet
from estimator.fleet_columns import ChallengerColumns, DefenderColumns, FleetColumns
from estimator.fleet_energy import (
    PlateColumns,
    draw_columns,
    fuel_ua_columns,
    rating_columns,
    storage_btu_per_day_columns,
)
from estimator.heater import Fuel, HeaterClass, Household
from estimator.mains import ASSUMED_INLET_F
from estimator.units import (
    BILLING_DAYS_PER_YEAR,
    BTU_PER_GAL_PROPANE,
    BTU_PER_KWH,
    BTU_PER_THERM,
    WATER_HEAT_BTU_PER_GAL_F,
)

if TYPE_CHECKING:
    from app.fleet.checking import CheckedPart
    from app.fleet.setting import FleetSetting
    from estimator.economics import FuelPrices
    from estimator.fleet_columns import FleetAnswer
    from estimator.fleet_energy import RatingColumns

Floats = NDArray[np.float64]

if BY_NAME["fuel"].words != tuple(fuel.value for fuel in GAS_FUELS):  # pragma: no cover
    raise AssertionError("the words of the fuel column are the groups of the engine, in order")


@dataclass(frozen=True, eq=False)
class CostedPart:
    """A part's usable rows with their answers.

    Attributes
    ----------
    part
        The rows.
    rating
        Their ratings.
    draw_gal
        Hot water drawn [gal/day], shape (n,).
    columns
        What the engine took.
    answer
        What it gave.
    standing
        Of each challenger [slot, row]: 0 goes there, 1 may, 2 is closed, 3 none offered.
    name_of
        Name of each challenger [slot, row].
    """

    part: CheckedPart
    rating: RatingColumns
    draw_gal: Floats
    columns: FleetColumns
    answer: FleetAnswer
    standing: NDArray[np.int8]
    name_of: NDArray[Any]

    @property
    def size(self) -> int:
        """Number of rows."""
        return len(self.part.rows)

    def of_cheapest(self, by_slot: NDArray[Any]) -> NDArray[Any]:
        """Return each row's value of its cheapest challenger, from shape (slots, n)."""
        return by_slot[self.answer.cheapest.astype(np.intp), np.arange(self.size)]


def cost_part(part: CheckedPart, setting: FleetSetting) -> tuple[CostedPart | None, list[Rejected]]:
    """Cost both paths of every heater of a part.

    Parameters
    ----------
    part
        The usable rows.
    setting
        Terms, energy prices and offers.

    Returns
    -------
    The answers, ``None`` where no row is left; and the rows that could not be costed, with
    the reason.
    """
    known = _Known.of(part, setting)
    rejected: list[Rejected] = []
    unusable = np.zeros(len(part.rows), dtype=bool)
    for rows, reason in known.unusable(setting):
        rejected.extend(
            Rejected(int(part.rows[at]), part.texts["id"][at], reason)
            for at in np.flatnonzero(rows & ~unusable).tolist()
        )
        unusable |= rows
    if unusable.all():
        return None, rejected
    if unusable.any():
        known = _Known.of(part.kept(~unusable), setting)
    return _costed(known, setting), rejected


@dataclass(frozen=True, eq=False)
class _Known:
    """What is known of a part's rows before the engine runs; temperatures in °F."""

    part: CheckedPart
    rating: RatingColumns
    offered: OfferedColumns
    draw_gal: Floats
    load_btu_per_day: Floats
    standby_f: Floats
    btu_per_day: Floats

    @classmethod
    def of(cls, part: CheckedPart, setting: FleetSetting) -> _Known:
        numbers, usual = part.numbers, Household()
        rating = rating_columns(_plates(part))
        setpoint = _filled(numbers["setpoint_f"], usual.setpoint_f)
        inlet = _filled(numbers["inlet_f"], ASSUMED_INLET_F)
        standby = np.maximum(setpoint - _filled(numbers["ambient_f"], usual.ambient_f), 0.0)
        draw = draw_columns(
            numbers["gallons_per_day"], numbers["people"], numbers["bedrooms"], setpoint, inlet
        )
        load = draw * WATER_HEAT_BTU_PER_GAL_F * (setpoint - inlet)
        per_day = storage_btu_per_day_columns(
            fuel_ua_columns(rating, numbers["input_btu_per_h"]),
            rating.recovery_efficiency,
            numbers["input_btu_per_h"],
            load,
            standby,
        )
        return cls(part, rating, offered_to(part, setting), draw, load, standby, per_day)

    def unusable(self, setting: FleetSetting) -> list[tuple[NDArray[np.bool_], str]]:
        """Return the rows that cannot be costed, by reason."""
        found = [
            (
                np.isnan(self.btu_per_day),
                "the rating is not below the recovery efficiency, or the input cannot heat the "
                "water of the rating test; read the label again",
            ),
            (
                self.btu_per_day < 0,
                "the burner cannot heat that much water; read the input, rating and draw again",
            ),
            (
                self.offered.standing.min(axis=0) >= CLOSED,
                "no replacement can go here: closed by what was found at the site, or none offered",
            ),
        ]
        if setting.repair_price is None:
            blank = np.isnan(self.part.numbers["repair_price"])
            found.append((blank, "repair_price is blank, and no price was given for all"))
        return found


def _plates(part: CheckedPart) -> PlateColumns:
    numbers = part.numbers
    return PlateColumns(
        tank_volume_gal=numbers["tank_volume_gal"],
        input_btu_per_h=numbers["input_btu_per_h"],
        manufactured=part.manufactured,
        energy_factor=numbers["energy_factor"],
        uniform_energy_factor=numbers["uniform_energy_factor"],
        recovery_efficiency=numbers["recovery_efficiency"],
        draw_bin=part.words["draw_bin"],
        first_hour_rating_gal=numbers["first_hour_rating_gal"],
    )


def _costed(known: _Known, setting: FleetSetting) -> CostedPart:
    part, offered, prices = known.part, known.offered, setting.fuel_prices
    gas = _price_per_btu(part.words["fuel"], prices)
    best = offered.standing.min(axis=0)
    columns = FleetColumns(
        DefenderColumns(
            age_years=part.numbers["age_years"],
            energy_cost_per_year=known.btu_per_day * BILLING_DAYS_PER_YEAR * gas,
            yearly_upkeep=setting.defender_upkeep,
            installed_price=offered.like_for_like,
            repair_price=_filled(part.numbers["repair_price"], setting.repair_price or 0.0),
        ),
        tuple(
            ChallengerColumns(
                energy_cost_per_year=_energy_cost(of, slot, known, gas, prices),
                yearly_upkeep=offered.upkeep[slot],
                installed_price=offered.price[slot],
                incentives=offered.incentives[slot],
                is_open=offered.standing[slot] == best,
            )
            for slot, (_, of) in enumerate(setting.offers.slots)
        ),
        group=part.words["fuel"],
    )
    return CostedPart(
        part=part,
        rating=known.rating,
        draw_gal=known.draw_gal,
        columns=columns,
        answer=compare_fleet(columns, setting.groups, setting.terms),
        standing=offered.standing,
        name_of=offered.name,
    )


def _filled(values: Floats, otherwise: float) -> Floats:
    return np.where(np.isnan(values), otherwise, values)


def _price_per_btu(fuel: NDArray[np.int8], prices: FuelPrices) -> Floats:
    by_fuel = {
        Fuel.NATURAL_GAS: prices.natural_gas_per_therm / BTU_PER_THERM,
        Fuel.PROPANE: prices.propane_per_gal / BTU_PER_GAL_PROPANE,
    }
    return np.array([by_fuel[each] for each in GAS_FUELS])[fuel]


def _energy_cost(
    of: HeaterClass, slot: int, known: _Known, gas: Floats, prices: FuelPrices
) -> Floats:
    """Energy of a challenger [USD/yr]; 0 where none is offered."""
    offered = known.offered
    if of in OVER_RATING:
        per_day = known.load_btu_per_day / offered.uef[slot]
    else:
        per_day = storage_btu_per_day_columns(
            offered.ua[slot],
            offered.recovery[slot],
            offered.rated_input[slot],
            known.load_btu_per_day,
            known.standby_f,
        )
    price = prices.electricity_per_kwh / BTU_PER_KWH if of in ELECTRIC else gas
    cost = np.maximum(per_day, 0.0) * BILLING_DAYS_PER_YEAR * price
    return np.where(offered.standing[slot] == NOWHERE, 0.0, cost)
