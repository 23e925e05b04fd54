"""The supplementary measures of life-cycle costing: savings, returns and paybacks.

The terms are those of NIST Handbook 135 and 10 CFR 436. Whole years, cash flows at the end
of each year, investment at year 0; amounts [USD].
"""

from __future__ import annotations

from collections.abc import Sequence

from estimator.discounting import check_rate, check_years, spv


def net_savings(lcc_base: float, lcc_alternative: float) -> float:
    """Return what the alternative saves against the base case over the study.

    Parameters
    ----------
    lcc_base, lcc_alternative
        Life-cycle costs [USD].

    Returns
    -------
    Net savings [USD]; negative where the alternative costs more.

    References
    ----------
    10 CFR 436.20; NIST Handbook 135.
    """
    return lcc_base - lcc_alternative


def sir(savings: float, investment: float) -> float | None:
    """Return the savings-to-investment ratio.

    Parameters
    ----------
    savings
        Present value of the savings in running costs [USD].
    investment
        Present value of the investment that the alternative asks above the base case,
        renewals in and residual value out [USD].

    Returns
    -------
    The ratio [1]; ``None`` where the alternative asks no more investment, for which the
    ratio has no meaning.

    References
    ----------
    10 CFR 436.21; NIST Handbook 135.
    """
    return savings / investment if investment > 0 else None


def airr(ratio: float | None, rate: float, years: int) -> float | None:
    """Return the adjusted internal rate of return.

    Parameters
    ----------
    ratio
        Savings-to-investment ratio [1], or ``None``.
    rate
        Discount rate [1/yr], at which savings are taken to be put to work again.
    years
        Study period [yr], 1 or more.

    Returns
    -------
    The rate [1/yr]; ``None`` where the ratio is not defined or not above zero.

    Raises
    ------
    InputTrouble
        If the rate or the number of years is outside its range.

    References
    ----------
    10 CFR 436.22; NIST Handbook 135.
    """
    check_rate(rate)
    check_years(years, least_years=1)
    if ratio is None or ratio <= 0:
        return None
    return float((1.0 + rate) * ratio ** (1.0 / years) - 1.0)


def simple_payback(investment: float, yearly_savings: Sequence[float]) -> float | None:
    """Return the years until undiscounted savings repay the extra investment.

    Parameters
    ----------
    investment
        What the alternative costs more at year 0 [USD].
    yearly_savings
        What it saves in each year 1..N [USD].

    Returns
    -------
    Years, with the year of payback divided in proportion [yr]; 0 where there is nothing
    to repay; ``None`` where it is not repaid within the years given.

    Notes
    -----
    The first payback is given; a later year with a loss may undo it.

    References
    ----------
    10 CFR 436.23; NIST Handbook 135.
    """
    return _payback(investment, yearly_savings)


def discounted_payback(
    investment: float, yearly_savings: Sequence[float], rate: float
) -> float | None:
    """Return the years until discounted savings repay the extra investment.

    Parameters
    ----------
    investment
        What the alternative costs more at year 0 [USD].
    yearly_savings
        What it saves in each year 1..N, undiscounted [USD].
    rate
        Discount rate [1/yr], above -0.5.

    Returns
    -------
    Years, with the year of payback divided in proportion [yr]; 0 where there is nothing
    to repay; ``None`` where it is not repaid within the years given.

    Raises
    ------
    InputTrouble
        If the rate is outside its range.

    References
    ----------
    NIST Handbook 135.
    """
    worth = [amount * spv(rate, year) for year, amount in enumerate(yearly_savings, start=1)]
    return _payback(investment, worth)


def _payback(investment: float, savings: Sequence[float]) -> float | None:
    if investment <= 0:
        return 0.0
    left = investment
    for year, saved in enumerate(savings, start=1):
        if saved >= left:
            return year - 1 + left / saved
        left -= saved
    return None
