"""From a uniform energy factor to an energy factor, and back."""

from __future__ import annotations

from typing import Literal

from estimator.heater import HeaterClass

Metric = Literal["EF", "UEF"]

_EF_LINES: dict[HeaterClass, tuple[float, float]] = {
    HeaterClass.GAS_STORAGE: (0.9066, 0.0711),
    HeaterClass.GAS_STORAGE_CONDENSING: (0.9066, 0.0711),
    HeaterClass.GAS_INSTANTANEOUS: (1.0, 0.0),
    HeaterClass.HEAT_PUMP: (1.2101, -0.6052),
    HeaterClass.ELECTRIC_STORAGE: (2.4029, -1.2844),
}


def ef_from_uef(heater_class: HeaterClass, uef: float) -> float:
    """Return the energy factor that goes with a uniform energy factor.

    Parameters
    ----------
    heater_class
        Kind of heater.
    uef
        Uniform energy factor [1].

    Returns
    -------
    Energy factor [1].

    Notes
    -----
    Straight lines fitted to rated models: good to about 0.02 within the range of the
    models of 2017, and no further.

    References
    ----------
    RESNET energy factor calculator, 2017.
    """
    slope, intercept = _EF_LINES[heater_class]
    return slope * uef + intercept


def uef_from_ef(heater_class: HeaterClass, ef: float) -> float:
    """Return the uniform energy factor that goes with an energy factor.

    Parameters
    ----------
    heater_class
        Kind of heater.
    ef
        Energy factor [1].

    Returns
    -------
    Uniform energy factor [1]: the inverse of `ef_from_uef`, with its limits.

    References
    ----------
    RESNET energy factor calculator, 2017.
    """
    slope, intercept = _EF_LINES[heater_class]
    return (ef - intercept) / slope
