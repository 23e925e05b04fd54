"""What records say of a life without any formula for it: Kaplan and Meier's estimate.

References
----------
NIST/SEMATECH e-Handbook of Statistical Methods, 8.2.1.5 and 8.2.2.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from estimator.errors import InputTrouble

Floats = NDArray[np.float64]

_NORMAL_95 = 1.959963984540054


@dataclass(frozen=True, eq=False)
class KaplanMeier:
    """Share of heaters still running after each age at which one failed.

    Attributes
    ----------
    ages
        Distinct ages at failure, rising, in the unit of the durations, shape (F,).
    at_risk, died
        How many were in the record just before each age, and how many failed at it,
        shape (F,).
    surviving
        Share still running just after each age [1], shape (F,).
    low, high
        95 % interval of that share [1], shape (F,).
    """

    ages: Floats
    at_risk: Floats
    died: Floats
    surviving: Floats
    low: Floats
    high: Floats

    @property
    def plotted(self) -> Floats:
        """Share that has failed, midway through each step: where a plot shows it [1]."""
        before = np.concatenate([[1.0], self.surviving[:-1]])
        return 1.0 - (before + self.surviving) / 2.0


def kaplan_meier(
    durations: Sequence[float] | Floats,
    failed: Sequence[bool] | NDArray[np.bool_],
    since_years: Sequence[float] | Floats | None = None,
) -> KaplanMeier:
    """Estimate the share of heaters that outlive each age, by the product limit.

    Parameters
    ----------
    durations
        Age at failure, or at the end of the record.
    failed
        Whether each failed.
    since_years
        Age at which the record of each begins, in the unit of the durations; 0 for all
        where not given.

    Returns
    -------
    The estimate at each age at which one failed, with its 95 % interval.

    Raises
    ------
    InputTrouble
        If nothing failed or the rows differ in length.

    Notes
    -----
    A heater counts among those at risk from the beginning of its record to its end, its end
    in. The interval is Greenwood's on the logarithm of minus the logarithm of the share. Where
    records begin late and few are at risk early, one early failure weighs much: the estimate
    is then that of heaters which reached the youngest age on record.

    References
    ----------
    Kaplan and Meier, Nonparametric Estimation from Incomplete Observations, Journal of the
    American Statistical Association 53 (1958).
    """
    ends = np.asarray(durations, dtype=np.float64)
    dead = np.asarray(failed, dtype=bool)
    starts = (
        np.zeros_like(ends) if since_years is None else np.asarray(since_years, dtype=np.float64)
    )
    if ends.shape != dead.shape or ends.shape != starts.shape:
        raise InputTrouble(
            f"There are {ends.size} durations and {dead.size} marks of failure; there must "
            "be one mark for each",
            mend="Give each record both.",
        )
    if not dead.any():
        raise InputTrouble(
            "No heater in the records has failed",
            mend="Wait until some have; a life cannot be read from heaters that all run.",
        )
    ages, died = np.unique(ends[dead], return_counts=True)
    begun = np.searchsorted(np.sort(starts), ages, side="left")
    ended = np.searchsorted(np.sort(ends), ages, side="left")
    at_risk = np.asarray(begun - ended, dtype=np.float64)
    surviving = np.asarray(np.cumprod(1.0 - died / at_risk), dtype=np.float64)
    low, high = _bounds(surviving, died, at_risk)
    return KaplanMeier(ages, at_risk, np.asarray(died, dtype=np.float64), surviving, low, high)


def _bounds(surviving: Floats, died: NDArray[np.int_], at_risk: Floats) -> tuple[Floats, Floats]:
    """Return Greenwood's interval on the log-minus-log scale; nothing is known at 0."""
    left = at_risk - died
    known = surviving > 0
    spread = np.cumsum(died / (at_risk * np.where(left > 0, left, np.inf)))
    log = np.log(np.where(known, surviving, 0.5))
    width = np.exp(_NORMAL_95 * np.sqrt(spread) / np.abs(log))
    low = np.where(known, surviving**width, 0.0)
    return low, np.where(known, surviving ** (1.0 / width), 1.0)
