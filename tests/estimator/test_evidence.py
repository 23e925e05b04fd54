"""Readings against findings. The thresholds are common practice, no source."""

from __future__ import annotations

from datetime import date

import pytest

from estimator.evidence import Support, grade, grade_all
from estimator.evidence_rules import RULES
from estimator.findings import FINDINGS, Finding, Readings, Remedy
from estimator.heater import Chamber, Fuel, Ignition, RatingPlate, Venting
from estimator.reading_cautions import reading_cautions
from estimator.reading_words import WORDS, Seen, words_of

SUPPORTED, OPEN, CONTRADICTED = Support.SUPPORTED, Support.OPEN, Support.CONTRADICTED


def plate(**changes: object) -> RatingPlate:
    values = {
        "fuel": Fuel.NATURAL_GAS,
        "tank_volume_gal": 40,
        "input_btu_per_h": 38_000,
        "ignition": Ignition.PILOT_THERMOCOUPLE,
        "manufactured": date(2016, 5, 1),
    }
    return RatingPlate.model_validate(values | changes)


THERMOCOUPLE = plate()
THERMOPILE = plate(ignition=Ignition.PILOT_THERMOPILE, chamber=Chamber.SEALED)
HOT_SURFACE = plate(ignition=Ignition.HOT_SURFACE, venting=Venting.POWER_VENT)
INF = float("inf")

CASES = [
    # finding, plate, readings, grade
    ("element_worn", THERMOCOUPLE, {}, OPEN),
    ("element_worn", THERMOCOUPLE, {"flame": "good", "millivolts_open": 12}, SUPPORTED),
    ("element_worn", THERMOCOUPLE, {"flame": "small", "millivolts_open": 12}, OPEN),
    ("element_worn", THERMOCOUPLE, {"millivolts_open": 12}, OPEN),
    (
        "element_worn",
        THERMOCOUPLE,
        {"millivolts_open": 27, "millivolts_loaded": 13},
        CONTRADICTED,
    ),
    ("element_worn", THERMOCOUPLE, {"millivolts_open": 27}, OPEN),
    ("element_worn", THERMOCOUPLE, {"millivolts_open": 27, "millivolts_loaded": 4}, OPEN),
    ("loose_connection", THERMOCOUPLE, {"millivolts_open": 27, "millivolts_loaded": 4}, SUPPORTED),
    ("weak_pilot", THERMOCOUPLE, {"flame": "good"}, CONTRADICTED),
    ("weak_pilot", THERMOCOUPLE, {"flame": "small"}, SUPPORTED),
    ("limit_open", THERMOCOUPLE, {"limit_ohms": 0}, CONTRADICTED),
    ("limit_open", THERMOCOUPLE, {"limit_ohms": INF}, SUPPORTED),
    ("limit_open", THERMOCOUPLE, {"limit_ohms": 40}, OPEN),
    ("thermal_fuse_open", THERMOCOUPLE, {"fuse_ohms": 0.3}, CONTRADICTED),
    ("thermal_fuse_open", THERMOCOUPLE, {"fuse_ohms": INF}, SUPPORTED),
    ("thermopile_weak", THERMOCOUPLE, {}, CONTRADICTED),
    ("thermopile_weak", THERMOPILE, {"flame": "good", "millivolts_open": 290}, SUPPORTED),
    ("thermopile_weak", THERMOPILE, {"millivolts_loaded": 240}, CONTRADICTED),
    ("control_magnet", THERMOCOUPLE, {"holds_while_pressed": True}, OPEN),
    ("control_magnet", THERMOCOUPLE, {"drops_when_released": True}, OPEN),
    (
        "control_magnet",
        THERMOCOUPLE,
        {"drops_when_released": True, "millivolts_loaded": 13},
        SUPPORTED,
    ),
    ("control_magnet", THERMOCOUPLE, {"millivolts_loaded": 4}, CONTRADICTED),
    (
        "control_magnet",
        THERMOCOUPLE,
        {"millivolts_loaded": 13, "limit_ohms": INF},
        CONTRADICTED,
    ),
    ("control_magnet", THERMOCOUPLE, {"holds_while_pressed": False}, CONTRADICTED),
    ("control_magnet", THERMOCOUPLE, {"millivolts_at_drop_out": 9}, SUPPORTED),
    ("control_magnet", THERMOCOUPLE, {"millivolts_at_drop_out": 4}, OPEN),
    ("control_magnet", THERMOCOUPLE, {"millivolts_at_drop_out": 2}, CONTRADICTED),
    (
        "control_magnet",
        plate(drop_out_most_millivolts=5),
        {"millivolts_at_drop_out": 4},
        CONTRADICTED,
    ),
    ("control_magnet", plate(drop_out_most_millivolts=3), {"millivolts_at_drop_out": 4}, SUPPORTED),
    ("no_spark", THERMOCOUPLE, {"spark": "none"}, SUPPORTED),
    ("no_spark", THERMOCOUPLE, {"spark": "elsewhere"}, SUPPORTED),
    ("no_spark", THERMOCOUPLE, {"spark": "good"}, CONTRADICTED),
    ("no_spark", HOT_SURFACE, {"spark": "none"}, CONTRADICTED),
    ("no_gas", THERMOCOUPLE, {"gas_at_pilot": False}, SUPPORTED),
    ("no_gas", THERMOCOUPLE, {"flame": "small"}, CONTRADICTED),
    ("no_gas", THERMOCOUPLE, {"inlet_standing_in_wc": 0.5}, SUPPORTED),
    ("loose_connection", THERMOCOUPLE, {"joint_tight": False}, SUPPORTED),
    ("loose_connection", THERMOCOUPLE, {"joint_tight": True}, CONTRADICTED),
    ("element_misplaced", THERMOCOUPLE, {"element_seated": False}, SUPPORTED),
    ("element_fouled", THERMOCOUPLE, {"element_clean": True}, CONTRADICTED),
    ("pilot_hood_bent", THERMOCOUPLE, {"flame": "off_element"}, SUPPORTED),
    ("downdraft", THERMOCOUPLE, {"windy_or_downdraft": True}, SUPPORTED),
    ("downdraft", HOT_SURFACE, {"windy_or_downdraft": True}, CONTRADICTED),
    ("arrestor_blocked", THERMOPILE, {"arrestor_clean": False}, SUPPORTED),
    ("arrestor_blocked", THERMOCOUPLE, {"arrestor_clean": False}, CONTRADICTED),
    ("door_seal_damaged", THERMOPILE, {"door_seal_sound": True}, CONTRADICTED),
    ("vapor_sensor_tripped", THERMOPILE, {"vapor_sensor_in_range": False}, SUPPORTED),
    ("igniter_open", HOT_SURFACE, {"igniter_ohms": INF}, SUPPORTED),
    ("igniter_open", HOT_SURFACE, {"igniter_ohms": 55}, CONTRADICTED),
    ("flame_rod_fouled", HOT_SURFACE, {"flame_current_microamp": 0.3}, SUPPORTED),
    ("flame_rod_fouled", HOT_SURFACE, {"flame_current_microamp": 3}, CONTRADICTED),
    ("flame_rod_fouled", HOT_SURFACE, {"flame_current_microamp": 0}, OPEN),
    ("thermostat_drift", THERMOCOUPLE, {"outlet_f": 148}, SUPPORTED),
    ("thermostat_drift", THERMOCOUPLE, {"outlet_f": 70}, OPEN),
    ("thermostat_drift", THERMOCOUPLE, {"outlet_f": 121}, CONTRADICTED),
]


@pytest.mark.parametrize(("finding", "on", "readings", "support"), CASES)
def test_readings_grade_the_finding(
    finding: str, on: RatingPlate, readings: dict[str, object], support: Support
) -> None:
    graded = grade(Finding(finding), on, Readings.model_validate(readings), setpoint_f=125)
    assert graded.support is support
    assert bool(graded.contradicting) == (support is CONTRADICTED)
    assert graded.supporting or support is not SUPPORTED


def test_the_sentences_carry_the_value_with_its_unit() -> None:
    readings = Readings(millivolts_open=27, millivolts_loaded=13)
    worn = grade(Finding.ELEMENT_WORN, THERMOCOUPLE, readings)
    assert worn.contradicting == ("The element feeds the control well under load (13 mV).",)
    opened = grade(Finding.LIMIT_OPEN, THERMOCOUPLE, Readings(limit_ohms=INF))
    assert opened.supporting == ("The limit reads open (no end of ohms).",)


def test_the_plate_speaks_against_what_it_cannot_have() -> None:
    graded = grade(Finding.THERMOPILE_WEAK, THERMOCOUPLE, Readings())
    assert graded.contradicting == (
        "By its plate the heater has pilot thermocouple ignition; "
        '"Thermopile weak" cannot be found on it.',
    )


def test_one_more_reading_that_would_settle_it_is_named() -> None:
    open_case = grade(Finding.ELEMENT_WORN, THERMOCOUPLE, Readings())
    assert open_case.settle_next == "hold"
    after = Readings(drops_when_released=True, element_seated=True, flame="good", joint_tight=True)
    assert grade(Finding.ELEMENT_WORN, THERMOCOUPLE, after).settle_next == "millivolts_open"
    settled = grade(Finding.ELEMENT_WORN, THERMOCOUPLE, Readings(millivolts_loaded=13))
    assert settled.settle_next is None


@pytest.mark.parametrize("finding", [each for each in Finding if each is not Finding.TANK_LEAK])
def test_some_reading_can_support_and_some_contradict_every_finding(finding: Finding) -> None:
    assert any(finding in rule.supports for rule in RULES)
    assert any(finding in rule.contradicts for rule in RULES)


def test_the_table_of_rules_names_readings_and_words_that_exist() -> None:
    said = {(rule.reading, rule.says) for rule in RULES}
    assert len(said) == len(RULES), "one rule for each word of a reading"
    assert {reading for reading, _ in said} <= set(WORDS)
    assert {"holds_while_pressed"}.isdisjoint(WORDS)  # read together, as "hold"
    for rule in RULES:
        assert not rule.supports & rule.contradicts
        assert not rule.fits & (rule.supports | rule.contradicts)


def test_readings_not_taken_say_nothing() -> None:
    assert words_of(Seen(THERMOCOUPLE, Readings())) == {}
    assert set(grade_all(THERMOCOUPLE, Readings())) == set(FINDINGS)
    assert grade(Finding.TANK_LEAK, THERMOCOUPLE, Readings()).support is OPEN


@pytest.mark.parametrize(
    ("fuel", "pressure", "word"),
    [
        ("natural_gas", 4.9, "low"),
        ("natural_gas", 5.0, "good"),
        ("natural_gas", 10.5, "good"),
        ("natural_gas", 10.6, "high"),
        ("propane", 5.0, "low"),
        ("propane", 10.0, "good"),
        ("propane", 14.0, "good"),
        ("propane", 14.1, "high"),
    ],
)
def test_inlet_windows_by_fuel(fuel: str, pressure: float, word: str) -> None:
    readings = Readings(inlet_standing_in_wc=pressure)
    assert words_of(Seen(plate(fuel=fuel), readings))["inlet_standing_in_wc"] == word


@pytest.mark.parametrize(
    ("fuel", "pressure", "word"),
    [
        ("natural_gas", 3.1, "low"),
        ("natural_gas", 3.2, "good"),
        ("natural_gas", 4.4, "good"),
        ("natural_gas", 4.5, "high"),
        ("propane", 8.9, "low"),
        ("propane", 11.5, "good"),
        ("propane", 11.6, "high"),
    ],
)
def test_manifold_within_ten_percent(fuel: str, pressure: float, word: str) -> None:
    readings = Readings(manifold_in_wc=pressure)
    assert words_of(Seen(plate(fuel=fuel), readings))["manifold_in_wc"] == word


def codes(on: RatingPlate, **readings: object) -> list[str]:
    return [each.code for each in reading_cautions(on, Readings.model_validate(readings))]


def test_propane_at_5_in_wc_is_too_low_and_looks_like_natural_gas() -> None:
    (caution,) = reading_cautions(plate(fuel="propane"), Readings(inlet_standing_in_wc=5))
    assert caution.message == (
        "An inlet pressure of 5 in wc standing is too low for propane (usually 10 to 13); "
        "correct the supply before a part is blamed. It would be usual for natural gas: make "
        "sure which fuel this is."
    )
    assert caution.topic == "evidence"
    assert caution.source == "common practice, no source"


@pytest.mark.parametrize(
    ("on", "readings", "expected"),
    [
        (THERMOCOUPLE, {"inlet_standing_in_wc": 7, "inlet_flowing_in_wc": 6.5}, []),
        (THERMOCOUPLE, {"inlet_standing_in_wc": 11}, ["inlet_high"]),
        (THERMOCOUPLE, {"inlet_standing_in_wc": -1}, ["pressure_below_zero"]),
        (
            THERMOCOUPLE,
            {"inlet_standing_in_wc": 6, "inlet_flowing_in_wc": 7},
            ["flowing_above_standing"],
        ),
        (THERMOCOUPLE, {"inlet_standing_in_wc": 7, "inlet_flowing_in_wc": 4}, ["inlet_low"]),
        (
            THERMOCOUPLE,
            {"manifold_in_wc": 6, "inlet_flowing_in_wc": 5.5},
            ["manifold_high", "manifold_above_inlet"],
        ),
        (THERMOCOUPLE, {"millivolts_open": 250, "flame": "good"}, ["millivolts_not_of_class"]),
        (THERMOCOUPLE, {"millivolts_open": -12}, ["millivolts_below_zero"]),
        (THERMOCOUPLE, {"millivolts_open": 22, "millivolts_loaded": 26}, ["loaded_above_open"]),
        (THERMOCOUPLE, {"millivolts_open": 12}, ["flame_before_element"]),
        (THERMOCOUPLE, {"millivolts_open": 12, "flame": "good"}, []),
        (HOT_SURFACE, {"millivolts_open": 12}, ["millivolts_without_element"]),
        (THERMOCOUPLE, {"limit_ohms": 40, "fuse_ohms": 0}, ["circuit_between"]),
        (THERMOCOUPLE, {"limit_ohms": INF}, []),
    ],
)
def test_readings_that_cannot_be_or_are_out_of_the_usual(
    on: RatingPlate, readings: dict[str, object], expected: list[str]
) -> None:
    assert codes(on, **readings) == expected


def test_a_gas_control_named_before_cheap_causes_are_ruled_out() -> None:
    told = reading_cautions(
        THERMOCOUPLE,
        Readings(flame="good", joint_tight=True),
        Finding.CONTROL_MAGNET,
        Remedy.REPLACE_GAS_CONTROL,
    )
    assert [each.code for each in told] == ["cheap_cause_not_ruled_out", "cheap_cause_likely"]
    assert told[0].message == (
        "The gas control is the dearest part and seldom the fault. Before it is replaced, have "
        "the millivolts measured under load, the limit measured where there is one and the "
        "thermal fuse measured where there is one."
    )
    ruled_out = Readings(
        flame="good", joint_tight=True, millivolts_loaded=13, limit_ohms=0, fuse_ohms=0
    )
    assert not reading_cautions(
        THERMOCOUPLE, ruled_out, Finding.CONTROL_MAGNET, Remedy.REPLACE_GAS_CONTROL
    )


def test_a_thermostat_is_measured_before_its_control_is_replaced() -> None:
    given = (Finding.THERMOSTAT_DRIFT, Remedy.REPLACE_GAS_CONTROL)
    told = reading_cautions(THERMOCOUPLE, Readings(), *given)[0]
    assert told.code == "cheap_cause_not_ruled_out"
    assert told.message.endswith("have the water measured at the outlet.")
    assert not reading_cautions(THERMOCOUPLE, Readings(outlet_f=150), *given, setpoint_f=125)


def test_a_contradicted_finding_is_cautioned_with_its_reasons() -> None:
    (told,) = reading_cautions(
        THERMOCOUPLE, Readings(flame="good"), Finding.WEAK_PILOT, Remedy.CLEAR_PILOT
    )
    assert told.message == (
        'The readings speak against "Weak pilot flame": The pilot flame is good and wraps the '
        "element. Check the finding or measure again before a part is fitted."
    )
