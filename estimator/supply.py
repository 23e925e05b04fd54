"""What the catalog supplies to an estimate: parts, labor operations, new heaters.

Costs [USD] are the shop's own, before margin; they never reach a customer.
"""

from __future__ import annotations

from datetime import date
from decimal import Decimal
from enum import StrEnum
from typing import Annotated, Literal

from pydantic import BaseModel, ConfigDict, Field

from estimator.heater import DrawBin, Fuel, HeaterClass, Venting
from estimator.money import Dollars

Hours = Annotated[Decimal, Field(ge=0, le=80)]
Quantity = Annotated[Decimal, Field(gt=0, le=1000)]


class PartFamily(StrEnum):
    """Kind of part; the first five are the main ones, the rest go with them."""

    SENSING_ELEMENT = "sensing_element"
    PILOT_ASSEMBLY = "pilot_assembly"
    IGNITER = "igniter"
    LIMIT = "limit"
    GAS_CONTROL = "gas_control"
    PILOT_TUBE = "pilot_tube"
    ORIFICE = "orifice"
    DOOR_KIT = "door_kit"
    VAPOR_SENSOR = "vapor_sensor"
    FLAME_ROD = "flame_rod"
    SUNDRY = "sundry"


class FitClass(StrEnum):
    """How well a part fits, best first."""

    LISTED = "listed"
    ALIKE = "alike"
    UNIVERSAL = "universal"
    ADAPTER = "adapter"
    NO_FIT = "no_fit"


class Stock(BaseModel):
    """Where a part is: pieces on the van and at the branch, else days to order."""

    model_config = ConfigDict(frozen=True, extra="forbid")

    van: Annotated[int, Field(ge=0)] = 0
    branch: Annotated[int, Field(ge=0)] = 0
    order_days: Annotated[int, Field(ge=0)] | None = None


class SuppliedPart(BaseModel):
    """A part for the job, with why it fits.

    `needed_because` is set on a companion (gasket, leak solution) and says why the job
    needs it; the main part has none.
    """

    model_config = ConfigDict(frozen=True, extra="forbid")

    number: str
    description: str
    family: PartFamily
    fit_class: FitClass
    reasons: tuple[str, ...] = ()
    check_these: tuple[str, ...] = ()
    quantity: Quantity = Decimal(1)
    unit_cost: Dollars
    list_price: Dollars | None = None
    stock: Stock = Stock()
    needed_because: str | None = None


class Operation(BaseModel):
    """A labor operation: what is done and the hours it takes with open access."""

    model_config = ConfigDict(frozen=True, extra="forbid")

    slug: str
    name: str
    hours: Hours


class SiteItem(BaseModel):
    """Something an installation asks for besides the heater and its labor."""

    model_config = ConfigDict(frozen=True, extra="forbid")

    slug: str
    name: str
    kind: Literal["material", "permit", "disposal"]
    quantity: Quantity = Decimal(1)
    unit_cost: Dollars
    hours: Hours = Decimal(0)
    because: str = ""


class Incentive(BaseModel):
    """Money that somebody else pays towards a replacement, up to its last day."""

    model_config = ConfigDict(frozen=True, extra="forbid")

    name: str
    amount: Dollars
    last_day: date | None = None


class ReplacementHeater(BaseModel):
    """A heater that could stand in the old one's place, with what this site asks for.

    `closed_reason` says why it cannot go here; `check_these` what nobody looked at yet,
    and `unsettled` those of them that may turn out to close it.
    Volume [gal], input [Btu/h], first-hour rating [gal], flow [gal/min], upkeep [USD/yr].
    """

    model_config = ConfigDict(frozen=True, extra="forbid")

    slug: str
    name: str
    heater_class: HeaterClass
    fuel: Fuel
    like_for_like: bool
    volume_gal: Annotated[float, Field(ge=0)]
    input_btu_per_h: float | None
    uniform_energy_factor: Annotated[float, Field(gt=0)]
    draw_bin: DrawBin
    recovery_efficiency: float | None
    first_hour_rating_gal: float | None
    max_flow_gpm: float | None = None
    venting: Venting | None = None
    upkeep_per_year: Dollars = Decimal(0)
    unit_cost: Dollars
    install: Operation
    site_items: tuple[SiteItem, ...] = ()
    incentives: tuple[Incentive, ...] = ()
    check_these: tuple[str, ...] = ()
    unsettled: tuple[str, ...] = ()
    closed_reason: str | None = None


class Supply(BaseModel):
    """All that the catalog supplies to one estimate; kept with an issued quote.

    `no_part_reason` says why no part fits today; `sealed_part_listed` whether the maker
    lists a part that closes the sealed chamber again, where that was looked up; `notes`
    what the job needs and the catalog could not supply.
    """

    model_config = ConfigDict(frozen=True, extra="forbid")

    catalog_version: str
    parts: tuple[SuppliedPart, ...] = ()
    no_part_reason: str | None = None
    sealed_part_listed: bool | None = None
    notes: tuple[str, ...] = ()
    operations: tuple[Operation, ...] = ()
    replacements: tuple[ReplacementHeater, ...] = ()

    @property
    def incentives(self) -> dict[str, tuple[Incentive, ...]]:
        """Replacement heater by slug → what others pay towards it."""
        return {heater.slug: heater.incentives for heater in self.replacements}
