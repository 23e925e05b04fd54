"""Constants of conversion, each with its source.

Notes
-----
`WATER_DENSITY_LB_PER_GAL` and `WATER_SPECIFIC_HEAT_BTU_PER_LB_F` are the pair that the
water heater analysis model was published with. The density is that of water at about
96.5 °F, midway between 58 and 135 °F. The specific heat is 0.3 % above the steam tables;
it stays, because ratings are turned into a fuel UA and back with the same pair and the
difference cancels there.
"""

from __future__ import annotations

WATER_DENSITY_LB_PER_GAL = 8.293752
"""Density of water [lb/gal]. LBNL water heater analysis model documentation."""

WATER_SPECIFIC_HEAT_BTU_PER_LB_F = 1.000743
"""Specific heat of water [Btu/(lb·°F)]. LBNL water heater analysis model documentation."""

WATER_HEAT_BTU_PER_GAL_F = WATER_DENSITY_LB_PER_GAL * WATER_SPECIFIC_HEAT_BTU_PER_LB_F
"""Heat that warms one gallon by one degree [Btu/(gal·°F)]."""

BTU_PER_KWH = 3_412.0
"""Site energy of electricity [Btu/kWh]. 16 CFR 305 appendix."""

BTU_PER_THERM = 100_000.0
"""Energy of a therm [Btu/therm]. 16 CFR 305 appendix."""

BTU_PER_FT3_NATURAL_GAS = 1_023.0
"""Heating value of natural gas [Btu/ft³]. 16 CFR 305 appendix."""

BTU_PER_GAL_PROPANE = 91_333.0
"""Heating value of propane [Btu/gal]. 16 CFR 305 appendix."""

BTU_PER_MMBTU = 1_000_000.0
"""A million Btu [Btu/MMBtu]; by definition."""

HOURS_PER_DAY = 24.0
"""Hours in a day [h/day]; by definition."""

BILLING_DAYS_PER_YEAR = 365.0
"""Days of use in a year [day/yr]. 10 CFR 430.23(e). Ages use 365.25 instead."""

PA_PER_IN_WC = 249.08891
"""Pressure of a conventional inch of water column [Pa/in wc]. NIST SP 811."""

KG_PER_LB = 0.45359237
"""Mass of a pound [kg/lb], exact. NIST SP 811."""


def fahrenheit(celsius: float) -> float:
    """Turn a temperature from Celsius into Fahrenheit.

    Parameters
    ----------
    celsius
        Temperature [°C].

    Returns
    -------
    Temperature [°F].

    References
    ----------
    NIST SP 811, appendix B.
    """
    return celsius * 1.8 + 32.0


def celsius(fahrenheit: float) -> float:
    """Turn a temperature from Fahrenheit into Celsius.

    Parameters
    ----------
    fahrenheit
        Temperature [°F].

    Returns
    -------
    Temperature [°C].

    References
    ----------
    NIST SP 811, appendix B.
    """
    return (fahrenheit - 32.0) / 1.8
