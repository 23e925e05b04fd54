"""Outlook of fuel prices: published price indices with their year, or a flat escalation.

An index is the price of a year over today's price, above general inflation.
"""

from __future__ import annotations

from dataclasses import dataclass

from estimator.cautions import Caution
from estimator.errors import InputTrouble
from estimator.heater import Fuel


@dataclass(frozen=True)
class PriceIndexTable:
    """Published indices of one fuel: of years 1, 2, ... after `base_year`, whose index is 1."""

    fuel: Fuel
    base_year: int
    indices: tuple[float, ...]
    source: str

    @property
    def last_year(self) -> int:
        """The last year that the table holds."""
        return self.base_year + len(self.indices)


_SOURCE = (
    "Energy Price Indices and Discount Factors for Life-Cycle Cost Analysis, Annual "
    "Supplement to NIST Handbook 135, 2022; residential, US average"
)

# fmt: off
PRICE_INDEX_TABLES: dict[Fuel, PriceIndexTable] = {
    Fuel.NATURAL_GAS: PriceIndexTable(Fuel.NATURAL_GAS, 2022, (
        .9717, .9309, .9026, .8876, .8793, .8843, .8976, .9059, .9317, .9434,
        .9542, .9609, .9584, .9584, .9625, .9650, .9675, .9692, .9709, .9717,
    ), f"{_SOURCE}, natural gas"),
    Fuel.PROPANE: PriceIndexTable(Fuel.PROPANE, 2022, (
        1.0123, 1.0114, 1.0101, 1.0123, 1.0237, 1.0444, 1.0663, 1.0883, 1.1159, 1.1379,
        1.1568, 1.1722, 1.1836, 1.1941, 1.2047, 1.2156, 1.2244, 1.2363, 1.2481, 1.2556,
    ), f"{_SOURCE}, LPG"),
    Fuel.ELECTRICITY: PriceIndexTable(Fuel.ELECTRICITY, 2022, (
        .9951, .9783, .9703, .9690, .9713, .9754, .9796, .9827, .9868, .9904,
    ), f"{_SOURCE}, electricity"),
}
# fmt: on
"""The published table of each fuel."""


def price_indices(fuel: Fuel, years: int, start_year: int) -> tuple[float, ...]:
    """Return the published price indices of a study that starts in a given year.

    Parameters
    ----------
    fuel
        The fuel.
    years
        Study period [yr], 1 or more.
    start_year
        Calendar year of year 0, whose price is known; not before the table's base year.

    Returns
    -------
    Index of each study year 1..N over the price of `start_year` [1].

    Raises
    ------
    InputTrouble
        If the study starts before the table or has no years.

    Notes
    -----
    Beyond the table's last year the ratio of its last two indices is held: the price goes
    on changing by the same fraction a year. `price_index_cautions` says so. Indices are
    US averages; a region may differ.

    References
    ----------
    Annual Supplement to NIST Handbook 135, 2022.
    """
    table = PRICE_INDEX_TABLES[fuel]
    _check_years(years)
    if start_year < table.base_year:
        raise InputTrouble(
            f"Start year is {start_year}; the published price indices begin in {table.base_year}",
            mend="Give a later start year, or a flat escalation.",
        )
    rows = [1.0, *table.indices]
    ratio = rows[-1] / rows[-2]
    while len(rows) <= start_year - table.base_year + years:
        rows.append(rows[-1] * ratio)
    first = start_year - table.base_year
    return tuple(row / rows[first] for row in rows[first + 1 : first + 1 + years])


def price_index_cautions(fuel: Fuel, years: int, start_year: int) -> tuple[Caution, ...]:
    """Say where a study reaches past the published indices.

    Parameters
    ----------
    fuel
        The fuel.
    years
        Study period [yr].
    start_year
        Calendar year of year 0.

    Returns
    -------
    One caution where the table is too short, else none.
    """
    table = PRICE_INDEX_TABLES[fuel]
    if start_year + years <= table.last_year:
        return ()
    name = fuel.value.replace("_", " ")
    return (
        Caution(
            code="price_indices_extended",
            message=(
                f"The published {name} price indices end in {table.last_year}. Later years "
                "go on at the change of the last published year."
            ),
            source=table.source,
            topic="assumed",
        ),
    )


def flat_indices(escalation: float, years: int) -> tuple[float, ...]:
    """Return the indices of a price that changes by the same fraction each year.

    Parameters
    ----------
    escalation
        Change a year above inflation [1/yr], above -1.
    years
        Study period [yr], 1 or more.

    Returns
    -------
    ``(1 + escalation)**j`` of each study year j = 1..N [1].

    Raises
    ------
    InputTrouble
        If the escalation is -1 or less, or there are no years.

    References
    ----------
    NIST Handbook 135, Life-Cycle Costing Manual, chapter 3.
    """
    _check_years(years)
    if not -1.0 < escalation < float("inf"):
        raise InputTrouble(
            f"Escalation is {escalation}; it must be above -1",
            mend="Give it as a fraction of one a year, such as 0.01.",
        )
    return tuple((1.0 + escalation) ** year for year in range(1, years + 1))


def _check_years(years: int) -> None:
    if years < 1:
        raise InputTrouble(
            f"Study period is {years} years; it must be 1 or more",
            mend="Correct the study period.",
        )
