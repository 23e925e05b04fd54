"""Lives of heaters: Weibull with delay, survival, and the mean life left.

Notes
-----
``S(x) = 1`` up to the delay, then ``exp(-((x - delay)/scale)**shape)``: the form that the
appliance models of US DOE and EIA use. All that is asked of a heater of some age goes
through differences of the exponent, so that an age far past any life still gives a
number and never 0/0.

References
----------
NIST/SEMATECH e-Handbook of Statistical Methods, 8.1.6.2.
"""

from __future__ import annotations

from typing import Annotated, overload

import numpy as np
from numpy.typing import ArrayLike, NDArray
from pydantic import BaseModel, ConfigDict, Field
from scipy.special import gamma

from estimator.heater import HeaterClass

Floats = NDArray[np.float64]

_SERIES_BELOW, _SERIES_TERMS = 2.0, 26
_FRACTION_TERMS = 40
_LARGEST = 1e300  # stands for an exponent that overflows


class LifeDistribution(BaseModel):
    """Weibull life with a delay: nothing fails before `delay_years`.

    `shape` is dimensionless; `scale_years` and `delay_years` [yr]. `source` says where
    the numbers come from.
    """

    model_config = ConfigDict(frozen=True, extra="forbid")

    shape: Annotated[float, Field(gt=0.2, le=20, allow_inf_nan=False)]
    scale_years: Annotated[float, Field(gt=0, le=200, allow_inf_nan=False)]
    delay_years: Annotated[float, Field(ge=0, le=50, allow_inf_nan=False)] = 0.0
    source: str = ""


_MEAN_13 = (
    "mean life 13 yr: US DOE 2010 technical support document, from memory; "
    "shape and delay: common practice, no source"
)
_MEAN_20 = (
    "mean life 20 yr: US DOE technical support documents, from memory; "
    "shape and delay: common practice, no source"
)

DEFAULT_LIVES: dict[HeaterClass, LifeDistribution] = {
    HeaterClass.GAS_STORAGE: LifeDistribution(
        shape=2.0, scale_years=13.54, delay_years=1.0, source=_MEAN_13
    ),
    HeaterClass.GAS_STORAGE_CONDENSING: LifeDistribution(
        shape=2.0,
        scale_years=13.54,
        delay_years=1.0,
        source=f"taken as for a conventional gas tank, no source of its own; {_MEAN_13}",
    ),
    HeaterClass.GAS_INSTANTANEOUS: LifeDistribution(
        shape=2.0, scale_years=21.44, delay_years=1.0, source=_MEAN_20
    ),
    HeaterClass.HEAT_PUMP: LifeDistribution(
        shape=2.0, scale_years=13.54, delay_years=1.0, source=_MEAN_13
    ),
    HeaterClass.ELECTRIC_STORAGE: LifeDistribution(
        shape=2.0, scale_years=13.54, delay_years=1.0, source=_MEAN_13
    ),
}
"""Life of each class of heater [yr] where the shop has not fitted its own."""


@overload
def survival(life: LifeDistribution, age: float) -> float: ...
@overload
def survival(life: LifeDistribution, age: Floats) -> Floats: ...
def survival(life: LifeDistribution, age: ArrayLike) -> float | Floats:
    """Return the share of new heaters that reach an age.

    Parameters
    ----------
    life
        Weibull with delay.
    age
        Age [yr], a number or an array of any shape.

    Returns
    -------
    Survival [1], of the shape of `age`.

    References
    ----------
    NIST/SEMATECH e-Handbook of Statistical Methods, 8.1.6.2.
    """
    return _as_given(np.exp(-_exponent(life, age)), age)


@overload
def conditional_survival(life: LifeDistribution, age: float, years: float) -> float: ...
@overload
def conditional_survival(life: LifeDistribution, age: ArrayLike, years: Floats) -> Floats: ...
@overload
def conditional_survival(life: LifeDistribution, age: Floats, years: ArrayLike) -> Floats: ...
def conditional_survival(
    life: LifeDistribution, age: ArrayLike, years: ArrayLike
) -> float | Floats:
    """Return the chance that a heater alive at an age lives some years more.

    Parameters
    ----------
    life
        Weibull with delay.
    age
        Age at which it is alive [yr].
    years
        Further years [yr], 0 or more; `age` and `years` broadcast.

    Returns
    -------
    ``S(age + years)/S(age)`` [1], of the broadcast shape.

    Notes
    -----
    Computed as the exponential of a difference of exponents: it holds at ages where both
    survivals are below the smallest float.

    References
    ----------
    NIST/SEMATECH e-Handbook of Statistical Methods, 8.1.6.2.
    """
    before = np.asarray(age, dtype=np.float64) - life.delay_years
    past = np.maximum(before, 0.0)
    further = np.maximum(before + np.asarray(years, dtype=np.float64), 0.0) - past
    spent = _exponent_gained(life, past, further)
    return _as_given(np.exp(-spent), spent)


@overload
def mean_life_left(life: LifeDistribution, age: float) -> float: ...
@overload
def mean_life_left(life: LifeDistribution, age: Floats) -> Floats: ...
def mean_life_left(life: LifeDistribution, age: ArrayLike) -> float | Floats:
    r"""Return the mean further life of a heater alive at an age.

    Parameters
    ----------
    life
        Weibull with delay.
    age
        Age [yr], 0 or more, a number or an array of any shape.

    Returns
    -------
    Mean life left [yr], of the shape of `age`.

    Notes
    -----
    ``(scale/shape) exp(z) Gamma(1/shape, z)`` with ``z = ((age - delay)/scale)**shape``
    past the delay; before it, the time to the delay plus the mean life at the delay. The
    upper incomplete gamma function comes from a power series below ``z = 2`` and from a
    continued fraction beyond, right to about 1e-13; so a column of a million ages takes
    hundredths of a second.

    References
    ----------
    NIST Digital Library of Mathematical Functions, 8.2.2, 8.7.1, 8.8.2 and 8.9.2 (its even
    part); from memory.
    """
    ages = np.asarray(age, dtype=np.float64)
    waiting = np.maximum(life.delay_years - ages, 0.0)
    spent = np.atleast_1d(_exponent(life, ages))
    left = _scaled_upper_gamma(1.0 / life.shape, spent).reshape(ages.shape)
    return _as_given(waiting + life.scale_years / life.shape * left, age)


def mean_life(life: LifeDistribution) -> float:
    """Return the mean life of a new heater.

    Parameters
    ----------
    life
        Weibull with delay.

    Returns
    -------
    Mean life [yr].

    References
    ----------
    NIST/SEMATECH e-Handbook of Statistical Methods, 8.1.6.2.
    """
    return float(life.delay_years + life.scale_years * gamma(1.0 + 1.0 / life.shape))


def _exponent(life: LifeDistribution, age: ArrayLike) -> Floats:
    """Return minus the logarithm of survival."""
    past = np.maximum(np.asarray(age, dtype=np.float64) - life.delay_years, 0.0)
    with np.errstate(over="ignore"):
        return np.asarray((past / life.scale_years) ** life.shape, dtype=np.float64)


def _exponent_gained(life: LifeDistribution, past: Floats, further: Floats) -> Floats:
    """Return what the exponent gains over `further` years after `past` years beyond the delay.

    The plain difference where the exponent at least doubles its argument; else a form that
    keeps its digits when both exponents are huge and near to each other.
    """
    near = further < past
    base = np.where(near, past, 1.0)
    with np.errstate(over="ignore", invalid="ignore"):
        small = (base / life.scale_years) ** life.shape
        small = small * np.expm1(life.shape * np.log1p(np.where(near, further, 0.0) / base))
        start, end = past / life.scale_years, (past + further) / life.scale_years
        large = end**life.shape - start**life.shape
    gained = np.where(near, small, np.where(np.isnan(large), np.inf, large))
    return np.asarray(np.where(further > 0, np.maximum(gained, 0.0), 0.0))


def _scaled_upper_gamma(a: float, z: Floats) -> Floats:
    """Return ``exp(z) Gamma(a, z)`` for a above 0 without overflow at large z."""
    if a > 1.0:
        return np.asarray((a - 1.0) * _scaled_upper_gamma(a - 1.0, z) + z ** (a - 1.0))
    near = np.asarray(z < _SERIES_BELOW)
    if near.all():
        return _gamma_by_series(a, z)
    if not near.any():
        return _gamma_by_fraction(a, z)
    found = np.empty_like(z)
    found[near] = _gamma_by_series(a, z[near])
    found[~near] = _gamma_by_fraction(a, z[~near])
    return found


def _gamma_by_series(a: float, z: Floats) -> Floats:
    """``exp(z) Gamma(a)`` less the power series of the lower function, from its last term."""
    total = np.ones_like(z)
    for n in range(_SERIES_TERMS, 0, -1):
        total *= z
        total /= a + n
        total += 1.0
    return np.asarray(np.exp(z) * gamma(a) - z**a * total / a)


def _gamma_by_fraction(a: float, z: Floats) -> Floats:
    """``exp(z) Gamma(a, z)`` as a continued fraction, from its last term."""
    z = np.minimum(z, _LARGEST)
    past = z - (a + 1.0)
    below = past + 2.0 * (_FRACTION_TERMS + 1)
    for n in range(_FRACTION_TERMS, 0, -1):
        np.divide(n * (a - n), below, out=below)
        below += past
        below += 2.0 * n
    return np.asarray(z**a / below)


def _as_given(values: Floats, like: ArrayLike) -> float | Floats:
    return float(values) if np.ndim(like) == 0 else values
