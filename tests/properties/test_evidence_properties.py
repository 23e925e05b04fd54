"""What holds for every set of readings on every heater."""

from __future__ import annotations

import random
from datetime import date
from math import log2

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from estimator.evidence import Support, grade
from estimator.evidence_plate import plate_rules_out
from estimator.evidence_rules import RULES
from estimator.findings import Finding, Readings, Remedy
from estimator.heater import RatingPlate
from estimator.likelihood import rank_findings
from estimator.likelihood_next import next_reading, readings_left
from estimator.reading_cautions import reading_cautions
from estimator.reading_guides import can_be_taken, fields_of
from estimator.reading_words import Seen, words_of

SETPOINT_F = 125.0

PLATES = st.builds(
    RatingPlate,
    fuel=st.sampled_from(["natural_gas", "propane"]),
    tank_volume_gal=st.just(40.0),
    input_btu_per_h=st.just(38_000.0),
    ignition=st.sampled_from(
        ["pilot_thermocouple", "pilot_thermopile", "intermittent_pilot", "hot_surface"]
    ),
    venting=st.sampled_from(["natural_draft", "power_vent", "direct_vent"]),
    chamber=st.sampled_from(["open", "sealed"]),
    manufactured=st.dates(date(1990, 1, 1), date(2026, 1, 1)),
    drop_out_most_millivolts=st.none() | st.floats(1, 10),
)
YES_NO = st.booleans()
OHMS = st.sampled_from([0.0, 0.5, 40.0, float("inf")])
PRESSURE = st.floats(-1, 20)
VALUES = {
    "inlet_standing_in_wc": PRESSURE,
    "inlet_flowing_in_wc": PRESSURE,
    "manifold_in_wc": PRESSURE,
    "flame": st.sampled_from(["good", "small", "off_element", "lifting", "none"]),
    "spark": st.sampled_from(["good", "weak", "elsewhere", "none"]),
    "gas_at_pilot": YES_NO,
    "holds_while_pressed": YES_NO,
    "drops_when_released": YES_NO,
    "millivolts_open": st.floats(-5, 50) | st.floats(100, 900),
    "millivolts_loaded": st.floats(-5, 50) | st.floats(50, 500),
    "millivolts_at_drop_out": st.floats(0, 12),
    "element_seated": YES_NO,
    "element_clean": YES_NO,
    "joint_tight": YES_NO,
    "limit_ohms": OHMS,
    "fuse_ohms": OHMS,
    "windy_or_downdraft": YES_NO,
    "arrestor_clean": YES_NO,
    "door_seal_sound": YES_NO,
    "vapor_sensor_in_range": YES_NO,
    "igniter_ohms": OHMS,
    "flame_current_microamp": st.floats(0, 5),
    "outlet_f": st.floats(50, 180),
}
# Rules that decide for one finding and against another at once, by the field they are read from.
BOTH_WAYS = sorted({r.reading for r in RULES if r.supports and r.contradicts} & set(VALUES))
READINGS = st.fixed_dictionaries({}, optional=VALUES).map(Readings.model_validate)
ON = st.none() | st.dates(date(2026, 1, 1), date(2035, 1, 1))


def chances(plate: RatingPlate, readings: Readings) -> dict[Finding, float]:
    ranked = rank_findings(plate, readings, SETPOINT_F)
    return {each.finding: each.probability for each in ranked}


@given(PLATES, READINGS, ON)
def test_probabilities_add_to_one_and_stand_in_order(
    plate: RatingPlate, readings: Readings, on: date | None
) -> None:
    ranked = rank_findings(plate, readings, SETPOINT_F, on)
    shares = [each.probability for each in ranked]
    assert sum(shares) == pytest.approx(1, abs=1e-12)
    assert shares == sorted(shares, reverse=True)
    assert sorted(each.finding for each in ranked) == sorted(Finding)
    assert all(each.why for each in ranked)
    for each in ranked:
        assert (each.probability == 0) == bool(plate_rules_out(each.finding, plate))


@given(PLATES, READINGS, st.sampled_from(BOTH_WAYS), st.data())
@settings(max_examples=600)
def test_a_supporting_reading_never_lowers_its_finding_beside_one_it_contradicts(
    plate: RatingPlate, readings: Readings, name: str, data: st.DataObject
) -> None:
    before = readings.model_copy(update={name: None})
    value = data.draw(VALUES[name])
    after = readings.model_copy(update={name: value})
    words = words_of(Seen(plate, after, SETPOINT_F))
    added = {
        (reading, word)
        for reading, word in words.items()
        if reading not in words_of(Seen(plate, before, SETPOINT_F))
    }
    told = [rule for rule in RULES if (rule.reading, rule.says) in added]
    was, now = chances(plate, before), chances(plate, after)
    for rule in told:
        for supported in rule.supports:
            for contradicted in rule.contradicts:
                # Cross-multiplied, so that one that the plate rules out divides by nothing.
                raised = now[supported] * was[contradicted]
                assert raised >= now[contradicted] * was[supported] * (1 - 1e-9)


@given(PLATES, READINGS, st.randoms())
def test_the_order_of_the_readings_does_not_matter(
    plate: RatingPlate, readings: Readings, shuffled: random.Random
) -> None:
    given_first = list(readings.model_dump(exclude_none=True).items())
    shuffled.shuffle(given_first)
    again = Readings.model_validate(dict(given_first))
    assert rank_findings(plate, again, SETPOINT_F) == rank_findings(plate, readings, SETPOINT_F)
    assert next_reading(plate, again, SETPOINT_F) == next_reading(plate, readings, SETPOINT_F)


@given(PLATES, READINGS, ON, st.none() | st.sampled_from(Finding))
def test_the_next_reading_is_one_not_taken_that_this_heater_has(
    plate: RatingPlate, readings: Readings, on: date | None, finding: Finding | None
) -> None:
    told = next_reading(plate, readings, SETPOINT_F, on, finding=finding)
    if told is None:
        return
    assert told.fields
    assert set(told.fields) <= set(fields_of(told.reading))
    assert all(getattr(readings, name) is None for name in told.fields)
    assert told.reading not in words_of(Seen(plate, readings, SETPOINT_F))
    assert can_be_taken(told.reading, plate)
    assert 0 < told.bits <= log2(len(Finding))
    assert told.minutes > 0
    assert sum(each.chance for each in told.outcomes) == pytest.approx(1, abs=1e-9)


@given(PLATES, READINGS, st.sampled_from(Finding))
def test_the_next_reading_is_expected_to_leave_the_finding_as_probable_as_now(
    plate: RatingPlate, readings: Readings, finding: Finding
) -> None:
    # The mean of what would be known is what is known: no reading is expected to help a side.
    told = next_reading(plate, readings, SETPOINT_F, finding=finding)
    assume(told is not None)
    assert told is not None
    mean = sum(each.chance * each.probability for each in told.outcomes)
    assert mean == pytest.approx(chances(plate, readings)[finding], abs=1e-9)


@given(PLATES, READINGS, st.data())
@settings(max_examples=50)
def test_taking_what_is_asked_next_comes_to_an_end(
    plate: RatingPlate, readings: Readings, data: st.DataObject
) -> None:
    for _ in range(len(VALUES) + 1):
        told = next_reading(plate, readings, SETPOINT_F)
        if told is None:
            return
        taken = {name: data.draw(VALUES[name]) for name in told.fields}
        readings = readings.model_copy(update=taken)
        assert told.reading not in readings_left(plate, readings, SETPOINT_F)
    pytest.fail("it asks for ever")


@given(PLATES, READINGS, st.sampled_from(Finding))
def test_a_grade_asks_next_only_while_it_is_open(
    plate: RatingPlate, readings: Readings, finding: Finding
) -> None:
    graded = grade(finding, plate, readings, SETPOINT_F)
    if graded.settle_next is None:
        return
    assert graded.support is Support.OPEN
    assert graded.settle_next in readings_left(plate, readings, SETPOINT_F)
    decides = [r for r in RULES if finding in r.supports | r.contradicts]
    assert graded.settle_next in {rule.reading for rule in decides}


@given(PLATES, READINGS)
def test_a_pressure_that_says_nothing_of_a_finding_changes_no_probability(
    plate: RatingPlate, readings: Readings
) -> None:
    without = readings.model_copy(update={"manifold_in_wc": None})
    assert chances(plate, without) == chances(plate, readings)


@given(PLATES, READINGS, st.sampled_from(Finding), st.sampled_from(Remedy))
def test_the_cautions_of_any_readings_are_said_and_none_twice(
    plate: RatingPlate, readings: Readings, finding: Finding, remedy: Remedy
) -> None:
    told = reading_cautions(plate, readings, finding, remedy, SETPOINT_F)
    assert len(set(told)) == len(told)
    for caution in told:
        assert caution.message.endswith(".")
        assert "{" not in caution.message
