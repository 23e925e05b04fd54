"""Discounting and the measures of life-cycle costing.

Whole years, cash flows at the end of each year, investment at year 0: the convention of
NIST Handbook 135. Rates are fractions of one a year; amounts [USD].
"""

from __future__ import annotations

from collections.abc import Sequence

from estimator.errors import InputTrouble

LEAST_RATE = -0.5


def spv(rate: float, year: int) -> float:
    """Return the single present value factor of an amount paid at the end of a year.

    Parameters
    ----------
    rate
        Discount rate [1/yr], above -0.5.
    year
        Year of the payment [yr], 0 or more.

    Returns
    -------
    The factor [1].

    Raises
    ------
    InputTrouble
        If the rate or the year is outside its range.

    References
    ----------
    NIST Handbook 135, Life-Cycle Costing Manual, chapter 3.
    """
    _check_rate(rate)
    _check_years(year, least=0)
    return float((1.0 + rate) ** -year)


def upv(rate: float, years: int) -> float:
    """Return the uniform present value factor of 1 a year for some years.

    Parameters
    ----------
    rate
        Discount rate [1/yr], above -0.5.
    years
        Number of years [yr], 1 or more.

    Returns
    -------
    The factor [yr].

    Raises
    ------
    InputTrouble
        If the rate or the number of years is outside its range.

    References
    ----------
    NIST Handbook 135, Life-Cycle Costing Manual, chapter 3.
    """
    _check_years(years, least=1)
    return float(sum(spv(rate, year) for year in range(1, years + 1)))


def upv_star(rate: float, indices: Sequence[float]) -> float:
    """Return the modified uniform present value factor of a cost that escalates.

    Parameters
    ----------
    rate
        Discount rate [1/yr], above -0.5.
    indices
        Price index of each year 1..N, base 1 at year 0 [1].

    Returns
    -------
    The factor [yr].

    Raises
    ------
    InputTrouble
        If the rate is outside its range or there is no index.

    References
    ----------
    NIST Handbook 135, Life-Cycle Costing Manual, chapter 3.
    """
    _check_years(len(indices), least=1)
    return float(sum(index * spv(rate, year) for year, index in enumerate(indices, start=1)))


def capital_recovery(rate: float, years: int) -> float:
    """Return the equal yearly amount that repays 1 over some years.

    Parameters
    ----------
    rate
        Discount rate [1/yr], above -0.5.
    years
        Number of years [yr], 1 or more.

    Returns
    -------
    The factor, 1/UPV [1/yr].

    Raises
    ------
    InputTrouble
        If the rate or the number of years is outside its range.

    References
    ----------
    ASTM E917.
    """
    return 1.0 / upv(rate, years)


def equivalent_annual_cost(lcc: float, rate: float, years: int) -> float:
    """Return the equal yearly amount that is worth a life-cycle cost.

    Parameters
    ----------
    lcc
        Life-cycle cost [USD].
    rate
        Discount rate [1/yr], above -0.5.
    years
        Study period [yr], 1 or more.

    Returns
    -------
    The equivalent annual cost [USD/yr].

    Raises
    ------
    InputTrouble
        If the rate or the number of years is outside its range.

    References
    ----------
    ASTM E917.
    """
    return lcc * capital_recovery(rate, years)


def nominal_rate(real_rate: float, inflation: float) -> float:
    """Return the nominal rate that goes with a real rate and inflation.

    Parameters
    ----------
    real_rate
        Rate above inflation [1/yr].
    inflation
        Inflation [1/yr].

    Returns
    -------
    The nominal rate [1/yr].

    References
    ----------
    NIST Handbook 135, Life-Cycle Costing Manual, chapter 3.
    """
    return (1.0 + real_rate) * (1.0 + inflation) - 1.0


def real_rate(nominal_rate: float, inflation: float) -> float:
    """Return the real rate that goes with a nominal rate and inflation.

    Parameters
    ----------
    nominal_rate
        Rate with inflation in it [1/yr].
    inflation
        Inflation [1/yr], above -1.

    Returns
    -------
    The real rate [1/yr].

    References
    ----------
    NIST Handbook 135, Life-Cycle Costing Manual, chapter 3.
    """
    return (1.0 + nominal_rate) / (1.0 + inflation) - 1.0


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
    _check_rate(rate)
    _check_years(years, least=1)
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


def _check_rate(rate: float) -> None:
    if not LEAST_RATE < rate < float("inf"):
        raise InputTrouble(
            f"Discount rate is {rate}; it must be above {LEAST_RATE} and finite",
            mend="Give it as a fraction of one a year, such as 0.03.",
        )


def _check_years(years: int, least: int) -> None:
    if years < least:
        raise InputTrouble(
            f"Number of years is {years}; it must be {least} or more",
            mend="Correct the number of years.",
        )
