"""No part that is said to fit ever loses a safety function, whatever is asked.

The oracle reads the features of the parts themselves; it shares no code with the fit.
"""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date
from pathlib import Path
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from catalog.database import build_catalog
from catalog.feature_sources import Wanted
from catalog.fit import FitAnswer, fit_parts
from catalog.fit_rules import read_rules, rules_that_ship
from catalog.judging import FeatureReason, judge
from catalog.needs import Known, Need
from catalog.parts import (
    HeaterFamily,
    Part,
    chain,
    heater_families,
    parts_by_number,
    parts_of_family,
)
from catalog.snapshots import Catalog
from estimator.heater import Chamber, Fuel, Ignition, RatingPlate, Venting
from estimator.supply import FitClass, PartFamily

DEMO = Path(__file__).parents[2] / "demo_data" / "catalog"
ON = date(2026, 2, 2)
RANKED = (FitClass.LISTED, FitClass.ALIKE, FitClass.UNIVERSAL, FitClass.ADAPTER)
MAIN = (
    PartFamily.SENSING_ELEMENT,
    PartFamily.PILOT_ASSEMBLY,
    PartFamily.IGNITER,
    PartFamily.LIMIT,
    PartFamily.GAS_CONTROL,
    PartFamily.ORIFICE,
)
MEASURES: dict[PartFamily, dict[str, st.SearchStrategy[Any]]] = {
    PartFamily.SENSING_ELEMENT: {
        "output_class_mv": st.sampled_from([30, 750]),
        "connection": st.sampled_from(["threaded_right_11_32_32", "push_in", "spade"]),
        "cut_off_built_in": st.booleans(),
        "length_in": st.integers(12, 48),
    },
    PartFamily.PILOT_ASSEMBLY: {
        "fuel": st.sampled_from(["natural_gas", "propane"]),
        "hood_direction": st.sampled_from(["left", "right", "straight"]),
        "includes_element": st.booleans(),
        "cut_off_built_in": st.booleans(),
    },
    PartFamily.IGNITER: {"lead_length_in": st.integers(6, 40)},
    PartFamily.LIMIT: {
        "opens_at_f": st.sampled_from([170, 180, 185, 190, 200, 290, 310]),
        "reset_kind": st.sampled_from(["manual", "automatic", "one_shot"]),
    },
    PartFamily.GAS_CONTROL: {
        "cut_off_built_in": st.booleans(),
        "probe_length_in": st.sampled_from([1.0, 1.5, 2.5, 3.0]),
    },
    PartFamily.ORIFICE: {"orifice_kind": st.sampled_from(["pilot", "burner"])},
}


class Shelf:
    """The demo catalog with what the tests draw from."""

    def __init__(self, catalog: Catalog) -> None:
        self.catalog = catalog
        self.heaters = {family.slug: family for family in heater_families(catalog)}
        self.listed = {
            slug: parts_by_number(
                catalog, [line.listed.number for line in parts_of_family(catalog, slug)]
            )
            for slug in self.heaters
        }
        rows = catalog.cursor().execute("SELECT number, family FROM part").fetchall()
        self.numbers = {
            family: sorted(n for n, held in rows if held == family.value) for family in PartFamily
        }


@pytest.fixture(scope="module")
def shelf(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Shelf]:
    folder = tmp_path_factory.mktemp("demo")
    build_catalog(DEMO, folder)
    with Catalog.open_current(folder) as catalog:
        yield Shelf(catalog)


@st.composite
def plates(draw: st.DrawFn, heater: HeaterFamily | None) -> RatingPlate:
    """Draw a plate, of the heater family more often than not."""
    if heater is not None and draw(st.integers(0, 3)):
        return heater.plate(heater.made_from)
    return RatingPlate(
        fuel=draw(st.sampled_from([Fuel.NATURAL_GAS, Fuel.PROPANE])),
        tank_volume_gal=draw(st.sampled_from([30, 40, 50, 75])),
        input_btu_per_h=draw(st.sampled_from([30000, 38000, 40000, 60000, 75100])),
        ignition=draw(st.sampled_from(list(Ignition))),
        venting=draw(st.sampled_from(list(Venting))),
        chamber=draw(st.sampled_from(list(Chamber))),
        manufactured=date(2010, 1, 1),
    )


def asked(data: st.DataObject, shelf: Shelf) -> Need:
    family = data.draw(st.sampled_from(MAIN))
    slug = data.draw(st.sampled_from([None, *sorted(shelf.heaters)]))
    old = data.draw(st.sampled_from([None, *shelf.numbers[family]]))
    chosen = data.draw(st.sets(st.sampled_from(sorted(MEASURES[family]))))
    features = {name: data.draw(MEASURES[family][name]) for name in sorted(chosen)}
    plate = data.draw(plates(shelf.heaters[slug] if slug else None))
    return Need(family, plate, slug, old, features)


def known_values(shelf: Shelf, need: Need, feature: str) -> list[Any]:
    """Return every value of a feature that anybody told, but for a list of several kinds."""
    told = []
    if need.old_part_number is not None:
        told.append(chain(shelf.catalog, need.old_part_number)[0].features.get(feature))
    if need.heater_family is not None:
        held = shelf.listed[need.heater_family].values()
        lines = [part for part in held if part.family is need.family]
        if len(lines) == 1:
            told.append(lines[0].features.get(feature))
    told.append(need.features.get(feature))
    return [value for value in told if value is not None]


def check_safety(shelf: Shelf, need: Need, answer: FitAnswer) -> None:
    for fit in answer.fitting:
        has = fit.part.features
        if "fuel" in has:
            assert has["fuel"] == need.plate.fuel
        if True in known_values(shelf, need, "cut_off_built_in"):
            bare = need.family is PartFamily.PILOT_ASSEMBLY and not has["includes_element"]
            assert bare or has.get("cut_off_built_in") is True
        if need.family is PartFamily.LIMIT:
            told = known_values(shelf, need, "opens_at_f")
            assert not told or has["opens_at_f"] <= min(told)
        if need.family is PartFamily.GAS_CONTROL:
            assert has["max_input_btu_per_h"] >= need.plate.input_btu_per_h
            assert fit.fit_class is not FitClass.ALIKE
        if need.family is PartFamily.SENSING_ELEMENT:
            pile = need.plate.ignition is Ignition.PILOT_THERMOPILE
            assert has["output_class_mv"] == (750 if pile else 30)


@given(data=st.data())
@settings(max_examples=250, deadline=None, suppress_health_check=list(HealthCheck))
def test_nothing_that_fits_loses_a_safety_function(shelf: Shelf, data: st.DataObject) -> None:
    need = asked(data, shelf)
    answer = fit_parts(shelf.catalog, need, "van-1", ON)
    check_safety(shelf, need, answer)
    assert (answer.closed_reason is None) is bool(answer.fitting)
    assert all(fit.faults for fit in answer.rejected)
    order = [RANKED.index(fit.fit_class) for fit in answer.fitting]
    assert order == sorted(order)
    for fit in answer.fitting:
        supplied = fit.supplied()
        assert not fit.part.discontinued
        unknown = [reason for reason in fit.reasons if reason.status == "unknown"]
        assert bool(unknown) <= bool(supplied.check_these)


@given(data=st.data())
@settings(max_examples=60, deadline=None, suppress_health_check=list(HealthCheck))
def test_replaced_by_never_runs_back(shelf: Shelf, data: st.DataObject) -> None:
    family = data.draw(st.sampled_from(MAIN))
    old = data.draw(st.sampled_from(shelf.numbers[family]))
    steps = [step.number for step in chain(shelf.catalog, old)]
    heater = data.draw(st.sampled_from(sorted(shelf.heaters)))
    plate = shelf.heaters[heater].plate(shelf.heaters[heater].made_from)
    answer = fit_parts(shelf.catalog, Need(family, plate, None, old), "", ON)
    earlier = set(steps[:-1])
    assert not earlier & {fit.part.number for fit in answer.fitting}


def test_the_search_finds_parts_that_fit_and_parts_that_do_not(shelf: Shelf) -> None:
    """The properties above would hold of a fit that never finds anything."""
    fitting = rejected = 0
    for heater in shelf.heaters.values():
        plate = heater.plate(heater.made_from)
        answer = fit_parts(
            shelf.catalog, Need(PartFamily.SENSING_ELEMENT, plate, heater.slug), "", ON
        )
        fitting += bool(answer.fitting)
        rejected += bool(answer.rejected)
    assert fitting >= 20
    assert rejected >= 20


RULES = read_rules(rules_that_ship(), "fit_rules.toml")
PLATE = RatingPlate(
    fuel=Fuel.NATURAL_GAS,
    tank_volume_gal=40,
    input_btu_per_h=40000,
    ignition=Ignition.PILOT_THERMOCOUPLE,
    manufactured=date(2001, 1, 1),
)
VALUES: dict[str, st.SearchStrategy[Any]] = {
    "cut_off_built_in": st.booleans(),
    "fuel": st.sampled_from(["natural_gas", "propane"]),
    "opens_at_f": st.one_of(st.floats(150, 320), st.integers(150, 320).map(float)),
    "max_input_btu_per_h": st.floats(20_000, 90_000),
}


def any_value(rule: Any) -> st.SearchStrategy[Any]:
    if rule.feature in VALUES:
        return VALUES[rule.feature]
    if rule.values:
        return st.sampled_from(sorted(RULES.values[rule.values]))
    if rule.rule == "includes":
        return st.booleans()
    return st.sampled_from([1.0, 2.0, 24.0, 30.0, 750.0])


@given(data=st.data())
@settings(max_examples=400, deadline=None)
def test_no_judgement_of_made_up_parts_loses_a_safety_function(data: st.DataObject) -> None:
    family = data.draw(st.sampled_from(MAIN))
    rules = RULES.families[family].features
    features = {rule.feature: data.draw(any_value(rule)) for rule in rules}
    # Near to the part, so that many fit: each feature is the same, another, or not known.
    wanted = {}
    for rule in rules:
        way = data.draw(st.sampled_from(["same", "same", "same", "other", "unknown"]))
        value = features[rule.feature] if way == "same" else data.draw(any_value(rule))
        wanted[rule.feature] = Wanted() if way == "unknown" else Wanted(value, "on the old part")
    part = Part(
        number="P-1",
        family=family,
        description="made up",
        maker="Maker A (invented)",
        universal=False,
        discontinued=False,
        replaced_by=None,
        sold_as="P-1",
        features=features,
    )
    known = Known(Need(family, PLATE), None, None, (), wanted, ())
    fit_class = data.draw(st.sampled_from(RANKED[:3]))
    standing = FeatureReason("listing", "matched", "")
    judged = judge(RULES, known, part, fit_class, standing, ())
    for rule in rules:
        want, has = wanted[rule.feature].value, features[rule.feature]
        counts = rule.only_if is None or features[rule.only_if]
        if want is None or not counts or judged.faults:
            continue
        if rule.feature == "cut_off_built_in":
            assert has or not want
        if rule.feature in ("fuel", "reset_kind", "orifice_kind"):
            assert has == want
        if rule.feature == "opens_at_f":
            # What is no whole °F was stamped in whole °C, which may be half of one off.
            assert has <= want + (0.0 if float(want).is_integer() else 0.9)
        if rule.feature == "max_input_btu_per_h":
            assert has >= want
    assert (judged.fit_class is FitClass.NO_FIT) is bool(judged.faults)
    unknown = [reason for reason in judged.reasons if reason.status == "unknown"]
    assert all(reason.sentence in judged.check_these for reason in unknown)
