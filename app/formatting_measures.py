"""Measures, energy and times as text, in the units of the US or of the SI."""

from __future__ import annotations

import math
from dataclasses import dataclass
from decimal import Decimal
from typing import Final

from app.formatting_numbers import Number, Numbers

US, SI = "us", "si"
UNITS: Final = (US, SI)

# Exact by definition (NIST SP 811) or as the estimator converts energy: a therm of
# 100,000 Btu and a kilowatt-hour of 3,412 Btu (16 CFR 305 appendix).
LITERS_PER_GAL = 3.785411784
KWH_PER: Final[dict[str, float]] = {"therm": 100_000 / 3_412, "gallon": 91_333 / 3_412}
"""Unit in which a fuel is billed → kilowatt-hours in one; a gallon is of propane."""
CM_PER_IN = 2.54
M3_PER_FT3 = 0.028316846592
KPA_PER_IN_WC = 0.24908891
KW_PER_BTU_PER_H = 1 / 3_412

UNIT_WORDS: Final[dict[str, dict[str, tuple[str, str]]]] = {
    "en": {
        "year": ("year", "years"),
        "month": ("month", "months"),
        "hour": ("hour", "hours"),
        "gallon": ("gallon", "gallons"),
        "liter": ("liter", "liters"),
        "therm": ("therm", "therms"),
        "kWh": ("kWh", "kWh"),
        "under_a_month": ("less than a month", "less than a month"),
        "per": ("per", "per"),
    },
    "es": {
        "year": ("año", "años"),
        "month": ("mes", "meses"),
        "hour": ("hora", "horas"),
        "gallon": ("galón", "galones"),
        "liter": ("litro", "litros"),
        "therm": ("termia", "termias"),
        "kWh": ("kWh", "kWh"),
        "under_a_month": ("menos de un mes", "menos de un mes"),
        "per": ("por", "por"),
    },
}


@dataclass(frozen=True)
class Measures(Numbers):
    """How measures are written in one language and one system of units.

    Parameters
    ----------
    units
        ``us`` or ``si``.

    Raises
    ------
    ValueError
        If language or units are not known.
    """

    units: str = US

    def __post_init__(self) -> None:
        super().__post_init__()
        if self.units not in UNITS:
            raise ValueError(f"Units {self.units!r} are not one of {', '.join(UNITS)}")

    @property
    def si(self) -> bool:
        """Whether measures are written in SI units."""
        return self.units == SI

    def energy_price(self, amount: Number, unit: str) -> str:
        """Write a price of energy.

        Parameters
        ----------
        amount
            The price of one unit [USD].
        unit
            Its name: therm, gallon (of propane) or kWh. In SI units both fuels are
            priced by the kilowatt-hour.

        Returns
        -------
        The text, such as ``$1.52 per therm``; below 50 cents with a third decimal.
        """
        if self.si and unit in KWH_PER:
            amount, unit = float(amount) / KWH_PER[unit], "kWh"
        decimals = 2 if amount >= Decimal("0.5") else 3
        return f"{self._dollars(amount, decimals)} {self.word('per')} {self.word(unit)}"

    def energy(self, amount: Number, unit: str) -> str:
        """Write an amount of energy.

        Parameters
        ----------
        amount
            Energy, in `unit`.
        unit
            therm, gal (of propane) or kWh, with or without "/yr".

        Returns
        -------
        The text, such as ``176 therms``; kilowatt-hours in SI units.
        """
        name = {"gal": "gallon"}.get(unit.removesuffix("/yr"), unit.removesuffix("/yr"))
        if self.si and name in KWH_PER:
            amount, name = float(amount) * KWH_PER[name], "kWh"
        return self._counted(self.number(amount), name)

    def volume(self, gallons: Number) -> str:
        """Write a volume of water.

        Parameters
        ----------
        gallons
            The volume [gal].

        Returns
        -------
        The text, such as ``40 gallons``, or ``151 liters`` in SI units.
        """
        if self.si:
            return self._counted(self.number(float(gallons) * LITERS_PER_GAL), "liter")
        return self._counted(self.number(gallons, 1, trim=True), "gallon")

    def temperature(self, value: Number, decimals: int = 0) -> str:
        """Write a temperature.

        Parameters
        ----------
        value
            The temperature [°F].
        decimals
            Most digits after the point; zeros at the end are left out.

        Returns
        -------
        The text, such as ``120 °F``, or ``49 °C`` in SI units.
        """
        if self.si:
            return f"{self.number((float(value) - 32) / 1.8, decimals, trim=True)} °C"
        return f"{self.number(value, decimals, trim=True)} °F"

    def measure(self, value: Number, unit: str, decimals: int = 0) -> str:
        """Write a measure that has a short unit.

        Parameters
        ----------
        value
            How much, in `unit`.
        unit
            in, in wc, ft³ or Btu/h; any other is written as it is.
        decimals
            Most digits after the point in `unit`; zeros at the end are left out.

        Returns
        -------
        The text, such as ``7.1 in wc``, or ``1.77 kPa`` in SI units.
        """
        turned = {
            "in": (CM_PER_IN, "cm", 1),
            "in wc": (KPA_PER_IN_WC, "kPa", 2),
            "ft³": (M3_PER_FT3, "m³", 1),
            "Btu/h": (KW_PER_BTU_PER_H, "kW", 1),
        }
        if self.si and unit in turned:
            factor, unit, decimals = turned[unit]
            value = float(value) * factor
        return f"{self.number(value, decimals, trim=True)} {unit}"

    def hours(self, value: Number) -> str:
        """Write a time of work.

        Parameters
        ----------
        value
            The time [h].

        Returns
        -------
        The text, such as ``1.5 hours``.
        """
        return self._counted(self.number(value, 2, trim=True), "hour")

    def years(self, value: Number, decimals: int = 0) -> str:
        """Write a time in years.

        Parameters
        ----------
        value
            The time [yr].
        decimals
            Digits after the point.

        Returns
        -------
        The text, such as ``12 years`` or ``8.4 years``.
        """
        return self._counted(self.number(value, decimals), "year")

    def age(self, value: float) -> str:
        """Write the age of a heater the way a person says it.

        Parameters
        ----------
        value
            The age [yr], zero or more.

        Returns
        -------
        Whole years, or months below one year: ``11 years``, ``5 months``.

        Notes
        -----
        Rounded down, as ages are.
        """
        if value >= 1:
            return self.years(math.floor(value))
        months = math.floor(value * 12)
        if months < 1:
            return self.word("under_a_month")
        return self._counted(str(months), "month")

    def word(self, name: str) -> str:
        """Return a unit's name in the singular; a unit that has none stays as it is."""
        return UNIT_WORDS[self.language].get(name, (name, name))[0]

    def _counted(self, text: str, name: str) -> str:
        one, many = UNIT_WORDS[self.language].get(name, (name, name))
        return f"{text} {one if text == '1' else many}"
