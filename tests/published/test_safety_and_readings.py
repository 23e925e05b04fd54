"""Safety words and reading thresholds against what is published. Source beside each."""

from __future__ import annotations

from datetime import date

import pytest
from scipy import constants

from estimator.findings import Finding, Hazards, Readings, Remedy
from estimator.heater import Fuel, Household, Ignition, RatingPlate, Site
from estimator.reading_words import INLET
from estimator.safety import SCALD_SECONDS, safety_cautions, scald_time_s
from estimator.stops import INLET_LIMIT_IN_WC, stops_for

PLATE = RatingPlate(
    fuel=Fuel.NATURAL_GAS,
    tank_volume_gal=40,
    input_btu_per_h=38_000,
    ignition=Ignition.PILOT_THERMOCOUPLE,
    manufactured=date(2016, 5, 1),
)
PA_PER_IN_WC = 249.08891  # NIST SP 811, conventional inch of water


@pytest.mark.parametrize(
    ("water_f", "seconds"),
    [(150, 2), (140, 6), (130, 30), (120, 5 * 60)],
)
def test_scald_time_against_cpsc_5098(water_f: int, seconds: int) -> None:
    # CPSC publication 5098, Avoiding Tap Water Scalds
    assert scald_time_s(water_f) == seconds


def test_scald_time_between_printed_rows_never_longer_than_printed() -> None:
    for lower, upper in ((120, 130), (130, 140), (140, 150)):
        for water_f in range(lower + 1, upper + 1):
            assert scald_time_s(water_f) == SCALD_SECONDS[upper]
    assert scald_time_s(150.1) is None


@pytest.mark.parametrize(
    ("setpoint_f", "words"),
    [(120, "5 minutes"), (130, "30 seconds"), (140, "6 seconds"), (150, "2 seconds")],
)
def test_scald_caution_against_cpsc_5098(setpoint_f: int, words: str) -> None:
    told = safety_cautions(PLATE, Site(), Household(setpoint_f=setpoint_f), Remedy.REPLACE_ELEMENT)
    scald = next(caution for caution in told if caution.code == "scald")
    assert words in scald.message
    assert "5098" in scald.source


def test_relief_valve_caution_against_24_cfr_3280_609() -> None:
    told = safety_cautions(PLATE, Site(), Household(), Remedy.REPLACE_ELEMENT)
    relief = next(caution for caution in told if caution.code == "relief_valve")
    assert "150 psi" in relief.message  # 24 CFR 3280.609(c)
    assert "210 °F" in relief.message
    assert "3280.609" in relief.source


def test_inlet_limit_against_half_a_pound_per_square_inch() -> None:
    # 14 in wc is nominally half a psi; 1 in wc = 249.08891 Pa (NIST SP 811); psi from CODATA/scipy
    in_psi = INLET_LIMIT_IN_WC * PA_PER_IN_WC / constants.psi
    assert in_psi == pytest.approx(0.5, abs=0.01)


def test_inlet_limit_against_24_cfr_3280_705() -> None:
    # 24 CFR 3280.705: supply pressure of 7 to 14 in wc
    def stops_at(pressure: float) -> list[str]:
        readings = Readings(inlet_standing_in_wc=pressure)
        given = (Finding.ELEMENT_WORN, Remedy.REPLACE_ELEMENT, PLATE, readings, Hazards())
        return [stop.code for stop in stops_for(*given)]

    assert stops_at(14.0) == []
    assert stops_at(14.01) == ["inlet_above_14_in_wc"]
    assert max(window.plate_high for window in INLET.values()) <= 14.0


def test_flooded_control_against_cpsc_01_134() -> None:
    # CPSC 1993 safety alert and release 01-134: replace a gas control that was under water
    stops = stops_for(
        Finding.ELEMENT_WORN,
        Remedy.REPLACE_ELEMENT,
        PLATE,
        Readings(),
        Hazards(control_under_water=True),
    )
    assert [stop.code for stop in stops] == ["control_under_water"]
    assert "replaced, never dried out" in stops[0].what_to_do
    assert "01-134" in stops[0].source
    assert "1993" in stops[0].source
