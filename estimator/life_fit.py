"""A shop's own life of a class of heater, from its records of installed and failed dates.

References
----------
NIST/SEMATECH e-Handbook of Statistical Methods, 8.4.1; Meeker and Escobar, Statistical
Methods for Reliability Data, chapter 11, for records that begin late (from memory).
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.special import digamma, gamma

from estimator.errors import InputTrouble
from estimator.survival import LifeDistribution

Floats = NDArray[np.float64]

LEAST_FAILURES = 10
"""Fewest failures that are fitted; common practice, no source."""

_NORMAL_95 = 1.959963984540054
_SHAPE_RANGE = (0.05, 200.0)
_SHAPES_TRIED = 400


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
    mean, mean_interval
        Mean life when new, the delay in it, and its 95 % interval.
    log_likelihood
        Logarithm of the likelihood at the fit.
    failures, still_running
        How many records were failures, and how many had not failed yet.
    entered_late
        How many records begin after the heater was installed.
    """

    shape: float
    scale: float
    delay: float
    shape_interval: tuple[float, float]
    scale_interval: tuple[float, float]
    mean: float
    mean_interval: tuple[float, float]
    log_likelihood: float
    failures: int
    still_running: int
    entered_late: int = 0

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
        late = f", {self.entered_late} of them recorded late" if self.entered_late else ""
        return LifeDistribution(
            shape=self.shape,
            scale_years=self.scale,
            delay_years=self.delay,
            source=(
                f"fitted to {self.failures} failures and {self.still_running} heaters still "
                f"running{late}; shape {low:.2f} to {high:.2f}"
            ),
        )


@dataclass(frozen=True)
class _Records:
    """Time past the delay at the end and at the start of each record, over the longest."""

    ends: Floats
    starts: Floats
    dead: NDArray[np.bool_]
    unit: float

    @property
    def failures(self) -> int:
        return int(self.dead.sum())

    def spent(self, shape: float) -> Floats:
        """Return what each record adds to the exponent at scale 1."""
        return np.asarray(self.ends**shape - self.starts**shape)

    def scale(self, shape: float) -> float:
        """Return the likeliest scale at a shape."""
        return float((self.spent(shape).sum() / self.failures) ** (1.0 / shape))


def fit_life(
    durations: Sequence[float] | Floats,
    failed: Sequence[bool] | NDArray[np.bool_],
    delay: float = 0.0,
    since_years: Sequence[float] | Floats | None = None,
) -> FittedLife:
    """Fit a Weibull life to records by maximum likelihood, those still running censored.

    Parameters
    ----------
    durations
        Time from installation to failure, or to the last time seen running; that of a
        failure above `delay`.
    failed
        Whether each failed.
    delay
        Time before which nothing fails, held fixed.
    since_years
        Age at which the record of each heater begins, where it is not followed from its
        installation, in the unit of the durations; 0 for all where not given.

    Returns
    -------
    The fit, with 95 % intervals.

    Raises
    ------
    InputTrouble
        If there are fewer than ten failures, a duration or a beginning is not usable, the
        rows differ in length, or the likelihood has no highest point.

    Notes
    -----
    Right-censored and left-truncated: a record that begins late counts only from then on,
    for a heater that failed before would not stand in it. Intervals come from the observed
    information on the logarithms of shape and scale, that of the mean by the delta method;
    good for large samples and too narrow for small ones.

    References
    ----------
    NIST/SEMATECH e-Handbook of Statistical Methods, 8.4.1; Meeker and Escobar, Statistical
    Methods for Reliability Data, chapter 11 (from memory).
    """
    ends = np.asarray(durations, dtype=np.float64)
    dead = np.asarray(failed, dtype=bool)
    starts = (
        np.zeros_like(ends) if since_years is None else np.asarray(since_years, dtype=np.float64)
    )
    _check_records(ends, dead, starts, delay)
    past_end, past_start = np.maximum(ends - delay, 0.0), np.maximum(starts - delay, 0.0)
    unit = float(past_end.max())
    records = _Records(past_end / unit, past_start / unit, dead, unit)
    shape = _likeliest_shape(records)
    scale = records.scale(shape)
    covariance = _log_covariance(shape, scale, records)
    return _fitted(shape, scale, delay, covariance, records, int((starts > 0).sum()))


def _fitted(
    shape: float, scale: float, delay: float, covariance: Floats, records: _Records, late: int
) -> FittedLife:
    log_shape_error, log_scale_error = np.sqrt(np.diag(covariance))
    beyond = scale * float(gamma(1.0 + 1.0 / shape)) * records.unit
    toward = np.array([-float(digamma(1.0 + 1.0 / shape)) / shape, 1.0])
    low, high = _interval(beyond, float(np.sqrt(toward @ covariance @ toward)))
    return FittedLife(
        shape=shape,
        scale=scale * records.unit,
        delay=delay,
        shape_interval=_interval(shape, float(log_shape_error)),
        scale_interval=_interval(scale * records.unit, float(log_scale_error)),
        mean=delay + beyond,
        mean_interval=(delay + low, delay + high),
        log_likelihood=_profile(shape, records) - records.failures * float(np.log(records.unit)),
        failures=records.failures,
        still_running=len(records.ends) - records.failures,
        entered_late=late,
    )


def _profile(shape: float, records: _Records) -> float:
    """Logarithm of the likelihood at a shape and its likeliest scale."""
    failures, logs = records.failures, np.log(records.ends[records.dead])
    total = float(records.spent(shape).sum())
    if total <= 0.0:  # so steep that all but the longest record underflow
        return -np.inf
    return float(
        failures * (np.log(shape) - np.log(total / failures) - 1.0) + (shape - 1.0) * logs.sum()
    )


def _likeliest_shape(records: _Records) -> float:
    """Look over all shapes, then bisect the slope beside the best one.

    Without late records the likelihood has one top; with them it may have none, or a top
    beside an open end, so that following a slope from one end would not do.
    """
    tried = np.geomspace(*_SHAPE_RANGE, _SHAPES_TRIED)
    best = int(np.argmax([_profile(float(shape), records) for shape in tried]))
    if best == len(tried) - 1:
        raise InputTrouble(
            "The failures fall together so closely that no life can be fitted",
            mend="Check that the durations are real ones, not one age typed for all.",
        )
    if best == 0:
        raise InputTrouble(
            "The records begin so late that they do not settle a life",
            mend="Add heaters that were followed from their installation, or keep the default.",
        )
    return _falling_root(
        lambda shape: _slope(shape, records), float(tried[best - 1]), float(tried[best + 1])
    )


def _slope(shape: float, records: _Records) -> float:
    """Slope of the logarithm of the likelihood along the shape, over the failures."""
    ends, starts = records.ends, records.starts
    weighted = _times_log(ends, shape) - _times_log(starts, shape)
    mean_log = float(np.log(ends[records.dead]).mean())
    return 1.0 / shape + mean_log - float(weighted.sum() / records.spent(shape).sum())


def _times_log(times: Floats, shape: float) -> Floats:
    """``t**shape log t``, nothing at 0."""
    return np.asarray(times**shape * np.log(np.where(times > 0, times, 1.0)))


def _falling_root(slope: Callable[[float], float], low: float, high: float) -> float:
    for _ in range(80):
        middle = (low * high) ** 0.5
        low, high = (middle, high) if slope(middle) > 0 else (low, middle)
    return float((low * high) ** 0.5)


def _log_covariance(shape: float, scale: float, records: _Records) -> Floats:
    """Return the covariance of the logarithms of shape and scale, shape (2, 2)."""
    squared, single = 0.0, 0.0
    for times, sign in ((records.ends, 1.0), (records.starts, -1.0)):
        counted = times[times > 0]
        in_scale = shape * np.log(counted / scale)
        risk = np.exp(in_scale)
        squared += sign * float(risk @ in_scale**2)
        single += sign * float(risk @ in_scale)
    shape_shape = records.failures + squared
    shape_scale = -shape * single
    scale_scale = shape**2 * records.failures
    information = np.array([[shape_shape, shape_scale], [shape_scale, scale_scale]])
    return np.asarray(np.linalg.inv(information))


def _interval(value: float, log_error: float) -> tuple[float, float]:
    factor = float(np.exp(_NORMAL_95 * log_error))
    return value / factor, value * factor


def _check_records(ends: Floats, dead: NDArray[np.bool_], starts: Floats, delay: float) -> None:
    if ends.shape != dead.shape or ends.shape != starts.shape or ends.ndim != 1:
        raise InputTrouble(
            f"There are {ends.size} durations and {dead.size} marks of failure; there must "
            "be one mark for each",
            mend="Give each record both.",
        )
    least = np.where(dead, delay, 0.0)
    if not np.all(np.isfinite(ends)) or np.any(ends < 0) or np.any(dead & (ends <= least)):
        raise InputTrouble(
            "A duration is not a number above the delay",
            mend="Correct the record or leave it out.",
        )
    if not np.all(np.isfinite(starts)) or np.any(starts < 0) or np.any(starts > ends):
        raise InputTrouble(
            "A record begins before the heater was installed or after it ends",
            mend="Correct the record or leave it out.",
        )
    failures = int(dead.sum())
    if failures < LEAST_FAILURES:
        raise InputTrouble(
            f"There are {failures} failures; a life needs at least {LEAST_FAILURES}",
            mend="Keep the default life until the records hold more failures.",
        )
