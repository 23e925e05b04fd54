"""The rows of part files: what every part has, and the features of each family."""

from __future__ import annotations

from typing import Annotated, ClassVar, Literal

from pydantic import Field, model_validator

from catalog.cells import Inches, InputRate, Name, Number, OutputClass, Row, Volts, Word, YesNo
from estimator.heater import Chamber, Fuel
from estimator.supply import PartFamily


class PartRow(Row):
    """What every part has, of whatever family.

    `replaced_by` is the number that serves for this one, one way; a part that has it is
    no longer sold.
    """

    family: ClassVar[PartFamily]

    number: Number
    description: Name
    maker: Name
    universal: YesNo = False
    discontinued: YesNo = False
    replaced_by: Number | None = None

    @model_validator(mode="after")
    def _replaced_is_no_longer_sold(self) -> PartRow:
        if self.replaced_by is not None and not self.discontinued:
            raise ValueError("replaced_by is given, so discontinued must be yes")
        return self


class SensingElementRow(PartRow):
    """A thermocouple or thermopile."""

    family = PartFamily.SENSING_ELEMENT
    output_class_mv: OutputClass
    connection: Word
    tip_style: Word
    cut_off_built_in: YesNo
    length_in: Inches


class PilotAssemblyRow(PartRow):
    """A pilot burner with what comes on it."""

    family = PartFamily.PILOT_ASSEMBLY
    fuel: Literal[Fuel.NATURAL_GAS, Fuel.PROPANE]
    mounting: Word
    hood_direction: Word
    tube_connection: Word
    includes_igniter: YesNo
    includes_element: YesNo
    output_class_mv: OutputClass | None = None
    connection: Word | None = None
    cut_off_built_in: YesNo = False

    @model_validator(mode="after")
    def _element_has_its_features(self) -> PilotAssemblyRow:
        known = self.output_class_mv is not None and self.connection is not None
        if self.includes_element and not known:
            raise ValueError(
                "includes_element is yes, so output_class_mv and connection are needed"
            )
        if not self.includes_element and self.cut_off_built_in:
            raise ValueError("cut_off_built_in is yes, so includes_element must be yes")
        return self


class IgniterRow(PartRow):
    """A push-button, an electrode with its lead, or a hot surface."""

    family = PartFamily.IGNITER
    igniter_kind: Word
    terminal: Word
    mounting: Word
    voltage_v: Volts | None = None
    lead_length_in: Inches | None = None


class LimitRow(PartRow):
    """A limit switch or a one-shot fuse."""

    family = PartFamily.LIMIT
    opens_at_f: Annotated[float, Field(ge=100, le=600, allow_inf_nan=False)]
    reset_kind: Word
    mounting: Word
    terminals: Word
    lead_length_in: Inches | None = None


class GasControlRow(PartRow):
    """A gas control with its thermostat."""

    family = PartFamily.GAS_CONTROL
    fuel: Literal[Fuel.NATURAL_GAS, Fuel.PROPANE]
    inlet_size: Word
    outlet_size: Word
    max_input_btu_per_h: InputRate
    manifold_in_wc: Annotated[float, Field(gt=0, le=14, allow_inf_nan=False)]
    sensing_kind: Word
    connection: Word
    probe_length_in: Inches
    insulation_in: Inches
    cut_off_built_in: YesNo
    knob: Word


class PilotTubeRow(PartRow):
    """The tube from the control to the pilot."""

    family = PartFamily.PILOT_TUBE
    tube_connection: Word
    diameter_in: Inches
    length_in: Inches


class OrificeRow(PartRow):
    """A pilot or burner orifice."""

    family = PartFamily.ORIFICE
    fuel: Literal[Fuel.NATURAL_GAS, Fuel.PROPANE]
    orifice_kind: Word
    bore_in: Annotated[float, Field(gt=0, le=1, allow_inf_nan=False)]
    thread: Word


class DoorKitRow(PartRow):
    """A burner door with its gasket."""

    family = PartFamily.DOOR_KIT
    chamber: Chamber
    door_width_in: Inches
    includes_gasket: YesNo


class VaporSensorRow(PartRow):
    """A sensor of flammable vapor."""

    family = PartFamily.VAPOR_SENSOR
    sensor_kind: Word
    terminal: Word
    mounting: Word


class FlameRodRow(PartRow):
    """A flame-rectification rod."""

    family = PartFamily.FLAME_ROD
    mounting: Word
    terminal: Word
    rod_length_in: Inches
    lead_length_in: Inches


class SundryRow(PartRow):
    """What goes with a job: gasket, adapter, clip, leak solution.

    An adapter says which feature it bridges: a part with `adapts_from` then fits where
    `adapts_to` is needed.
    """

    family = PartFamily.SUNDRY
    sundry_kind: Word
    tip_style: Word | None = None
    adapts_feature: Word | None = None
    adapts_from: Word | None = None
    adapts_to: Word | None = None

    @model_validator(mode="after")
    def _adapter_says_what_it_adapts(self) -> SundryRow:
        given = [self.adapts_feature, self.adapts_from, self.adapts_to]
        if self.sundry_kind == "adapter" and None in given:
            raise ValueError("an adapter needs adapts_feature, adapts_from and adapts_to")
        return self


PART_ROWS: tuple[type[PartRow], ...] = (
    SensingElementRow,
    PilotAssemblyRow,
    IgniterRow,
    LimitRow,
    GasControlRow,
    PilotTubeRow,
    OrificeRow,
    DoorKitRow,
    VaporSensorRow,
    FlameRodRow,
    SundryRow,
)
COMMON = tuple(PartRow.model_fields)
FEATURES: dict[PartFamily, tuple[str, ...]] = {
    model.family: tuple(name for name in model.model_fields if name not in COMMON)
    for model in PART_ROWS
}
"""Names of the typed features of each family."""
