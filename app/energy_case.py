"""The energy of one gas tank heater, on numbers given outright."""

from __future__ import annotations

from typing import Annotated

from pydantic import BaseModel, ConfigDict, Field, model_validator

from estimator.efficiency import Rating
from estimator.heater import DrawBin
from estimator.recovery import check_recovery
from estimator.units import BILLING_DAYS_PER_YEAR, BTU_PER_THERM
from estimator.wham import fuel_ua, storage_btu_per_day

Factor = Annotated[float, Field(gt=0, lt=1, allow_inf_nan=False)]


class EnergyCase(BaseModel):
    """Rating [1], input [Btu/h], draw [gal/day] and temperatures [°F], as options name them."""

    model_config = ConfigDict(frozen=True, extra="forbid")

    ef: Factor | None
    uef: Factor | None
    draw_bin: DrawBin | None
    recovery: Annotated[float, Field(gt=0.5, lt=1, allow_inf_nan=False)]
    input: Annotated[float, Field(ge=5_000, le=200_000, allow_inf_nan=False)]
    gallons_per_day: Annotated[float, Field(ge=0, le=500, allow_inf_nan=False)]
    setpoint: Annotated[float, Field(ge=90, le=180)]
    inlet: Annotated[float, Field(ge=33, le=95)]
    ambient: Annotated[float, Field(ge=0, le=130)]

    @model_validator(mode="after")
    def _one_rating_that_warms_water(self) -> EnergyCase:
        if (self.ef is None) == (self.uef is None):
            raise ValueError("give either --ef or --uef, one of the two")
        if (self.uef is None) != (self.draw_bin is None):
            raise ValueError("--uef and --draw-bin go together, and neither goes with --ef")
        if self.inlet >= self.setpoint:
            raise ValueError("the inlet must be colder than the set point")
        return self

    def rating(self) -> Rating:
        """Return the rating that was given, EF or UEF."""
        if self.uef is not None:
            return Rating(
                value=self.uef,
                metric="UEF",
                draw_bin=self.draw_bin,
                recovery_efficiency=self.recovery,
            )
        return Rating(value=self.ef, metric="EF", recovery_efficiency=self.recovery)


def energy_case(case: EnergyCase) -> dict[str, float]:
    """Work out fuel UA and energy from a rating.

    Parameters
    ----------
    case
        The numbers.

    Returns
    -------
    `ua_btu_per_h_f` [Btu/(h·°F)], `btu_per_day` [Btu/day], `therms_per_year` [therm/yr].

    Raises
    ------
    InputTrouble
        If the rating is not below the recovery efficiency.
    """
    rating = case.rating()
    check_recovery(rating.value, rating.metric, case.recovery)
    ua = fuel_ua(rating, case.input)
    per_day = storage_btu_per_day(
        ua,
        case.recovery,
        case.input,
        case.gallons_per_day,
        setpoint_f=case.setpoint,
        inlet_f=case.inlet,
        ambient_f=case.ambient,
    )
    return {
        "ua_btu_per_h_f": ua,
        "btu_per_day": per_day,
        "therms_per_year": per_day * BILLING_DAYS_PER_YEAR / BTU_PER_THERM,
    }
