"""Every public formula of the engine has an outside check, or says why it has none.

A row of CHECKED names a test under `tests/published` that compares the function with
somebody else's value. A row of EXCUSED gives the reason. A function in neither table, in
both, or no longer there fails; so does a row whose test is gone or never names it.
"""

from __future__ import annotations

import ast
from functools import cache
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]
MODULES = (
    "discounting",
    "economic_life",
    "efficiency",
    "energy",
    "frontier",
    "hot_water",
    "kaplan_meier",
    "labor_rate",
    "life_cycle",
    "life_fit",
    "mains",
    "minimums",
    "money",
    "paths",
    "price_outlook",
    "rating_conversion",
    "recovery",
    "renewal",
    "savings",
    "supplementary_measures",
    "survival",
    "units",
    "wham",
)

CHECKED = {
    "supplementary_measures.airr": "test_life_cycle_costing.py::"
    "test_rate_of_return_against_mirr_of_numpy_financial_and_pyxirr",
    "discounting.capital_recovery": "test_life_cycle_costing.py::"
    "test_annual_cost_against_numpy_financial_and_pyxirr",
    "supplementary_measures.discounted_payback": "test_life_cycle_costing.py::"
    "test_discounted_payback_against_nper_of_numpy_financial",
    "discounting.equivalent_annual_cost": "test_life_cycle_costing.py::"
    "test_annual_cost_against_numpy_financial_and_pyxirr",
    "supplementary_measures.net_savings": "test_life_cycle_costing.py::"
    "test_payback_and_return_against_10_cfr_436",
    "discounting.nominal_rate": "test_life_cycle_costing.py::"
    "test_nominal_and_real_rates_against_numpy_financial",
    "discounting.real_rate": "test_life_cycle_costing.py::"
    "test_nominal_and_real_rates_against_numpy_financial",
    "supplementary_measures.simple_payback": "test_life_cycle_costing.py::"
    "test_payback_and_return_against_10_cfr_436",
    "supplementary_measures.sir": "test_life_cycle_costing.py::"
    "test_rate_of_return_against_mirr_of_numpy_financial_and_pyxirr",
    "discounting.spv": "test_life_cycle_costing.py::test_discount_factors_against_nist",
    "discounting.upv": "test_life_cycle_costing.py::test_discount_factors_against_nist",
    "discounting.upv_star": "test_life_cycle_costing.py::"
    "test_annual_cost_against_numpy_financial_and_pyxirr",
    "economic_life.keeping_cost": "test_defender_and_challenger.py::"
    "test_annual_worth_against_textbooks",
    "recovery.default_recovery_efficiency": "test_ratings.py::"
    "test_recovery_efficiency_against_wham_and_appendix_e",
    "efficiency.draw_bin_of": "test_ratings.py::test_draw_bin_against_appendix_e",
    "rating_conversion.ef_from_uef": "test_ratings.py::test_conversion_against_resnet",
    "minimums.federal_minimum": "test_ratings.py::test_minimum_uef_against_10_cfr_430",
    "efficiency.rating_of": "test_ratings.py::test_rating_without_label_against_the_minimum",
    "rating_conversion.uef_from_ef": "test_ratings.py::test_conversion_against_resnet",
    "energy.co2_kg_per_year": "test_energy.py::test_co2_against_40_cfr_98_and_eia",
    "energy.energy_cost_per_year": "test_energy.py::test_yearly_cost_against_10_cfr_430",
    "energy.heater_energy": "test_energy.py::test_heater_in_place_against_wham",
    "energy.replacement_energy": "test_energy.py::test_heat_pump_replacement_against_femp",
    "hot_water.coldest_inlet_f": "test_hot_water.py::"
    "test_coldest_water_against_burch_and_christensen",
    "hot_water.flow_at_rise_gpm": "test_hot_water.py::"
    "test_flow_at_another_rise_against_the_steam_tables",
    "hot_water.hot_water": "test_hot_water.py::test_a_tank_against_the_doe_worksheet",
    "hot_water.peak_flow_gpm": "test_hot_water.py::"
    "test_hot_share_of_a_shower_against_the_steam_tables",
    "hot_water.peak_hour_gal": "test_hot_water.py::test_peak_hour_against_the_doe_worksheet",
    "kaplan_meier.kaplan_meier": "test_life.py::test_product_limit_against_scipy",
    "labor_rate.labor_rate": "test_money_and_margin.py::"
    "test_labor_rate_against_remodeling_magazine",
    "life_cycle.compare": "test_life_cycle_costing.py::"
    "test_savings_measures_against_numpy_financial",
    "life_fit.fit_life": "test_life.py::test_censored_fit_against_nist",
    "mains.appliance_draw_gal": "test_energy.py::test_reference_draw_against_resnet_301",
    "mains.daily_draw_gal": "test_energy.py::test_draw_by_people_against_fsec",
    "mains.inlet_temperature_f": "test_energy.py::test_mean_inlet_against_burch_and_christensen",
    "mains.mains_temperature_f": "test_energy.py::test_mains_temperature_against_energyplus",
    "mains.mixed_draw_gal": "test_energy.py::test_mixed_draw_against_building_america",
    "minimums.Minimum.at": "test_ratings.py::test_minimum_ef_against_the_rule_of_its_date",
    "money.to_cents": "test_money_and_margin.py::test_to_cents_against_tax_code",
    "price_outlook.flat_indices": "test_price_outlook.py::"
    "test_flat_index_against_nist_rate_arithmetic",
    "price_outlook.price_indices": "test_price_outlook.py::"
    "test_price_index_against_annual_supplement",
    "renewal.keeping": "test_life_cycle_costing.py::test_escalated_costs_against_energyplus",
    "renewal.Horizon.of": "test_life_cycle_costing.py::test_escalated_costs_against_energyplus",
    "savings.savings_measures": "test_life_cycle_costing.py::"
    "test_savings_measures_against_numpy_financial",
    "survival.conditional_survival": "test_life.py::test_survival_and_mean_life_against_scipy",
    "survival.mean_life": "test_life.py::test_survival_and_mean_life_against_scipy",
    "survival.mean_life_left": "test_life.py::test_mean_life_left_against_quadrature",
    "survival.survival": "test_life.py::test_survival_and_mean_life_against_scipy",
    "units.celsius": "test_energy.py::test_units_against_their_sources",
    "units.fahrenheit": "test_energy.py::test_units_against_their_sources",
    "wham.energy_over_rating": "test_energy.py::test_energy_over_rating_against_femp",
    "wham.fuel_ua": "test_energy.py::test_tank_energy_against_wham",
    "wham.load_btu_per_day": "test_energy.py::test_tank_energy_against_wham",
    "wham.rating_test_conditions": "test_energy.py::test_test_draw_against_appendix_e",
    "wham.storage_btu_per_day": "test_energy.py::test_tank_energy_against_wham",
}

EXPECTATION = (
    "no outside source holds this expectation; tests/properties compares it with plain loops "
    "written apart and with sampled lives"
)
WORDS = "makes a sentence, not a number"
TRIVIAL = "tells inside from outside a printed range; the printed rules above exercise it"

EXCUSED = {
    "discounting.check_rate": "refuses an input; no number comes of it",
    "discounting.check_years": "refuses an input; no number comes of it",
    "economic_life.cost_of_owning": "hands a heater on to keeping_cost, which is checked; "
    "tests/estimator holds it against plain loops and sampled lives",
    "recovery.check_recovery": "refuses an input; no number comes of it",
    "recovery.recovery_caution": WORDS,
    "frontier.frontier": "compares numbers; its definition is its own check, by properties",
    "hot_water.peak_hour_of": "a guess by the number of people that says it has no source",
    "life_cycle.cheapest_to_own": "picks the challenger that compare, checked, calls cheapest",
    "life_cycle.saved_by_repairing": "a difference of two costs that compare, checked, gives too",
    "life_cycle.check_comparable": "refuses an input; no number comes of it",
    "paths.horizon_of": "hands the terms on to renewal.Horizon.of, which is checked",
    "paths.yearly_upkeep": "a sum of two amounts that the shop gives",
    "life_fit.FittedLife.life": "passes a fit on; the fit itself is checked",
    "mains.household_cautions": WORDS,
    "minimums.Minimum.covers": TRIVIAL,
    "minimums.Minimum.distance_gal": TRIVIAL,
    "money.dollars": WORDS,
    "money.from_float": "rounds by to_cents, which is checked",
    "money.to_float": "a change of type",
    "money.whole_dollars": WORDS,
    "paths.failure_cost": "a price times factors of renewal.Horizon, which is checked",
    "paths.made_ready": EXPECTATION,
    "paths.repair_lcc": EXPECTATION,
    "paths.repair_path": EXPECTATION,
    "paths.replacement_path": EXPECTATION,
    "price_outlook.price_index_cautions": WORDS,
    "renewal.NewUnit.of": EXPECTATION,
    "renewal.Renewing.cost": EXPECTATION,
    "renewal.purchases": EXPECTATION,
    "renewal.renewing": EXPECTATION,
    "renewal.running": EXPECTATION,
}


def _is_public_formula(node: ast.stmt) -> bool:
    if not isinstance(node, ast.FunctionDef) or node.name.startswith("_"):
        return False
    marks = {mark.id for mark in node.decorator_list if isinstance(mark, ast.Name)}
    return not marks & {"overload", "property", "model_validator"}


@cache
def public_formulas() -> frozenset[str]:
    found = set()
    for module in MODULES:
        tree = ast.parse((ROOT / "estimator" / f"{module}.py").read_text(encoding="utf-8"))
        for node in tree.body:
            if _is_public_formula(node):
                found.add(f"{module}.{node.name}")
            if isinstance(node, ast.ClassDef) and not node.name.startswith("_"):
                found |= {
                    f"{module}.{node.name}.{inner.name}"
                    for inner in node.body
                    if _is_public_formula(inner)
                }
    return frozenset(found)


def test_every_public_formula_is_in_one_table() -> None:
    assert len(public_formulas()) > 40, "the search found next to nothing: has a module moved?"
    missing = public_formulas() - CHECKED.keys() - EXCUSED.keys()
    assert not missing, f"Give each a published check or a reason: {sorted(missing)}"
    both = CHECKED.keys() & EXCUSED.keys()
    assert not both, f"Both checked and excused: {sorted(both)}"
    gone = (CHECKED.keys() | EXCUSED.keys()) - public_formulas()
    assert not gone, f"No longer there: {sorted(gone)}"


@pytest.mark.parametrize("formula", CHECKED, ids=str)
def test_a_checked_formula_has_its_test(formula: str) -> None:
    file_name, test_name = CHECKED[formula].split("::")
    file = ROOT / "tests" / "published" / file_name
    assert file.exists(), f"{formula}: there is no tests/published/{file_name}"
    text = file.read_text(encoding="utf-8")
    tests = {node.name for node in ast.parse(text).body if isinstance(node, ast.FunctionDef)}
    assert test_name in tests, f"{formula}: {file_name} has no {test_name}"
    assert "_against_" in test_name, f"{test_name} does not name its source"
    _, *owner, name = formula.split(".")
    assert (owner or [name])[0].lower() in text.lower(), f"{file_name} never names {formula}"


@pytest.mark.parametrize("formula", EXCUSED, ids=str)
def test_an_excuse_is_a_reason(formula: str) -> None:
    assert len(EXCUSED[formula].split()) >= 4
