"""The heater, the place where it stands, and the household it serves."""

from __future__ import annotations

from datetime import date
from enum import StrEnum
from typing import Annotated, Literal

from pydantic import BaseModel, ConfigDict, Field, model_validator

EARLIEST_MANUFACTURE = date(1950, 1, 1)
DAYS_PER_YEAR = 365.25


class Fuel(StrEnum):
    """What a heater burns or draws."""

    NATURAL_GAS = "natural_gas"
    PROPANE = "propane"
    ELECTRICITY = "electricity"


GasFuel = Literal[Fuel.NATURAL_GAS, Fuel.PROPANE]


class Ignition(StrEnum):
    """How the main burner is lit and the flame is proved."""

    PILOT_THERMOCOUPLE = "pilot_thermocouple"
    PILOT_THERMOPILE = "pilot_thermopile"
    INTERMITTENT_PILOT = "intermittent_pilot"
    HOT_SURFACE = "hot_surface"


class Venting(StrEnum):
    """How the flue gas leaves."""

    NATURAL_DRAFT = "natural_draft"
    POWER_VENT = "power_vent"
    DIRECT_VENT = "direct_vent"


class Chamber(StrEnum):
    """Combustion chamber: open, or sealed behind a flame arrestor."""

    OPEN = "open"
    SEALED = "sealed"


class DrawBin(StrEnum):
    """Draw pattern of the uniform energy factor test (10 CFR 430 subpart B appendix E)."""

    VERY_SMALL = "very_small"
    LOW = "low"
    MEDIUM = "medium"
    HIGH = "high"


class HeaterClass(StrEnum):
    """Kind of water heater, for ratings, lives and energy models."""

    GAS_STORAGE = "gas_storage"
    GAS_STORAGE_CONDENSING = "gas_storage_condensing"
    GAS_INSTANTANEOUS = "gas_instantaneous"
    HEAT_PUMP = "heat_pump"
    ELECTRIC_STORAGE = "electric_storage"


class Location(StrEnum):
    """Where the heater stands."""

    GARAGE = "garage"
    BASEMENT = "basement"
    UTILITY_ROOM = "utility_room"
    CLOSET = "closet"
    ATTIC = "attic"
    CRAWL_SPACE = "crawl_space"


class Access(StrEnum):
    """How hard the heater is to reach; the rate sheet gives each its factor on hours."""

    OPEN = "open"
    TIGHT = "tight"
    VERY_TIGHT = "very_tight"


class RatingPlate(BaseModel):
    """What the rating plate and the yellow label of a gas tank heater say.

    Volumes are rated gallons [gal], input [Btu/h], energy factors and recovery
    efficiency are dimensionless. A heater carries an energy factor (until 2017) or a
    uniform energy factor with its draw bin, or no readable label at all.
    `drop_out_most_millivolts` is the highest voltage [mV] at which a sound magnet of this
    heater's gas control lets go, by the maker's instructions, where somebody has them.
    """

    model_config = ConfigDict(frozen=True, extra="forbid")

    fuel: GasFuel
    tank_volume_gal: Annotated[float, Field(ge=2, le=120, allow_inf_nan=False)]
    input_btu_per_h: Annotated[float, Field(ge=5_000, le=200_000, allow_inf_nan=False)]
    ignition: Ignition
    venting: Venting = Venting.NATURAL_DRAFT
    chamber: Chamber = Chamber.OPEN
    manufactured: date
    energy_factor: Annotated[float, Field(gt=0, lt=1, allow_inf_nan=False)] | None = None
    uniform_energy_factor: Annotated[float, Field(gt=0, lt=1, allow_inf_nan=False)] | None = None
    draw_bin: DrawBin | None = None
    recovery_efficiency: Annotated[float, Field(gt=0.5, lt=1, allow_inf_nan=False)] | None = None
    first_hour_rating_gal: Annotated[float, Field(gt=0, le=300, allow_inf_nan=False)] | None = None
    parts_warranty_years: Annotated[int, Field(ge=0, le=30)] = 0
    tank_warranty_years: Annotated[int, Field(ge=0, le=30)] = 0
    drop_out_most_millivolts: Annotated[float, Field(gt=0, le=500, allow_inf_nan=False)] | None = (
        None
    )

    @model_validator(mode="after")
    def _rating_is_one(self) -> RatingPlate:
        if self.energy_factor is not None and self.uniform_energy_factor is not None:
            raise ValueError(
                "the label carries either an energy factor or a uniform energy factor, "
                "not both; give the one that is printed"
            )
        if self.manufactured < EARLIEST_MANUFACTURE:
            raise ValueError("manufactured before 1950; read the date on the plate again")
        return self

    def age_years(self, on: date) -> float:
        """Return the age on a day.

        Parameters
        ----------
        on
            The day of the visit.

        Returns
        -------
        Age since manufacture [yr], zero or more.

        Raises
        ------
        ValueError
            If the heater would be made after that day.
        """
        days = (on - self.manufactured).days
        if days < 0:
            raise ValueError(
                f"Manufacture date {self.manufactured.isoformat()} lies after "
                f"the visit on {on.isoformat()}; read the date on the plate again"
            )
        return days / DAYS_PER_YEAR


class Site(BaseModel):
    """Where the heater stands and what is there for another one.

    A fact about the site that nobody looked at is ``None``: a replacement that needs
    it is then shown with "check this", never as fitting.
    """

    model_config = ConfigDict(frozen=True, extra="forbid")

    location: Location = Location.BASEMENT
    access: Access = Access.OPEN
    closed_water_system: bool | None = None
    expansion_tank: bool | None = None
    circuit_240v: bool | None = None
    condensate_drain: bool | None = None
    gas_line_btu_per_h: Annotated[float, Field(gt=0, le=1_000_000)] | None = None
    room_volume_ft3: Annotated[float, Field(gt=0, le=1_000_000)] | None = None
    seismic_zone: bool = False
    drain_pan_needed: bool = False


class Household(BaseModel):
    """Who uses the hot water, what energy costs them, and how long they stay.

    Draw is `gallons_per_day` [gal/day] where known, else from `people` or `bedrooms`.
    Temperatures [°F]. Fuel prices [USD per therm, gallon, kWh], the rate sheet's where
    not given.
    """

    model_config = ConfigDict(frozen=True, extra="forbid")

    people: Annotated[int, Field(ge=1, le=20)] | None = None
    bedrooms: Annotated[int, Field(ge=0, le=12)] | None = None
    gallons_per_day: Annotated[float, Field(gt=0, le=500, allow_inf_nan=False)] | None = None
    setpoint_f: Annotated[float, Field(ge=90, le=180)] = 125.0
    inlet_f: Annotated[float, Field(ge=33, le=95)] | None = None
    ambient_f: Annotated[float, Field(ge=0, le=130)] = 67.5
    air_mean_f: Annotated[float, Field(ge=-20, le=95)] | None = None
    air_swing_f: Annotated[float, Field(ge=0, le=110)] | None = None
    natural_gas_per_therm: Annotated[float, Field(gt=0, le=50)] | None = None
    propane_per_gal: Annotated[float, Field(gt=0, le=50)] | None = None
    electricity_per_kwh: Annotated[float, Field(gt=0, le=5)] | None = None
    years_in_house: Annotated[int, Field(ge=1, le=40)] | None = None

    @model_validator(mode="after")
    def _temperatures_in_order(self) -> Household:
        if self.inlet_f is not None and self.inlet_f >= self.setpoint_f:
            raise ValueError("inlet_f must be below setpoint_f: the heater warms the water")
        if (self.air_mean_f is None) != (self.air_swing_f is None):
            raise ValueError("air_mean_f and air_swing_f go together; give both or neither")
        return self
