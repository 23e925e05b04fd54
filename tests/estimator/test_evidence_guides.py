"""The readings as a form: order, limits for this fuel and control, and the word beside each."""

from __future__ import annotations

from typing import get_args

import pytest

from estimator.findings import Readings
from estimator.heater import RatingPlate
from estimator.reading_guides import IN_ORDER, reading_guides
from estimator.reading_limits import LIMITS
from estimator.reading_states import ReadingState, reading_state
from tests.estimator.evidence_cases import (
    HOT,
    HOT_SEALED,
    PROPANE,
    SEALED,
    SPARK,
    TANK,
    THERMOPILE,
    plate,
)

INF = float("inf")
EVERY = (TANK, PROPANE, THERMOPILE, SEALED, SPARK, HOT, HOT_SEALED)


def limits(on: RatingPlate) -> dict[str, str]:
    return {guide.reading: guide.limit_text for guide in reading_guides(on)}


def test_every_reading_has_a_guide_on_some_heater_and_a_limit() -> None:
    shown = {guide.reading for on in EVERY for guide in reading_guides(on)}
    assert shown == set(Readings.model_fields) == set(LIMITS)
    assert len(IN_ORDER) == len(Readings.model_fields)


def test_they_stand_in_the_order_in_which_they_are_taken() -> None:
    asked = [guide.reading for guide in reading_guides(THERMOPILE)]
    assert asked[:4] == [
        "inlet_standing_in_wc",
        "inlet_flowing_in_wc",
        "manifold_in_wc",
        "gas_at_pilot",
    ]
    order = ["flame", "spark", "millivolts_open", "millivolts_loaded", "limit_ohms"]
    order += ["fuse_ohms", "joint_tight", "windy_or_downdraft"]
    assert [name for name in asked if name in order] == order


@pytest.mark.parametrize(
    ("on", "there", "not_there"),
    [
        (TANK, "millivolts_at_drop_out", "arrestor_clean"),
        (THERMOPILE, "vapor_sensor_in_range", "millivolts_at_drop_out"),
        (plate(ignition="pilot_thermopile", drop_out_most_millivolts=120),
         "millivolts_at_drop_out", "igniter_ohms"),
        (HOT, "igniter_ohms", "flame"),
        (HOT_SEALED, "arrestor_clean", "windy_or_downdraft"),
        (SPARK, "flame_current_microamp", "millivolts_open"),
    ],
)  # fmt: skip
def test_only_what_means_something_on_the_heater_is_asked(
    on: RatingPlate, there: str, not_there: str
) -> None:
    assert there in limits(on)
    assert not_there not in limits(on)


@pytest.mark.parametrize(
    ("on", "reading", "text"),
    [
        (TANK, "inlet_standing_in_wc",
         "natural gas: 5 to 8 in wc, by some plates up to 10.5; above 14 nothing is lit"),
        (PROPANE, "inlet_standing_in_wc",
         "propane: 10 to 13 in wc, by some plates up to 14; above 14 nothing is lit"),
        (PROPANE, "inlet_flowing_in_wc",
         "propane: still 10 in wc or more with the burner on; a large drop from standing means "
         "a starved supply"),
        (TANK, "manifold_in_wc", "natural gas: 3.5 to 4 in wc, within 10% of the plate"),
        (PROPANE, "manifold_in_wc", "propane: 10 to 10.5 in wc, within 10% of the plate"),
        (TANK, "millivolts_open",
         "30 mV class: 20 mV or more in a good flame, after about a minute"),
        (THERMOPILE, "millivolts_open",
         "750 mV class: 350 mV or more in a good flame, after about a minute"),
        (TANK, "millivolts_loaded",
         "30 mV class: 10 mV or more under load, near half of the open-circuit voltage"),
        (TANK, "millivolts_at_drop_out",
         "lets go between 2 and 7 mV, each control at its own; above 7 mV no sound one does"),
        (plate(drop_out_most_millivolts=3.5), "millivolts_at_drop_out",
         "a sound magnet of this control lets go at 3.5 mV or less"),
        (TANK, "limit_ohms",
         "closed: 1 Ω or less; gas off, one lead off. Open needs its cause found"),
        (HOT, "flame_current_microamp",
         "1 µA or more with the burner lit, or the maker's figure"),
        (TANK, "outlet_f", "within 10 °F of the set point, after the burner has shut off"),
    ],
)  # fmt: skip
def test_the_limit_is_of_this_fuel_and_control(on: RatingPlate, reading: str, text: str) -> None:
    assert limits(on)[reading] == text


def test_every_limit_says_where_it_comes_from() -> None:
    for on in (*EVERY, plate(drop_out_most_millivolts=3)):
        for guide in reading_guides(on):
            assert guide.limit_text
            assert guide.source.startswith(("common practice", "from memory", "the maker's"))
            assert guide.unit or guide.kind != "number"


def test_every_choice_is_an_answer_that_the_readings_take() -> None:
    for guide in (each for on in EVERY for each in reading_guides(on)):
        for choice in guide.choices:
            Readings.model_validate({guide.reading: choice.value})
        field = Readings.model_fields[guide.reading]
        takes_yes_no = bool in get_args(field.annotation)
        assert (guide.kind == "yes_no") == takes_yes_no
        if guide.kind == "number":
            Readings.model_validate({guide.reading: 50})


@pytest.mark.parametrize(
    ("on", "reading", "given", "word", "tone"),
    [
        (TANK, "flame", {}, "not taken", "plain"),
        (TANK, "inlet_standing_in_wc", {"inlet_standing_in_wc": 7}, "in range", "good"),
        (PROPANE, "inlet_standing_in_wc", {"inlet_standing_in_wc": 7}, "low", "check"),
        (TANK, "manifold_in_wc", {"manifold_in_wc": 5}, "high", "check"),
        (TANK, "inlet_standing_in_wc", {"inlet_standing_in_wc": -1}, "cannot be, measure again",
         "check"),
        (TANK, "flame", {"flame": "good"}, "as it should be", "good"),
        (TANK, "flame", {"flame": "small"}, "not as it should be", "check"),
        (TANK, "drops_when_released", {"drops_when_released": False}, "as it should be", "good"),
        (TANK, "drops_when_released", {"drops_when_released": True}, "not as it should be",
         "check"),
        (TANK, "windy_or_downdraft", {"windy_or_downdraft": True}, "not as it should be", "check"),
        (TANK, "joint_tight", {"joint_tight": True}, "as it should be", "good"),
        (TANK, "millivolts_open", {"millivolts_open": 27}, "in range", "good"),
        (TANK, "millivolts_open", {"millivolts_open": 12, "flame": "good"}, "low", "check"),
        (TANK, "millivolts_open", {"millivolts_open": 400}, "cannot be, measure again", "check"),
        (THERMOPILE, "millivolts_open", {"millivolts_open": 400}, "in range", "good"),
        (HOT, "millivolts_open", {"millivolts_open": 27}, "not on this heater", "check"),
        (TANK, "millivolts_loaded", {"millivolts_open": 27, "millivolts_loaded": 4}, "low",
         "check"),
        (TANK, "millivolts_at_drop_out", {"millivolts_at_drop_out": 4},
         "not decided without the maker's figure", "plain"),
        (plate(drop_out_most_millivolts=3), "millivolts_at_drop_out",
         {"millivolts_at_drop_out": 4}, "high", "check"),
        (TANK, "limit_ohms", {"limit_ohms": INF}, "open", "check"),
        (TANK, "limit_ohms", {"limit_ohms": 0.2}, "closed", "good"),
        (TANK, "limit_ohms", {"limit_ohms": 40}, "neither closed nor open", "check"),
        (HOT, "igniter_ohms", {"igniter_ohms": 55}, "in range", "good"),
        (HOT, "igniter_ohms", {"igniter_ohms": INF}, "open", "check"),
        (HOT, "flame_current_microamp", {"flame_current_microamp": 0}, "none", "check"),
        (TANK, "outlet_f", {"outlet_f": 150}, "high", "check"),
        (TANK, "opened_cause", {"opened_cause": "fired dry"}, "noted", "plain"),
        (TANK, "opened_cause", {"opened_cause": "  "}, "not taken", "plain"),
    ],
)  # fmt: skip
def test_a_word_stands_beside_each_reading(
    on: RatingPlate, reading: str, given: dict[str, object], word: str, tone: str
) -> None:
    state = reading_state(reading, on, Readings.model_validate(given), setpoint_f=125)
    assert state.value == word
    assert state.tone == tone


def test_the_outlet_without_a_set_point_is_only_noted() -> None:
    assert reading_state("outlet_f", TANK, Readings(outlet_f=150)) is ReadingState.NOTED
