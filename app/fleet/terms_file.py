"""Terms and replacement heaters given outright in a file, for a fleet without a shop."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from typing import TYPE_CHECKING, Annotated, Literal

from pydantic import BaseModel, ConfigDict, Field, model_validator

from app.files import read_toml
from app.fleet.offers import Key, Offer, tank_model
from app.fleet.setting import FleetSetting, yearly
from estimator.comparison import Amount
from estimator.economics import Economics, FuelPrices, UnitUpkeep
from estimator.errors import InputTrouble, checked
from estimator.heater import DrawBin, HeaterClass
from estimator.survival import DEFAULT_LIVES, mean_life

if TYPE_CHECKING:
    from pathlib import Path

LONGEST_STUDY_YEARS = 40
Gas = Literal["natural_gas", "propane"]
Volume = Annotated[float, Field(ge=0, le=1_000, allow_inf_nan=False)]


class _Section(BaseModel):
    model_config = ConfigDict(frozen=True, extra="forbid")


class ChallengerTerms(_Section):
    """A heater that could replace those in place: label, price [USD], and where it can go.

    It is offered to heaters of the `fuels` named, from `from_gal` up to `to_gal` [gal].
    Gas heaters burn the fuel of the old one. Life and upkeep go by `heater_class`, from
    the `economics` section.
    """

    name: Annotated[str, Field(min_length=1, max_length=60, pattern=r"^[a-z0-9_]+$")]
    heater_class: HeaterClass
    uniform_energy_factor: Annotated[float, Field(gt=0, le=6, allow_inf_nan=False)]
    draw_bin: DrawBin = DrawBin.MEDIUM
    recovery_efficiency: Annotated[float, Field(gt=0.5, lt=1, allow_inf_nan=False)] | None = None
    input_btu_per_h: Annotated[float, Field(ge=1_000, le=400_000)] | None = None
    installed_price: Amount
    incentives: Amount = 0.0
    like_for_like: bool = False
    fuels: tuple[Gas, ...] = ("natural_gas", "propane")
    from_gal: Volume = 0.0
    to_gal: Volume = 1_000.0

    @model_validator(mode="after")
    def _incentives_within_price(self) -> ChallengerTerms:
        if self.incentives > self.installed_price:
            raise ValueError("incentives are above installed_price; give at most the price")
        return self


class FleetTerms(_Section):
    """A terms file: the day, the study, energy prices, economics, and challengers."""

    on: date
    years: Annotated[int, Field(ge=1, le=LONGEST_STUDY_YEARS)] | None = None
    repair_price: Amount | None = None
    fuel_prices: FuelPrices
    economics: Economics = Economics()
    challenger: Annotated[tuple[ChallengerTerms, ...], Field(min_length=1, max_length=12)]

    @model_validator(mode="after")
    def _names_differ(self) -> FleetTerms:
        names = [each.name for each in self.challenger]
        if len(set(names)) < len(names):
            raise ValueError("two challengers have the same name; give each its own")
        return self


@dataclass(frozen=True)
class TermsOffers:
    """The offers of a terms file."""

    terms: FleetTerms

    @property
    def slots(self) -> tuple[tuple[str, HeaterClass], ...]:
        """Name and class of each challenger."""
        return tuple((each.name, each.heater_class) for each in self.terms.challenger)

    def fingerprint(self) -> str:
        """Return text that changes when an offer changes."""
        return self.terms.model_dump_json()

    def offers_for(self, key: Key) -> tuple[Offer | None, ...]:
        """Return the offer of each slot for heaters of a key, ``None`` where there is none."""
        return tuple(
            _offer(each, self.terms.economics)
            if key.fuel in each.fuels and each.from_gal <= key.tank_volume_gal <= each.to_gal
            else None
            for each in self.terms.challenger
        )


def _offer(given: ChallengerTerms, economics: Economics) -> Offer:
    ua, recovery, rated_input = tank_model(
        given.heater_class,
        given.uniform_energy_factor,
        given.draw_bin,
        given.recovery_efficiency,
        given.input_btu_per_h,
        given.name,
    )
    return Offer(
        name=given.name,
        heater_class=given.heater_class,
        uniform_energy_factor=given.uniform_energy_factor,
        ua=ua,
        recovery_efficiency=recovery,
        input_btu_per_h=rated_input,
        yearly_upkeep=yearly(economics.challenger_upkeep.get(given.heater_class, UnitUpkeep())),
        installed_price=given.installed_price,
        incentives=given.incentives,
        like_for_like=given.like_for_like,
    )


def setting_from_terms(path: Path) -> FleetSetting:
    """Read a terms file.

    Parameters
    ----------
    path
        TOML; its `fuel_prices` and `economics` sections are those of a rate sheet.

    Returns
    -------
    The setting.

    Raises
    ------
    InputTrouble
        If the file or a number in it is not usable.
    """
    terms = checked(FleetTerms, read_toml(path), str(path))
    for each in terms.challenger:
        try:
            _offer(each, terms.economics)
        except InputTrouble as refused:
            raise InputTrouble(
                refused.what, f"{path}, challenger {each.name}", refused.mend
            ) from None
    return FleetSetting(
        on=terms.on,
        years=terms.years or study_years_of(terms.economics),
        economics=terms.economics,
        fuel_prices=terms.fuel_prices,
        offers=TermsOffers(terms),
        repair_price=terms.repair_price,
    )


def study_years_of(economics: Economics) -> int:
    """Return the study period where none is given: the mean life of a new gas tank [yr]."""
    of = HeaterClass.GAS_STORAGE
    mean = mean_life(economics.lives.get(of, DEFAULT_LIVES[of]))
    return min(LONGEST_STUDY_YEARS, max(1, round(mean)))
