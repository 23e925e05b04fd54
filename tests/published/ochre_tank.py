"""A year of two gas tanks in a stratified tank model, to hold the tank equation against.

Not run by the tests: the library wants an older NumPy and pandas than this project. Run it
in an environment of its own, with ochre-nrel 0.9.2 and pyarrow below 19; what it prints
stands in test_tank_in_simulation.py.
"""

from __future__ import annotations

import datetime as dt

import pandas as pd
from ochre.Equipment import GasWaterHeater
from ochre.utils import convert
from ochre.utils.hpxml import parse_water_heater

STEP = dt.timedelta(minutes=2)
YEAR = dt.timedelta(days=365)
START = dt.datetime(2019, 1, 1)  # noqa: DTZ001  (the library takes no zone)
NARROW_K, WIDE_K = 0.5, 5.56
# Share of a day's hot water in each hour: morning, noon and evening; common practice.
HOURS = {6: 0.15, 7: 0.20, 8: 0.10, 12: 0.05, 13: 0.05, 17: 0.10, 18: 0.15, 20: 0.12, 21: 0.08}
DRAWS = ((55.0, 58.0), (80.0, 50.0), (20.0, 65.0))  # gal/day and inlet in °F

EF_59 = {
    "TankVolume": 40,
    "EnergyFactor": 0.59,
    "RecoveryEfficiency": 0.76,
    "HeatingCapacity": 38_000,
}
UEF_64 = {
    "TankVolume": 50,
    "UniformEnergyFactor": 0.64,
    "RecoveryEfficiency": 0.80,
    "HeatingCapacity": 40_000,
    "FirstHourRating": 70.0,
}


def parsed(rated: dict[str, float]) -> dict[str, object]:
    """Return what the library makes of a rating: loss coefficient and burner efficiency."""
    return parse_water_heater(
        {
            "WaterHeaterType": "storage water heater",
            "FuelType": "natural gas",
            "Location": "living space",
            "FractionDHWLoadServed": 1,
            **rated,
        },
        {
            "WaterFixture": {"all": {}},
            "HotWaterDistribution": {"SystemType": {"Recirculation": {}}},
            "extension": {"WaterFixturesUsageMultiplier": 1.0},
        },
        {"Number of Bedrooms (-)": 3, "Number of Bedrooms, Adjusted (-)": 3},
    )


def therms(
    tank: dict[str, object], gallons_per_day: float, inlet_f: float, deadband_k: float
) -> float:
    """Return a year's gas; each hour's water runs in its first ten minutes, at 125 °F."""
    index = pd.date_range(START, START + YEAR, freq=STEP, inclusive="left")
    liters = convert(gallons_per_day, "gallon", "L")
    flow = [HOURS.get(at.hour, 0.0) * liters / 10.0 * (at.minute < 10) for at in index]
    schedule = pd.DataFrame(
        {
            "Clothes Washer (L/min)": flow,  # drawn as it comes, not mixed down
            "Mains Temperature (C)": convert(inlet_f, "degF", "degC"),
            "Zone Temperature (C)": convert(67.5, "degF", "degC"),
        },
        index=index,
    )
    heater = GasWaterHeater(
        start_time=START,
        time_res=STEP,
        duration=YEAR,
        schedule=schedule,
        save_results=False,
        water_nodes=12,
        **{**tank, "Deadband Temperature (C)": deadband_k},
    )
    results = heater.simulate()
    column = next(name for name in results.columns if "Gas Power" in name)
    return float(results[column].sum()) * STEP / dt.timedelta(hours=1)


if __name__ == "__main__":
    for name, rated in (("EF .59", EF_59), ("UEF .64", UEF_64)):
        tank = parsed(rated)
        print(name, tank["UA (W/K)"], tank["Efficiency (-)"])
        for gallons, inlet in DRAWS:
            for deadband in (WIDE_K, NARROW_K):
                print(gallons, inlet, deadband, f"{therms(tank, gallons, inlet, deadband):.3f}")
