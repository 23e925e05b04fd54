"""The rows of a catalog's source files, one typed model for each file.

A column name is a field name. Each model is also the definition of the table that the
row goes into; a test holds the two together.
"""

from __future__ import annotations

from datetime import date
from decimal import Decimal
from typing import Annotated, Literal, NamedTuple

from pydantic import Field, model_validator

from catalog.cells import (
    Cents,
    Days,
    Factor,
    HoursOfWork,
    Inches,
    InputRate,
    Name,
    Number,
    Pieces,
    Row,
    Slug,
    Word,
)
from catalog.conditions import parse
from catalog.part_rows import PART_ROWS
from estimator.heater import Chamber, DrawBin, Fuel, HeaterClass, Ignition, Venting
from estimator.supply import PartFamily

Position = Literal[
    "sensing_element",
    "pilot_assembly",
    "igniter",
    "limit",
    "thermal_fuse",
    "gas_control",
    "pilot_tube",
    "pilot_orifice",
    "burner_orifice",
    "burner_door",
    "door_gasket",
    "vapor_sensor",
    "flame_rod",
    "element_clip",
]
FAMILY_AT: dict[str, PartFamily] = {
    "thermal_fuse": PartFamily.LIMIT,
    "pilot_orifice": PartFamily.ORIFICE,
    "burner_orifice": PartFamily.ORIFICE,
    "burner_door": PartFamily.DOOR_KIT,
    "door_gasket": PartFamily.SUNDRY,
    "element_clip": PartFamily.SUNDRY,
}
"""Family of the part at a position, where the position has another name than its family."""


class HeaterFamilyRow(Row):
    """What the rating plate and label of a family of heaters say.

    Volume [gal], input [Btu/h], first-hour rating [gal], insulation [in], warranties [yr].
    """

    slug: Slug
    name: Name
    maker: Name
    fuel: Literal[Fuel.NATURAL_GAS, Fuel.PROPANE]
    tank_volume_gal: Annotated[float, Field(ge=2, le=120, allow_inf_nan=False)]
    input_btu_per_h: Annotated[float, Field(ge=5_000, le=200_000, allow_inf_nan=False)]
    ignition: Ignition
    venting: Venting
    chamber: Chamber
    insulation_in: Inches
    made_from: date
    made_to: date | None = None
    energy_factor: Factor | None = None
    uniform_energy_factor: Factor | None = None
    draw_bin: DrawBin | None = None
    recovery_efficiency: Annotated[float, Field(gt=0.5, lt=1, allow_inf_nan=False)]
    first_hour_rating_gal: Annotated[float, Field(gt=0, le=300, allow_inf_nan=False)]
    parts_warranty_years: Annotated[int, Field(ge=0, le=30)]
    tank_warranty_years: Annotated[int, Field(ge=0, le=30)]

    @model_validator(mode="after")
    def _dates_and_rating(self) -> HeaterFamilyRow:
        if self.made_to is not None and self.made_to < self.made_from:
            raise ValueError("made_to lies before made_from")
        if (self.energy_factor is None) == (self.uniform_energy_factor is None):
            raise ValueError("give energy_factor or uniform_energy_factor, one of the two")
        if (self.uniform_energy_factor is None) != (self.draw_bin is None):
            raise ValueError("uniform_energy_factor and draw_bin go together")
        return self


class ListedRow(Row):
    """The part that the maker lists at a position of a heater family."""

    heater_family: Slug
    position: Position
    part: Number


class AlikeRow(Row):
    """Two parts that serve for each other, both ways."""

    part: Number
    alike: Number

    @model_validator(mode="after")
    def _two_parts(self) -> AlikeRow:
        if self.part == self.alike:
            raise ValueError("a part is not alike to itself; name two parts")
        return self


class OfferRow(Row):
    """What a supplier asks for a part, and for how long the price holds [USD].

    `supplier_number` is the supplier's own number, where he does not use the maker's.
    """

    part: Number
    supplier: Name
    cost: Cents
    list_price: Cents | None = None
    valid_from: date
    valid_to: date | None = None
    order_days: Days
    supplier_number: Number | None = None

    @model_validator(mode="after")
    def _dates_in_order(self) -> OfferRow:
        if self.valid_to is not None and self.valid_to < self.valid_from:
            raise ValueError("valid_to lies before valid_from")
        return self


class OtherNumberRow(Row):
    """A number that somebody else has for a part: another maker, a supplier, a shop."""

    number: Number
    part: Number
    kind: Literal["maker", "supplier", "shop"]
    whose: Name


class StockRow(Row):
    """Pieces of a part on a van or at a branch."""

    part: Number
    place: Annotated[str, Field(min_length=1, max_length=60)]
    place_kind: Literal["van", "branch"]
    pieces: Pieces


class OperationRow(Row):
    """A labor operation with open access [h].

    `kind` is "remedy" (its slug is a remedy), "install" (of a replacement heater) or
    "with_remedy"; the last goes with the remedies named in `goes_with`, parted by "|".
    """

    slug: Word
    name: Name
    kind: Literal["remedy", "install", "with_remedy"]
    hours: HoursOfWork
    goes_with: Annotated[str, Field(max_length=600)] = ""

    @model_validator(mode="after")
    def _goes_with_something(self) -> OperationRow:
        if (self.kind == "with_remedy") != bool(self.goes_with):
            raise ValueError('goes_with is for kind "with_remedy", and needed there')
        return self


Requirement = Literal["no", "must_exist", "can_be_added"]


class ReplacementHeaterRow(Row):
    """A heater that could stand in the old one's place, and what it asks of the site.

    `kind` groups heaters of one sort: one of each is offered. A requirement is "no",
    "must_exist" (closed without it) or "can_be_added" (a site item then adds it).
    Volume [gal], input [Btu/h], first-hour rating [gal], flow [gal/min], room [ft³].
    """

    slug: Slug
    name: Name
    kind: Literal[
        "standard", "high_efficiency", "condensing", "instantaneous", "heat_pump", "electric"
    ]
    heater_class: HeaterClass
    fuel: Fuel
    volume_gal: Annotated[float, Field(ge=0, le=120)]
    input_btu_per_h: InputRate | None = None
    uniform_energy_factor: Annotated[float, Field(gt=0, le=6)]
    draw_bin: DrawBin
    recovery_efficiency: Annotated[float, Field(gt=0.5, le=5)] | None = None
    first_hour_rating_gal: Annotated[float, Field(gt=0, le=400)] | None = None
    max_flow_gpm: Annotated[float, Field(gt=0, le=20)] | None = None
    venting: Venting | None = None
    upkeep_per_year: Cents
    unit_cost: Cents
    install_operation: Word
    circuit_240v: Requirement
    condensate_drain: Requirement
    gas_line: Requirement
    min_room_volume_ft3: Annotated[float, Field(gt=0, le=100_000)] | None = None
    valid_from: date
    valid_to: date | None = None

    @model_validator(mode="after")
    def _fuel_and_class_agree(self) -> ReplacementHeaterRow:
        burns = self.fuel is not Fuel.ELECTRICITY
        if burns != self.heater_class.value.startswith("gas"):
            raise ValueError(
                f'heater_class "{self.heater_class.value}" does not run on {self.fuel.value}'
            )
        if burns and (self.input_btu_per_h is None or self.venting is None):
            raise ValueError("a heater that burns gas needs input_btu_per_h and venting")
        return self


class SiteItemRow(Row):
    """Something that an installation may ask for, and the condition that asks for it.

    `conditions` are "fact=value" parted by ";", all of which must hold, with values
    parted by "|" as alternatives. `look_for` is what to look at when a fact is not known.
    """

    slug: Slug
    name: Name
    kind: Literal["material", "permit", "disposal"]
    quantity: Annotated[Decimal, Field(gt=0, le=1000, decimal_places=2)] = Decimal(1)
    unit_cost: Cents
    hours: HoursOfWork = Decimal(0)
    conditions: Annotated[str, Field(max_length=300)] = ""
    because: Name
    look_for: Annotated[str, Field(max_length=200)] = ""

    @model_validator(mode="after")
    def _conditions_can_be_read(self) -> SiteItemRow:
        parse(self.conditions)
        return self


class IncentiveRow(Row):
    """Money that somebody else pays towards a heater class, while it lasts [USD]."""

    slug: Slug
    name: Name
    amount: Cents
    heater_class: HeaterClass
    min_uniform_energy_factor: Annotated[float, Field(ge=0, le=6)] = 0.0
    valid_from: date
    valid_to: date

    @model_validator(mode="after")
    def _dates_in_order(self) -> IncentiveRow:
        if self.valid_to < self.valid_from:
            raise ValueError("valid_to lies before valid_from")
        return self


class SourceFile(NamedTuple):
    """A source file: its name without ".csv", its rows' model, its key columns.

    A file that is not `needed` may be missing: a shop may have nothing of that kind.
    """

    name: str
    model: type[Row]
    key: tuple[str, ...]
    needed: bool = True


PART_FILES = tuple(SourceFile(model.family.value, model, ("number",)) for model in PART_ROWS)
OTHER_FILES = (
    SourceFile("heater_family", HeaterFamilyRow, ("slug",)),
    SourceFile("listed", ListedRow, ("heater_family", "position", "part")),
    SourceFile("alike", AlikeRow, ("part", "alike")),
    SourceFile("offer", OfferRow, ("part", "supplier", "valid_from")),
    SourceFile("other_number", OtherNumberRow, ("number", "whose"), needed=False),
    SourceFile("stock", StockRow, ("part", "place")),
    SourceFile("operation", OperationRow, ("slug",)),
    SourceFile("replacement_heater", ReplacementHeaterRow, ("slug",)),
    SourceFile("site_item", SiteItemRow, ("slug",)),
    SourceFile("incentive", IncentiveRow, ("slug",)),
)
SOURCE_FILES = PART_FILES + OTHER_FILES
