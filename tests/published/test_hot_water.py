"""Hot water of the busiest hour against the sizing worksheet, and flow against steam tables."""

from __future__ import annotations

import pytest
from CoolProp.CoolProp import PropsSI
from iapws import IAPWS97

from estimator.heater import Household
from estimator.hot_water import (
    RATED_RISE_F,
    PeakHour,
    coldest_inlet_f,
    flow_at_rise_gpm,
    hot_water,
    peak_flow_gpm,
    peak_hour_gal,
)
from estimator.units import celsius, fahrenheit
from tests.published.row import Printed, rows

WORKSHEET = "US DOE sizing worksheet for storage water heaters, from memory"
APPENDIX_E = "10 CFR 430 subpart B appendix E"


def hour_gal(**uses: int) -> float:
    return peak_hour_gal(PeakHour(**uses))


@rows(
    Printed("one shower", hour_gal, (), "20", WORKSHEET, {"showers": 1}),
    Printed("one shave", hour_gal, (), "2", WORKSHEET, {"shaves": 1}),
    Printed("dishes by hand", hour_gal, (), "3", WORKSHEET, {"hand_dishwashings": 1}),
    Printed("a dishwasher load", hour_gal, (), "7", WORKSHEET, {"dishwasher_loads": 1}),
    Printed("a clothes washer load", hour_gal, (), "7", WORKSHEET, {"clothes_washer_loads": 1}),
    Printed(
        "three showers, a shave and dishes by hand",
        hour_gal,
        (),
        "65",
        f"{WORKSHEET}: 3 x 20 + 2 + 3, by hand",
        {"showers": 3, "shaves": 1, "hand_dishwashings": 1},
    ),
)
def test_peak_hour_against_the_doe_worksheet(row: Printed) -> None:
    row.check()


@rows(
    Printed("rise of the rating", lambda: RATED_RISE_F, (), "67", APPENDIX_E),
    Printed("flow at the rise of the rating", flow_at_rise_gpm, (4.8, 67), "4.8", APPENDIX_E),
    Printed(
        "one shower where all the water is hot",
        peak_flow_gpm,
        (PeakHour(showers=1), 105, 50),
        "2.5",
        "10 CFR 430.32(p), memory: 2.5 gal/min at most",
    ),
)
def test_flow_against_10_cfr_430(row: Printed) -> None:
    row.check()


def heat_kj_per_kg(library: str, fahrenheit_: float) -> float:
    kelvin = celsius(fahrenheit_) + 273.15
    if library == "iapws":
        return float(IAPWS97(T=kelvin, P=0.4).h)
    return float(PropsSI("H", "T", kelvin, "P", 400_000, "Water")) / 1000


@pytest.mark.parametrize("library", ["CoolProp", "iapws"])
@pytest.mark.parametrize(("setpoint", "inlet"), [(120, 40), (125, 58), (140, 70)])
def test_hot_share_of_a_shower_against_the_steam_tables(
    library: str, setpoint: float, inlet: float
) -> None:
    """Enthalpies of hot and cold that mix to 105 °F; ours takes specific heat as one number."""
    hot, cold, mixed = (heat_kj_per_kg(library, at) for at in (setpoint, inlet, 105))
    ours = peak_flow_gpm(PeakHour(showers=1), setpoint, inlet) / 2.5
    assert ours == pytest.approx((mixed - cold) / (hot - cold), rel=2e-3)


@pytest.mark.parametrize("library", ["CoolProp", "iapws"])
@pytest.mark.parametrize("inlet", [38, 50, 75])
def test_flow_at_another_rise_against_the_steam_tables(library: str, inlet: float) -> None:
    """The same heat into colder or warmer water, from enthalpies at 125 °F and the inlet."""
    rated = heat_kj_per_kg(library, 125) - heat_kj_per_kg(library, 58)
    now = heat_kj_per_kg(library, 125) - heat_kj_per_kg(library, inlet)
    assert flow_at_rise_gpm(4.8, 125 - inlet) == pytest.approx(4.8 * rated / now, rel=3e-3)


def test_coldest_water_against_burch_and_christensen() -> None:
    """Mean less amplitude: 9.69 °C and 28.1 °C swing give 13.02 °C less .4 + .01(49.44 - 44)."""
    home = Household(air_mean_f=fahrenheit(9.69), air_swing_f=28.1 * 1.8)
    amplitude = (0.4 + 0.01 * (49.442 - 44)) * 28.1 * 1.8 / 2
    assert coldest_inlet_f(home) == pytest.approx(49.442 + 6 - amplitude, abs=0.01)


def test_a_tank_against_the_doe_worksheet() -> None:
    """The worksheet's rule: a first-hour rating that matches the busiest hour."""
    hour = PeakHour(showers=3, shaves=1, hand_dishwashings=1)
    ratings = {
        gal: hot_water(Household(), hour, gal, None, instantaneous=False) for gal in (64, 66)
    }
    assert (ratings[64].enough, ratings[66].enough) == (False, True)
