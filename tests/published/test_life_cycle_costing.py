"""Discounting and the measures of life-cycle costing against handbooks and libraries."""

from __future__ import annotations

import numpy as np
import numpy_financial as npf
import pytest
import pyxirr

from estimator.comparison import Challenger, Defender, Terms
from estimator.discounting import (
    capital_recovery,
    equivalent_annual_cost,
    nominal_rate,
    real_rate,
    spv,
    upv,
    upv_star,
)
from estimator.life_cycle import compare
from estimator.renewal import Horizon, keeping
from estimator.savings import savings_measures
from estimator.supplementary_measures import (
    airr,
    discounted_payback,
    net_savings,
    simple_payback,
    sir,
)
from estimator.survival import LifeDistribution, mean_life_left
from tests.published.row import Printed, rows

TABLE_A1 = "NISTIR 85-3273-24, Table A-1"
HANDBOOK_1995 = "NIST Handbook 135 (1995), Table 5-2"
FACTORS = "NIST Handbook 135 tables of SPV and UPV factors at 3 %"
ROUNDED = "the source multiplies by a factor rounded to the digits it prints"
LASTS = LifeDistribution(shape=2.0, scale_years=200.0, delay_years=50.0)


@rows(
    Printed("SPV 7 years", spv, (0.03, 7), "0.813091", TABLE_A1, cut_off=True),
    Printed("UPV 7 years", upv, (0.03, 7), "6.23028", TABLE_A1),
    Printed("SPV 5 years", spv, (0.03, 5), ".863", FACTORS),
    Printed("UPV 5 years", upv, (0.03, 5), "4.58", FACTORS),
    Printed("SPV 10 years", spv, (0.03, 10), ".744", FACTORS),
    Printed("UPV 10 years", upv, (0.03, 10), "8.53", FACTORS),
    Printed("SPV 12 years", spv, (0.03, 12), ".701", FACTORS),
    Printed("UPV 12 years", upv, (0.03, 12), "9.95", FACTORS),
    Printed("SPV 20 years", spv, (0.03, 20), ".554", FACTORS),
    Printed("UPV 20 years", upv, (0.03, 20), "14.88", FACTORS),
    Printed("SPV 25 years", spv, (0.03, 25), ".478", FACTORS),
    Printed("UPV 25 years", upv, (0.03, 25), "17.41", FACTORS),
)
def test_discount_factors_against_nist(row: Printed) -> None:
    row.check()


def paid_once(amount: float, rate: float, year: int) -> float:
    return amount * spv(rate, year)


def paid_yearly(amount: float, rate: float, years: int) -> float:
    return amount * upv(rate, years)


@rows(
    Printed(
        "replacement in year 12",
        paid_once,
        (12_000.0, 0.03, 12),
        "8,412",
        HANDBOOK_1995,
        within=12_000 * 0.0005,
        note=ROUNDED,
    ),
    Printed(
        "residual in year 20",
        paid_once,
        (3_500.0, 0.03, 20),
        "1,939",
        HANDBOOK_1995,
        within=3_500 * 0.0005,
        note=ROUNDED,
    ),
    Printed(
        "OM&R over 20 years",
        paid_yearly,
        (7_000.0, 0.03, 20),
        "104,160",
        HANDBOOK_1995,
        within=7_000 * 0.005,
        note=ROUNDED,
    ),
)
def test_lines_of_conventional_hvac_against_handbook_135(row: Printed) -> None:
    row.check()


def test_life_cycle_cost_of_conventional_hvac_against_handbook_135() -> None:
    """Handbook 135 (1995), Table 5-2: 516,233. Inputs from memory, lines read.

    Its UPV* of 15.13 comes from a table of 1995; a flat index that gives it stands in.
    """
    index = 15.13 / upv(0.03, 20)
    total = (
        103_000
        + paid_once(12_000, 0.03, 12)
        - paid_once(3_500, 0.03, 20)
        + 20_000 * upv_star(0.03, [index] * 20)
        + paid_yearly(7_000, 0.03, 20)
    )
    assert total == pytest.approx(516_233, abs=6 + 1.75 + 35)


def test_escalated_costs_against_energyplus() -> None:
    """EnergyPlus unit test of life-cycle cost, use-price escalation: 103.0 ... 161.0."""
    horizon = Horizon.of(5, 0.0, 0.0, 0.0, 0.0, 0.0)
    kept = keeping(LASTS, np.array([0.0]), (1.03, 1.05, 1.07, 1.11, 1.15), horizon)
    escalated = kept.energy[0] * np.array([100.0, 110.0, 120.0, 130.0, 140.0])
    np.testing.assert_allclose(escalated, [103.0, 115.5, 128.4, 144.3, 161.0], atol=0.05)


def test_residual_share_against_handbook_135() -> None:
    """Handbook 135 (2022) 4.5.3: bought at 15 with 15 years of life, a third is left at 25."""
    sure = LifeDistribution(shape=1.0, scale_years=1e-9, delay_years=15.0)
    assert mean_life_left(sure, 10.0) / mean_life_left(sure, 0.0) == pytest.approx(1 / 3, abs=1e-9)


def test_payback_and_return_against_10_cfr_436() -> None:
    """10 CFR 436.21 to 436.23: ratio, rate of return and payback by their definitions."""
    assert sir(6_230.28, 4_000.0) == pytest.approx(1.55757)
    assert airr(1.55757, 0.03, 7) == pytest.approx(1.03 * 1.55757 ** (1 / 7) - 1, rel=1e-12)
    assert simple_payback(4_000.0, [1_000.0] * 7) == 4.0
    assert net_savings(10_000.0, 9_000.0) == 1_000.0


@pytest.mark.parametrize("rate", [0.01, 0.03, 0.08])
@pytest.mark.parametrize("years", [3, 12, 30])
def test_annual_cost_against_numpy_financial_and_pyxirr(rate: float, years: int) -> None:
    """numpy-financial `pmt` and `npv`, pyxirr `pmt`."""
    assert equivalent_annual_cost(5_000, rate, years) == pytest.approx(
        -npf.pmt(rate, years, 5_000), rel=1e-12
    )
    assert 5_000 * capital_recovery(rate, years) == pytest.approx(
        -pyxirr.pmt(rate, years, 5_000), rel=1e-12
    )
    flows = np.linspace(100, 300, years)
    assert upv_star(rate, list(flows)) == pytest.approx(npf.npv(rate, [0, *flows]), rel=1e-12)


def test_rate_of_return_against_mirr_of_numpy_financial_and_pyxirr() -> None:
    """AIRR is the modified internal rate of return with both rates at the discount rate."""
    savings, rate = [900.0, 800.0, 700.0, 650.0, 600.0, 500.0], 0.03
    worth = sum(amount * spv(rate, year) for year, amount in enumerate(savings, start=1))
    ours = airr(sir(worth, 2_500.0), rate, len(savings))
    assert ours == pytest.approx(npf.mirr([-2_500.0, *savings], rate, rate), rel=1e-12)
    assert ours == pytest.approx(pyxirr.mirr([-2_500.0, *savings], rate, rate), rel=1e-12)


def test_discounted_payback_against_nper_of_numpy_financial() -> None:
    """Whole years of payback of equal savings: the next whole year after `nper`."""
    exact = float(npf.nper(0.03, -1_000.0, 4_000.0))
    ours = discounted_payback(4_000.0, [1_000.0] * 10, 0.03)
    assert ours is not None
    assert int(ours) == int(exact)
    # Within the year ours divides in proportion, nper by compounding: at most this apart.
    assert ours == pytest.approx(exact, abs=0.01)


def test_nominal_and_real_rates_against_numpy_financial() -> None:
    """A nominal analysis is the same sum with nominal rates: Handbook 135, chapter 3."""
    inflation, real = 0.025, 0.03
    nominal = nominal_rate(real, inflation)
    assert nominal == pytest.approx(0.05575, abs=1e-12)
    assert real_rate(nominal, inflation) == pytest.approx(real, abs=1e-15)
    in_dollars_of_the_day = [310.0 * (1 + inflation) ** year for year in range(1, 13)]
    assert npf.npv(nominal, [0, *in_dollars_of_the_day]) == pytest.approx(
        310.0 * upv(real, 12), rel=1e-12
    )


def test_savings_measures_against_numpy_financial() -> None:
    """Two heaters that never fail in ten years: every flow is known, so npv and mirr apply."""
    terms = Terms(years=10, real_discount_rate=0.03)
    indices = (1.0,) * 10
    old = Defender(
        name="old", life=LASTS, energy_cost_per_year=600, price_indices=indices,
        installed_price=1_000, age_years=5, repair_price=300,
    )  # fmt: skip
    new = Challenger(
        name="new", life=LASTS, energy_cost_per_year=300, price_indices=indices,
        installed_price=2_000, incentives=200,
    )  # fmt: skip
    found = compare(old, [new], terms)
    ours = savings_measures(found.repair, found.challengers[0], 0.03)
    whole = mean_life_left(LASTS, 0.0)
    old_left = 1_000 * mean_life_left(LASTS, 15.0) / whole
    new_left = 2_000 * mean_life_left(LASTS, 10.0) / whole
    flows = [-1_500.0, *[300.0] * 9, 300.0 + new_left - old_left]
    assert ours.net_savings == pytest.approx(npf.npv(0.03, flows), rel=1e-12)
    investment = 1_500 - (new_left - old_left) * spv(0.03, 10)
    assert ours.sir == pytest.approx(npf.npv(0.03, [0, *[300.0] * 10]) / investment, rel=1e-12)
    assert ours.airr == pytest.approx(npf.mirr([-investment, *[300.0] * 10], 0.03, 0.03), rel=1e-12)
    assert ours.simple_payback_years == pytest.approx(5.0, abs=1e-9)
    assert ours.discounted_payback_years == pytest.approx(
        float(npf.nper(0.03, -300.0, 1_500.0)), abs=0.01
    )
