"""Stops: each alone, together, and none where none is due."""

from __future__ import annotations

from datetime import date

import pytest

from estimator.findings import Finding, Hazards, Readings, Remedy
from estimator.heater import Chamber, Fuel, Ignition, RatingPlate
from estimator.stops import stops_for


def plate(chamber: Chamber = Chamber.OPEN) -> RatingPlate:
    return RatingPlate(
        fuel=Fuel.NATURAL_GAS,
        tank_volume_gal=40,
        input_btu_per_h=38_000,
        ignition=Ignition.PILOT_THERMOCOUPLE,
        chamber=chamber,
        manufactured=date(2016, 5, 1),
    )


def codes(
    finding: str = "element_worn",
    remedy: str = "replace_element",
    chamber: Chamber = Chamber.OPEN,
    listed: bool | None = None,
    readings: Readings | None = None,
    **hazards: bool,
) -> list[str]:
    stops = stops_for(
        Finding(finding),
        Remedy(remedy),
        plate(chamber),
        readings or Readings(),
        Hazards(**hazards),
        listed,
    )
    return [stop.code for stop in stops]


def test_no_stop_where_none_is_due() -> None:
    assert codes() == []
    assert codes(chamber=Chamber.SEALED, listed=False) == []


@pytest.mark.parametrize(
    ("hazard", "code", "closes_replacement"),
    [
        ("gas_odor", "gas_odor", True),
        ("control_under_water", "control_under_water", False),
        ("tank_leaks", "tank_leak", False),
        ("flue_spills_or_co", "flue_spills_or_co", True),
        ("flame_roll_out", "flame_roll_out", False),
        ("wrong_fuel", "wrong_fuel", False),
    ],
)
def test_each_hazard_is_a_stop(hazard: str, code: str, closes_replacement: bool) -> None:
    (stop,) = stops_for(
        Finding.ELEMENT_WORN,
        Remedy.REPLACE_ELEMENT,
        plate(),
        Readings(),
        Hazards(**{hazard: True}),
    )
    assert stop.code == code
    assert stop.closes_replacement is closes_replacement
    assert stop.source
    assert stop.what_to_do.endswith(".")
    assert not stop.why.endswith(".")


def test_gas_odor_says_to_leave_first_of_all() -> None:
    everything = dict.fromkeys(Hazards.model_fields, True)
    stops = stops_for(
        Finding.TANK_LEAK,
        Remedy.REPLACE_HEATER,
        plate(Chamber.SEALED),
        Readings(inlet_standing_in_wc=20),
        Hazards(**everything),
        False,
    )
    assert stops[0].code == "gas_odor"
    assert stops[0].what_to_do.startswith("Leave the house now, touch no switch")
    assert len({stop.code for stop in stops}) == len(stops) == 8


def test_a_leak_is_a_stop_as_a_finding_too_and_once() -> None:
    assert codes("tank_leak", "replace_heater") == ["tank_leak"]
    assert codes("tank_leak", "replace_heater", tank_leaks=True) == ["tank_leak"]


@pytest.mark.parametrize(
    ("finding", "remedy"),
    [
        ("limit_open", "reset_limit"),
        ("limit_open", "replace_limit"),
        ("thermal_fuse_open", "replace_fuse"),
        ("thermal_fuse_open", "replace_gas_control"),
    ],
)
def test_an_opened_limit_or_fuse_needs_its_cause(finding: str, remedy: str) -> None:
    assert codes(finding, remedy) == ["opened_cause_not_found"]
    blank = Readings(opened_cause="  ")
    assert codes(finding, remedy, readings=blank) == ["opened_cause_not_found"]
    found = Readings(opened_cause="Arrestor clogged with lint; cleaned")
    assert codes(finding, remedy, readings=found) == []


def test_a_limit_that_reads_open_needs_its_cause_whatever_is_blamed() -> None:
    opened = Readings(limit_ohms=float("inf"))
    assert codes(readings=opened) == ["opened_cause_not_found"]
    assert codes(readings=Readings(fuse_ohms=5000)) == ["opened_cause_not_found"]
    assert codes(readings=Readings(limit_ohms=0, fuse_ohms=0.4)) == []


@pytest.mark.parametrize("when", ["inlet_standing_in_wc", "inlet_flowing_in_wc"])
def test_an_inlet_above_14_in_wc_closes_both_paths(when: str) -> None:
    assert codes(readings=Readings(**{when: 14.0})) == []
    assert codes(readings=Readings(**{when: 14.2})) == ["inlet_above_14_in_wc"]


def test_a_broken_sealed_chamber_hangs_on_the_listed_part() -> None:
    sealed = Chamber.SEALED
    assert codes(chamber=sealed, sealed_chamber_broken=True, listed=True) == []
    assert codes(chamber=sealed, sealed_chamber_broken=True, listed=False) == [
        "sealed_chamber_broken"
    ]
    assert codes(chamber=sealed, sealed_chamber_broken=True) == ["sealed_chamber_part_not_known"]


def test_a_damaged_door_seal_with_no_listed_kit_is_a_broken_chamber() -> None:
    seal = ("door_seal_damaged", "replace_door_kit", Chamber.SEALED)
    assert codes(*seal, False) == ["sealed_chamber_broken"]
    assert codes(*seal, True) == []
    assert codes(*seal, None) == []
