"""Fuel-price indices against the Annual Supplement to NIST Handbook 135."""

from __future__ import annotations

import pytest

from estimator.heater import Fuel
from estimator.price_outlook import flat_indices, price_indices
from tests.published.row import Printed, rows

SUPPLEMENT = "Annual Supplement to NIST Handbook 135, 2022, residential, US average"


def index(fuel: Fuel, year: int) -> float:
    return price_indices(fuel, 40, 2022)[year - 1]


@rows(
    Printed("natural gas after 1 year", index, (Fuel.NATURAL_GAS, 1), ".9717", SUPPLEMENT),
    Printed("natural gas after 5 years", index, (Fuel.NATURAL_GAS, 5), ".8793", SUPPLEMENT),
    Printed("natural gas after 20 years", index, (Fuel.NATURAL_GAS, 20), ".9717", SUPPLEMENT),
    Printed("LPG after 1 year", index, (Fuel.PROPANE, 1), "1.0123", SUPPLEMENT),
    Printed("LPG after 12 years", index, (Fuel.PROPANE, 12), "1.1722", SUPPLEMENT),
    Printed("LPG after 20 years", index, (Fuel.PROPANE, 20), "1.2556", SUPPLEMENT),
    Printed("electricity after 4 years", index, (Fuel.ELECTRICITY, 4), ".9690", SUPPLEMENT),
    Printed("electricity after 10 years", index, (Fuel.ELECTRICITY, 10), ".9904", SUPPLEMENT),
)
def test_price_index_against_annual_supplement(row: Printed) -> None:
    row.check()


def test_price_index_of_a_later_start_against_annual_supplement() -> None:
    """From 2026 a year on: the printed .8793 of 2027 over the printed .8876 of 2026."""
    assert price_indices(Fuel.NATURAL_GAS, 3, 2026)[0] == pytest.approx(0.8793 / 0.8876, rel=1e-12)


def test_flat_index_against_nist_rate_arithmetic() -> None:
    """Handbook 135, chapter 3: an escalating cost is multiplied by (1 + e) each year."""
    assert flat_indices(0.02, 3) == pytest.approx((1.02, 1.0404, 1.061208), rel=1e-12)
