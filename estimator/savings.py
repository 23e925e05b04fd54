"""What replacing now saves against repairing, by the measures of Handbook 135."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
from pydantic import BaseModel, ConfigDict

from estimator.supplementary_measures import (
    airr,
    discounted_payback,
    net_savings,
    simple_payback,
    sir,
)

if TYPE_CHECKING:
    from estimator.comparison import PathCost


class SavingsMeasures(BaseModel):
    """Measures of replacing now (the alternative) against repairing now (the base case).

    `net_savings` [USD]; `sir` and `airr` [1]; paybacks [yr]. A measure is ``None`` where it
    is not defined: no extra investment, or not paid back within the study.
    """

    model_config = ConfigDict(frozen=True, extra="forbid")

    net_savings: float
    sir: float | None
    airr: float | None
    simple_payback_years: float | None
    discounted_payback_years: float | None


def savings_measures(
    repair: PathCost, replacement: PathCost, real_discount_rate: float
) -> SavingsMeasures:
    """Measure replacing now against repairing now.

    Parameters
    ----------
    repair
        The repair path, as `compare` gives it.
    replacement
        The path of one challenger of the same comparison.
    real_discount_rate
        The rate that the comparison was made with [1/yr].

    Returns
    -------
    The measures.

    Notes
    -----
    Savings are those in energy, upkeep and later repairs. Investment is the price of
    heaters, first and later, with urgency and damage, less residual value. Paybacks count
    every yearly difference after the purchase; the difference in residual value comes in
    the last year. The first payback is given. The simple payback undoes the discounting
    year by year.

    References
    ----------
    10 CFR 436.20 to 436.23; NIST Handbook 135.
    """
    years = len(repair.cumulative) - 1
    savings = repair.running[-1] - replacement.running[-1]
    saved = net_savings(repair.lcc, replacement.lcc)
    ratio = sir(savings, savings - saved)
    worth = np.diff(repair.cumulative) - np.diff(replacement.cumulative)
    worth[-1] += replacement.residual - repair.residual
    undiscounted = worth * (1.0 + real_discount_rate) ** np.arange(1, years + 1)
    extra = replacement.first_cost - repair.first_cost
    flows = undiscounted.tolist()
    return SavingsMeasures(
        net_savings=saved,
        sir=ratio,
        airr=airr(ratio, real_discount_rate, years),
        simple_payback_years=simple_payback(extra, flows),
        discounted_payback_years=discounted_payback(extra, flows, real_discount_rate),
    )
