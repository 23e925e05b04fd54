"""Energy that a water heater uses in a year, what it costs, and its CO₂.

Tanks by the water heater analysis model (WHAM); instantaneous heaters and heat pumps by
load over rating. The standing pilot is inside EF and UEF and is never added again.

References
----------
Lutz, Whitehead, Lekov, Winiarski and Rosenquist, WHAM: A Simplified Energy Consumption
Equation for Water Heaters, ACEEE Summer Study 1998.
"""

from __future__ import annotations

from pydantic import BaseModel, ConfigDict

from estimator.cautions import Caution
from estimator.efficiency import Rating
from estimator.errors import InputTrouble
from estimator.heater import Fuel, HeaterClass, Household, RatingPlate
from estimator.mains import daily_draw_gal, inlet_temperature_f
from estimator.recovery import default_recovery_efficiency, recovery_caution
from estimator.supply import ReplacementHeater
from estimator.units import (
    BILLING_DAYS_PER_YEAR,
    BTU_PER_GAL_PROPANE,
    BTU_PER_KWH,
    BTU_PER_MMBTU,
    BTU_PER_THERM,
    HOURS_PER_DAY,
    KG_PER_LB,
)
from estimator.wham import (
    energy_over_rating,
    fuel_ua,
    load_btu_per_day,
    storage_btu_per_day,
)

ELECTRIC_TANK_INPUT_BTU_PER_H = 4.5 * BTU_PER_KWH
"""Input of an electric tank when none is given: a 4.5 kW element; common practice, no source."""

CO2_KG_PER_MMBTU: dict[Fuel, float] = {Fuel.NATURAL_GAS: 53.06, Fuel.PROPANE: 62.87}
"""CO₂ of burning a fuel [kg/MMBtu]. 40 CFR 98 Table C-1."""

CO2_KG_PER_KWH = 0.81 * KG_PER_LB
"""CO₂ of US electricity, average of 2023, 0.81 lb/kWh [kg/kWh]. US EIA, Frequently Asked
Questions, "How much carbon dioxide is produced per kilowatthour". No factor for electricity
stands in 40 CFR 98 Table C-1."""

_WHAM = "Lutz et al., WHAM, ACEEE Summer Study 1998"


class EnergyUse(BaseModel):
    """Energy that a heater uses, by its own fuel.

    `btu_per_day` [Btu/day] at the heater; `therms_per_year` [therm/yr] of gas, 0 for an
    electric one, and `kwh_per_year` [kWh/yr] the other way round. `ua` [Btu/(h·°F)] is the
    fuel UA of a tank, ``None`` where load over rating was used. `gallons_per_day`
    [gal/day] and `inlet_f` [°F] are what it was worked out for; what was assumed about them
    is said by `household_cautions`, once for all heaters.
    """

    model_config = ConfigDict(frozen=True, extra="forbid")

    fuel: Fuel
    btu_per_day: float
    therms_per_year: float
    kwh_per_year: float
    ua: float | None
    gallons_per_day: float
    inlet_f: float
    cautions: tuple[Caution, ...] = ()


def heater_energy(plate: RatingPlate, rating: Rating, household: Household) -> EnergyUse:
    """Return the energy that the heater in place uses.

    Parameters
    ----------
    plate
        Its rating plate.
    rating
        Its rating, as `rating_of` gives it.
    household
        Who draws the hot water.

    Returns
    -------
    Energy by its fuel.

    Raises
    ------
    InputTrouble
        As `fuel_ua` and `inlet_temperature_f`.

    References
    ----------
    Lutz et al., WHAM, ACEEE Summer Study 1998.
    """
    return _storage_use(plate.fuel, rating, plate.input_btu_per_h, household, ())


def replacement_energy(replacement: ReplacementHeater, household: Household) -> EnergyUse:
    """Return the energy that a replacement would use.

    Parameters
    ----------
    replacement
        The heater that could stand in the old one's place.
    household
        Who draws the hot water.

    Returns
    -------
    Energy by its fuel: tanks by WHAM, instantaneous heaters and heat pumps by load over
    UEF, with the conditions said in cautions.

    Raises
    ------
    InputTrouble
        As `fuel_ua` and `inlet_temperature_f`, or where a gas tank has no input.

    References
    ----------
    Lutz et al., WHAM, ACEEE Summer Study 1998; FEMP, Purchasing Energy-Efficient
    Residential Water Heaters, 2022.
    """
    if replacement.heater_class in (HeaterClass.GAS_INSTANTANEOUS, HeaterClass.HEAT_PUMP):
        return _use_over_rating(replacement, household)
    recovery = replacement.recovery_efficiency
    cautions: tuple[Caution, ...] = ()
    if recovery is None:
        recovery = default_recovery_efficiency(
            replacement.heater_class, replacement.uniform_energy_factor, "UEF"
        )
        cautions = (recovery_caution(recovery),)
    rating = Rating(
        value=replacement.uniform_energy_factor,
        metric="UEF",
        draw_bin=replacement.draw_bin,
        recovery_efficiency=recovery,
        recovery_assumed=replacement.recovery_efficiency is None,
    )
    return _storage_use(replacement.fuel, rating, _input_of(replacement), household, cautions)


def energy_cost_per_year(
    use: EnergyUse,
    fuel: Fuel,
    *,
    natural_gas_per_therm: float,
    propane_per_gal: float,
    electricity_per_kwh: float,
) -> float:
    """Return what the energy costs in a year at today's prices.

    Parameters
    ----------
    use
        Energy that the heater uses.
    fuel
        Its fuel.
    natural_gas_per_therm, propane_per_gal, electricity_per_kwh
        Prices as billed [USD/therm, USD/gal, USD/kWh].

    Returns
    -------
    Cost [USD/yr].

    References
    ----------
    10 CFR 430.23(e); heating values of 16 CFR 305.
    """
    if fuel is Fuel.ELECTRICITY:
        return use.kwh_per_year * electricity_per_kwh
    if fuel is Fuel.NATURAL_GAS:
        return use.therms_per_year * natural_gas_per_therm
    return use.therms_per_year * BTU_PER_THERM / BTU_PER_GAL_PROPANE * propane_per_gal


def co2_kg_per_year(use: EnergyUse, fuel: Fuel) -> float:
    """Return the CO₂ of the energy that a heater uses in a year.

    Parameters
    ----------
    use
        Energy that the heater uses.
    fuel
        Its fuel.

    Returns
    -------
    CO₂ [kg/yr]: of burning gas at the heater; of generating the average US kilowatt-hour
    for an electric one.

    Notes
    -----
    Leaks of gas on its way and the mix of one region's power are not in it.

    References
    ----------
    40 CFR 98 Table C-1; US EIA, Frequently Asked Questions, for electricity in 2023.
    """
    if fuel is Fuel.ELECTRICITY:
        return use.kwh_per_year * CO2_KG_PER_KWH
    return use.therms_per_year * BTU_PER_THERM / BTU_PER_MMBTU * CO2_KG_PER_MMBTU[fuel]


def _storage_use(
    fuel: Fuel,
    rating: Rating,
    input_btu_per_h: float,
    household: Household,
    cautions: tuple[Caution, ...],
) -> EnergyUse:
    ua = fuel_ua(rating, input_btu_per_h)
    draw, inlet = daily_draw_gal(household), inlet_temperature_f(household)
    per_day = storage_btu_per_day(
        ua,
        rating.recovery_efficiency,
        input_btu_per_h,
        draw,
        setpoint_f=household.setpoint_f,
        inlet_f=inlet,
        ambient_f=household.ambient_f,
    )
    found = list(cautions)
    if household.ambient_f >= household.setpoint_f:
        found.append(_WARM_ROOM)
    if per_day > HOURS_PER_DAY * input_btu_per_h:
        found.append(_BEYOND_INPUT)
    return _use(fuel, per_day, ua, draw, inlet, tuple(found))


def _use_over_rating(replacement: ReplacementHeater, household: Household) -> EnergyUse:
    draw, inlet = daily_draw_gal(household), inlet_temperature_f(household)
    load = load_btu_per_day(draw, household.setpoint_f, inlet)
    per_day = energy_over_rating(load, replacement.uniform_energy_factor)
    heat_pump = replacement.heater_class is HeaterClass.HEAT_PUMP
    said = _heat_pump_caution(household.ambient_f) if heat_pump else _INSTANTANEOUS
    return _use(replacement.fuel, per_day, None, draw, inlet, (said,))


def _use(
    fuel: Fuel,
    per_day: float,
    ua: float | None,
    draw: float,
    inlet: float,
    cautions: tuple[Caution, ...],
) -> EnergyUse:
    per_year = per_day * BILLING_DAYS_PER_YEAR
    electric = fuel is Fuel.ELECTRICITY
    return EnergyUse(
        fuel=fuel,
        btu_per_day=per_day,
        therms_per_year=0.0 if electric else per_year / BTU_PER_THERM,
        kwh_per_year=per_year / BTU_PER_KWH if electric else 0.0,
        ua=ua,
        gallons_per_day=draw,
        inlet_f=inlet,
        cautions=(*cautions, _GRID) if electric else cautions,
    )


def _input_of(replacement: ReplacementHeater) -> float:
    if replacement.input_btu_per_h is not None:
        return replacement.input_btu_per_h
    if replacement.fuel is Fuel.ELECTRICITY:
        return ELECTRIC_TANK_INPUT_BTU_PER_H
    raise InputTrouble(
        f"Replacement {replacement.slug} has no input in Btu/h, which a gas tank needs",
        mend="Give its input in the catalog and build it again.",
    )


_WARM_ROOM = Caution(
    code="room_warmer_than_tank",
    message="The room is as warm as the tank or warmer: standby is taken as nothing.",
    source=_WHAM,
    topic="energy",
)

_BEYOND_INPUT = Caution(
    code="draw_beyond_input",
    message=(
        "The burner cannot heat that much water in a day; the energy shown is what it would take."
    ),
    source=_WHAM,
    topic="energy",
)

_INSTANTANEOUS = Caution(
    code="instantaneous_at_rating",
    message=(
        "Energy of an instantaneous heater is load over its rating: draws shorter than "
        "those of the rating test cost more."
    ),
    source="10 CFR 430 subpart B appendix E",
    topic="energy",
)

_GRID = Caution(
    code="average_grid",
    message="CO₂ of electricity is that of the average US kilowatt-hour in 2023.",
    source="US EIA, Frequently Asked Questions",
    topic="energy",
)


def _heat_pump_caution(ambient_f: float) -> Caution:
    return Caution(
        code="heat_pump_at_rating",
        message=(
            f"Energy of a heat pump is load over its rating, which was found at 67.5 °F; this "
            f"one would stand at {ambient_f:g} °F. A colder or smaller room costs more, and it "
            "cools the room that it stands in."
        ),
        source="10 CFR 430 subpart B appendix E",
        topic="energy",
    )
