"""The limit of each reading for this fuel and control, as text to show beside the field.

None has a published source but where it says so: they are common practice, and the plate
and the maker's instructions come before them.
"""

from __future__ import annotations

from collections.abc import Callable

from estimator.heater import Fuel, RatingPlate
from estimator.reading_words import (
    CLOSED_OHMS,
    FLAME_CURRENT_GOOD_MICROAMP,
    INLET,
    MANIFOLD,
    MANIFOLD_TOLERANCE,
    OUTLET_TOLERANCE_F,
    OUTPUT_CLASS,
    drop_out_of,
)
from estimator.stops import INLET_LIMIT_IN_WC, INLET_SOURCE

COMMON_PRACTICE = "common practice, no source"
FROM_MEMORY = "from memory"
BY_THE_MAKER = "the maker's figure, as given with the plate"
FUEL_NAMES = {Fuel.NATURAL_GAS: "natural gas", Fuel.PROPANE: "propane"}

Limit = tuple[str, str]


def _inlet(plate: RatingPlate) -> Limit:
    window = INLET[plate.fuel]
    return (
        f"{FUEL_NAMES[plate.fuel]}: {window.low:g} to {window.high:g} in wc, by some plates up "
        f"to {window.plate_high:g}; above {INLET_LIMIT_IN_WC:g} nothing is lit",
        f"{COMMON_PRACTICE}; upper end {INLET_SOURCE}",
    )


def _inlet_flowing(plate: RatingPlate) -> Limit:
    window = INLET[plate.fuel]
    return (
        f"{FUEL_NAMES[plate.fuel]}: still {window.low:g} in wc or more with the burner on; a "
        "large drop from standing means a starved supply",
        COMMON_PRACTICE,
    )


def _manifold(plate: RatingPlate) -> Limit:
    low, high = MANIFOLD[plate.fuel]
    return (
        f"{FUEL_NAMES[plate.fuel]}: {low:g} to {high:g} in wc, within {MANIFOLD_TOLERANCE:.0%} "
        "of the plate",
        COMMON_PRACTICE,
    )


def _open_circuit(plate: RatingPlate) -> Limit:
    output = OUTPUT_CLASS[plate.ignition]
    return (
        f"{output.name} class: {output.open_good:g} mV or more in a good flame, after about a "
        "minute",
        COMMON_PRACTICE,
    )


def _loaded(plate: RatingPlate) -> Limit:
    output = OUTPUT_CLASS[plate.ignition]
    return (
        f"{output.name} class: {output.loaded_good:g} mV or more under load, near half of the "
        "open-circuit voltage",
        COMMON_PRACTICE,
    )


def _drop_out(plate: RatingPlate) -> Limit:
    span = drop_out_of(plate)
    if plate.drop_out_most_millivolts is not None:
        return (
            f"a sound magnet of this control lets go at {plate.drop_out_most_millivolts:g} mV "
            "or less",
            BY_THE_MAKER,
        )
    if span is None:
        return "by the maker's figure for this control", COMMON_PRACTICE
    return (
        f"lets go between {span.least:g} and {span.most:g} mV, each control at its own; above "
        f"{span.most:g} mV no sound one does",
        COMMON_PRACTICE,
    )


def _circuit(_: RatingPlate) -> Limit:
    return (
        f"closed: {CLOSED_OHMS:g} Ω or less; gas off, one lead off. Open needs its cause found",
        COMMON_PRACTICE,
    )


def _outlet(_: RatingPlate) -> Limit:
    return (
        f"within {OUTLET_TOLERANCE_F:g} °F of the set point, after the burner has shut off",
        COMMON_PRACTICE,
    )


def _igniter(_: RatingPlate) -> Limit:
    return "not open, and in the maker's range; power off, plug apart", COMMON_PRACTICE


def _flame_current(_: RatingPlate) -> Limit:
    return (
        f"{FLAME_CURRENT_GOOD_MICROAMP:g} µA or more with the burner lit, or the maker's figure",
        COMMON_PRACTICE,
    )


def _plain(text: str, source: str = COMMON_PRACTICE) -> Callable[[RatingPlate], Limit]:
    return lambda _: (text, source)


LIMITS: dict[str, Callable[[RatingPlate], Limit]] = {
    "inlet_standing_in_wc": _inlet,
    "inlet_flowing_in_wc": _inlet_flowing,
    "manifold_in_wc": _manifold,
    "gas_at_pilot": _plain("yes, with the knob at pilot and held down"),
    "flame": _plain("steady, wraps the top 3/8 to 1/2 in of the element", FROM_MEMORY),
    "spark": _plain("at the gap and nowhere else; it is seen even with no gas"),
    "element_seated": _plain("yes, held by its clip in the flame"),
    "element_clean": _plain("yes, no soot or oxide"),
    "holds_while_pressed": _plain("yes; held down for about a minute"),
    "drops_when_released": _plain("no; if it drops, the sensing circuit or the magnet"),
    "millivolts_open": _open_circuit,
    "millivolts_loaded": _loaded,
    "millivolts_at_drop_out": _drop_out,
    "limit_ohms": _circuit,
    "fuse_ohms": _circuit,
    "opened_cause": _plain("needed where a limit or fuse has opened; without it no part is fitted"),
    "joint_tight": _plain("yes; finger-tight and a quarter turn, clean", FROM_MEMORY),
    "windy_or_downdraft": _plain("no"),
    "arrestor_clean": _plain("yes, no lint or dust"),
    "door_seal_sound": _plain("yes, gasket whole and door tight"),
    "vapor_sensor_in_range": _plain("yes, by the maker's range"),
    "igniter_ohms": _igniter,
    "flame_current_microamp": _flame_current,
    "outlet_f": _outlet,
}
"""Field of `Readings` → its limit on a heater, and where the limit comes from."""
