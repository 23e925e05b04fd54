"""Discounting: what an amount of a later year is worth today.

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
    check_rate(rate)
    check_years(year, least_years=0)
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
    check_years(years, least_years=1)
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
    check_years(len(indices), least_years=1)
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


def check_rate(rate: float) -> None:
    """Refuse a discount rate outside its range.

    Parameters
    ----------
    rate
        Discount rate [1/yr].

    Raises
    ------
    InputTrouble
        If it is not above -0.5 and finite.
    """
    if not LEAST_RATE < rate < float("inf"):
        raise InputTrouble(
            f"Discount rate is {rate}; it must be above {LEAST_RATE} and finite",
            mend="Give it as a fraction of one a year, such as 0.03.",
        )


def check_years(years: int, least_years: int) -> None:
    """Refuse too few years.

    Parameters
    ----------
    years
        Number of years [yr].
    least_years
        How many there must be [yr].

    Raises
    ------
    InputTrouble
        If there are fewer.
    """
    if years < least_years:
        raise InputTrouble(
            f"Number of years is {years}; it must be {least_years} or more",
            mend="Correct the number of years.",
        )
