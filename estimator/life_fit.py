"""A shop's own life of a class of heater, from its records of installed and failed dates.

References
----------
NIST/SEMATECH e-Handbook of Statistical Methods, 8.4.1.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from estimator.errors import InputTrouble
from estimator.survival import LifeDistribution

Floats = NDArray[np.float64]

LEAST_FAILURES = 10
"""Fewest failures that are fitted; common practice, no source."""

_NORMAL_95 = 1.959963984540054
_SHAPE_RANGE = (0.05, 200.0)


@dataclass(frozen=True)
class FittedLife:
    """A Weibull life fitted to records, in the unit of the durations given.

    Attributes
    ----------
    shape
        Shape [1].
    scale, delay
        Scale and the delay that was held fixed, in the unit of the durations.
    shape_interval, scale_interval
        95 % intervals.
    log_likelihood
        Logarithm of the likelihood at the fit.
    failures, still_running
        How many records were failures, and how many had not failed yet.
    """

    shape: float
    scale: float
    delay: float
    shape_interval: tuple[float, float]
    scale_interval: tuple[float, float]
    log_likelihood: float
    failures: int
    still_running: int

    def life(self) -> LifeDistribution:
        """Return the fit of durations in years as a life that the engine takes.

        Returns
        -------
        The life, with the sample and the interval of the shape in its source.

        Raises
        ------
        InputTrouble
            If shape or scale lie outside what a heater's life may be.
        """
        low, high = self.shape_interval
        if not (0.2 < self.shape <= 20.0 and self.scale <= 200.0 and self.delay <= 50.0):
            raise InputTrouble(
                f"The fitted life has shape {self.shape:.3g} and scale {self.scale:.3g} years, "
                "which no heater has",
                mend="Check that the durations are in years and the records complete.",
            )
        return LifeDistribution(
            shape=self.shape,
            scale_years=self.scale,
            delay_years=self.delay,
            source=(
                f"fitted to {self.failures} failures and {self.still_running} heaters still "
                f"running; shape {low:.2f} to {high:.2f}"
            ),
        )


def fit_life(
    durations: Sequence[float] | Floats,
    failed: Sequence[bool] | NDArray[np.bool_],
    delay: float = 0.0,
) -> FittedLife:
    """Fit a Weibull life to records by maximum likelihood, those still running censored.

    Parameters
    ----------
    durations
        Time from installation to failure, or to the last time seen running; above `delay`.
    failed
        Whether each failed.
    delay
        Time before which nothing fails, held fixed.

    Returns
    -------
    The fit, with 95 % intervals.

    Raises
    ------
    InputTrouble
        If there are fewer than ten failures, a duration does not lie above the delay, the
        two rows differ in length, or all failures fall together.

    Notes
    -----
    Right-censored only: a heater must be followed from its installation. Intervals come
    from the observed information on the logarithms of shape and scale, good for large
    samples and too narrow for small ones.

    References
    ----------
    NIST/SEMATECH e-Handbook of Statistical Methods, 8.4.1.
    """
    times, dead = np.asarray(durations, dtype=np.float64) - delay, np.asarray(failed, dtype=bool)
    _check_records(times, dead)
    unit = float(times.max())
    scaled = times / unit
    logs = np.log(scaled)
    failures = int(dead.sum())
    mean_log = float(logs[dead].mean())

    def slope(shape: float) -> float:
        weights = scaled**shape
        return float((weights @ logs) / weights.sum() - 1.0 / shape - mean_log)

    shape = _rising_root(slope)
    scale = float(np.mean(scaled**shape) * len(scaled) / failures) ** (1.0 / shape)
    shape_error, scale_error = _log_errors(shape, scale, scaled, failures)
    scale *= unit
    in_scale = np.log(times / scale)
    log_likelihood = float(
        failures * np.log(shape / scale)
        + (shape - 1.0) * in_scale[dead].sum()
        - np.exp(shape * in_scale).sum()
    )
    return FittedLife(
        shape=shape,
        scale=scale,
        delay=delay,
        shape_interval=_interval(shape, shape_error),
        scale_interval=_interval(scale, scale_error),
        log_likelihood=log_likelihood,
        failures=failures,
        still_running=len(times) - failures,
    )


def _rising_root(slope: Callable[[float], float]) -> float:
    """Bisect the shape on a logarithmic scale; the likelihood equation rises with it."""
    low, high = _SHAPE_RANGE
    if slope(low) > 0 or slope(high) < 0:
        raise InputTrouble(
            "The failures fall together so closely that no life can be fitted",
            mend="Check that the durations are real ones, not one age typed for all.",
        )
    for _ in range(120):
        middle = (low * high) ** 0.5
        low, high = (middle, high) if slope(middle) < 0 else (low, middle)
    return float((low * high) ** 0.5)


def _log_errors(shape: float, scale: float, times: Floats, failures: int) -> tuple[float, float]:
    """Return the standard errors of the logarithms of shape and scale."""
    in_scale = shape * np.log(times / scale)
    risk = np.exp(in_scale)
    shape_shape = failures + float(risk @ in_scale**2)
    shape_scale = -shape * float(risk @ in_scale)
    scale_scale = shape**2 * failures
    information = np.array([[shape_shape, shape_scale], [shape_scale, scale_scale]])
    variance = np.diag(np.linalg.inv(information))
    return float(variance[0] ** 0.5), float(variance[1] ** 0.5)


def _interval(value: float, log_error: float) -> tuple[float, float]:
    factor = float(np.exp(_NORMAL_95 * log_error))
    return value / factor, value * factor


def _check_records(times: Floats, dead: NDArray[np.bool_]) -> None:
    if times.shape != dead.shape or times.ndim != 1:
        raise InputTrouble(
            f"There are {times.size} durations and {dead.size} marks of failure; there must "
            "be one mark for each",
            mend="Give each record both.",
        )
    if not np.all(np.isfinite(times)) or np.any(times <= 0):
        raise InputTrouble(
            "A duration is not a number above the delay",
            mend="Correct the record or leave it out.",
        )
    failures = int(dead.sum())
    if failures < LEAST_FAILURES:
        raise InputTrouble(
            f"There are {failures} failures; a life needs at least {LEAST_FAILURES}",
            mend="Keep the default life until the records hold more failures.",
        )
