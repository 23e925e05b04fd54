"""The cautions that every quote carries."""

from __future__ import annotations

from datetime import date

import pytest

from estimator.cautions import Caution
from estimator.findings import Remedy
from estimator.heater import Chamber, Fuel, Household, Ignition, Location, RatingPlate, Site
from estimator.safety import safety_cautions

ALWAYS = {
    "licensed_work",
    "leak_test",
    "relief_valve",
    "scald",
    "venting_and_air",
    "permit",
    "co_alarm",
}


def cautions(
    remedy: str = "replace_element",
    site: Site | None = None,
    setpoint_f: float = 125,
    chamber: Chamber = Chamber.OPEN,
) -> dict[str, Caution]:
    plate = RatingPlate(
        fuel=Fuel.NATURAL_GAS,
        tank_volume_gal=40,
        input_btu_per_h=38_000,
        ignition=Ignition.PILOT_THERMOCOUPLE,
        chamber=chamber,
        manufactured=date(2016, 5, 1),
    )
    told = safety_cautions(plate, site or Site(), Household(setpoint_f=setpoint_f), Remedy(remedy))
    assert len({each.code for each in told}) == len(told)
    return {each.code: each for each in told}


@pytest.mark.parametrize("remedy", [each.value for each in Remedy if "flame_rod" not in each])
def test_every_quote_carries_these(remedy: str) -> None:
    assert set(cautions(remedy)) >= ALWAYS


def test_every_caution_has_a_source_and_is_a_sentence() -> None:
    site = Site(location=Location.GARAGE, seismic_zone=True)
    told = cautions(site=site, chamber=Chamber.SEALED)
    assert set(told) == ALWAYS | {
        "thermal_expansion",
        "sealed_chamber",
        "garage",
        "seismic_straps",
    }
    for caution in told.values():
        assert caution.source
        assert caution.message.endswith(".")
        assert caution.topic == "safety"


@pytest.mark.parametrize(
    ("closed", "tank", "words"),
    [
        (None, None, "Look for a check valve"),
        (None, False, "Look for a check valve"),
        (True, None, "Look for a check valve"),
        (True, False, "is closed and has no expansion tank"),
        (True, True, None),
        (False, None, None),
        (None, True, None),
    ],
)
def test_thermal_expansion_by_what_is_known(
    closed: bool | None, tank: bool | None, words: str | None
) -> None:
    told = cautions(site=Site(closed_water_system=closed, expansion_tank=tank))
    if words is None:
        assert "thermal_expansion" not in told
    else:
        assert words in told["thermal_expansion"].message


@pytest.mark.parametrize(
    ("setpoint_f", "words"),
    [
        (110, "At 120 °F water can still burn in about 5 minutes"),
        (120, "At 120 °F water can still burn in about 5 minutes"),
        (121, "Water at 121 °F can burn in 30 seconds or little more"),
        (125, "Set the thermostat to 120 °F"),
        (141, "in 2 seconds"),
        (160, "in under 2 seconds"),
    ],
)
def test_scald_words_by_set_point(setpoint_f: float, words: str) -> None:
    assert words in cautions(setpoint_f=setpoint_f)["scald"].message


def test_leak_test_never_with_a_flame() -> None:
    assert "never with a flame" in cautions()["leak_test"].message
    assert "leak_test" not in cautions("clean_flame_rod")


def test_permit_words_by_what_is_done() -> None:
    assert "A new heater needs a permit" in cautions("replace_heater")["permit"].message
    assert "some ask for one to replace a gas part" in cautions()["permit"].message
    assert "gas part" not in cautions("clean_element")["permit"].message


def test_a_small_room_needs_air() -> None:
    small = cautions(site=Site(location=Location.CLOSET))["venting_and_air"].message
    assert "small room needs openings" in small
    assert "small room" not in cautions()["venting_and_air"].message
