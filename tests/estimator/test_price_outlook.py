"""Price indices past the published table, and what is said of it."""

from __future__ import annotations

import pytest

from estimator.errors import InputTrouble
from estimator.heater import Fuel
from estimator.price_outlook import (
    PRICE_INDEX_TABLES,
    flat_indices,
    price_index_cautions,
    price_indices,
)


@pytest.mark.parametrize("fuel", list(Fuel))
def test_past_the_table_the_last_change_goes_on(fuel: Fuel) -> None:
    table = PRICE_INDEX_TABLES[fuel]
    known = len(table.indices)
    indices = price_indices(fuel, 40, table.base_year)
    assert indices[:known] == table.indices
    last = table.indices[-1] / table.indices[-2]
    for earlier, later in zip(indices[known - 1 :], indices[known:], strict=False):
        assert later / earlier == pytest.approx(last, rel=1e-12)


def test_a_start_after_the_table_still_gives_an_outlook() -> None:
    last = 0.9717 / 0.9709
    assert price_indices(Fuel.NATURAL_GAS, 2, 2050) == pytest.approx((last, last**2))


def test_the_caution_names_the_fuel_and_the_last_year() -> None:
    assert price_index_cautions(Fuel.NATURAL_GAS, 16, 2026) == ()
    (caution,) = price_index_cautions(Fuel.NATURAL_GAS, 17, 2026)
    assert caution.message == (
        "The published natural gas price indices end in 2042. Later years go on at the change "
        "of the last published year."
    )
    (caution,) = price_index_cautions(Fuel.ELECTRICITY, 7, 2026)
    assert "electricity price indices end in 2032" in caution.message


def test_a_start_before_the_table_is_refused() -> None:
    with pytest.raises(InputTrouble) as refused:
        price_indices(Fuel.PROPANE, 10, 2019)
    assert str(refused.value) == (
        "Start year is 2019; the published price indices begin in 2022. "
        "Give a later start year, or a flat escalation."
    )


def test_impossible_terms_are_refused() -> None:
    with pytest.raises(InputTrouble) as refused:
        flat_indices(-1.0, 10)
    assert str(refused.value) == (
        "Escalation is -1.0; it must be above -1. "
        "Give it as a fraction of one a year, such as 0.01."
    )
    with pytest.raises(InputTrouble, match="Study period is 0 years; it must be 1 or more"):
        flat_indices(0.0, 0)
    with pytest.raises(InputTrouble, match="Study period is 0 years; it must be 1 or more"):
        price_indices(Fuel.NATURAL_GAS, 0, 2026)
