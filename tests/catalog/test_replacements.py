"""Replacement heaters: one of each kind, what the site asks for, what closes them."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date
from decimal import Decimal
from pathlib import Path
from typing import Any

import pytest

from catalog.companions import companions_for
from catalog.conditions import holds, parse
from catalog.database import build_catalog
from catalog.operations import install_operation, operations_for
from catalog.replacements import replacements
from catalog.snapshots import Catalog
from estimator.errors import CatalogTrouble
from estimator.findings import Remedy
from estimator.heater import Chamber, Fuel, Household, RatingPlate, Site, Venting
from estimator.supply import ReplacementHeater
from tests.catalog.small_catalog import ON, PLATE

DEMO = Path(__file__).parents[2] / "demo_data" / "catalog"
HOME = Household()


@pytest.fixture(scope="module")
def demo(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Catalog]:
    folder = tmp_path_factory.mktemp("demo")
    build_catalog(DEMO, folder)
    with Catalog.open_current(folder) as catalog:
        yield catalog


def offered(
    demo: Catalog, site: Site | None = None, plate: RatingPlate = PLATE, **more: Any
) -> dict[str, ReplacementHeater]:
    household = more.get("household", HOME)
    found = replacements(demo, plate, site or Site(), household, more.get("on", ON))
    return {heater.slug: heater for heater in found}


def test_one_of_each_kind_like_for_like_first(demo: Catalog) -> None:
    assert list(offered(demo)) == [
        "tank-40-ng-nd",
        "tank-40-ng-damper",
        "condensing-50-ng",
        "instantaneous-condensing-ng",
        "heat-pump-50",
        "electric-40",
    ]
    assert [h.like_for_like for h in offered(demo).values()] == [True] + [False] * 5


@pytest.mark.parametrize("fuel", [Fuel.NATURAL_GAS, Fuel.PROPANE])
@pytest.mark.parametrize("venting", list(Venting))
@pytest.mark.parametrize("gallons", [29.0, 30.0, 38.0, 40.0, 48.0, 50.0, 75.0])
def test_like_for_like_keeps_fuel_and_venting_and_is_not_smaller(
    demo: Catalog, fuel: Fuel, venting: Venting, gallons: float
) -> None:
    changed = {"fuel": fuel, "venting": venting, "tank_volume_gal": gallons}
    plate = PLATE.model_copy(update=changed)
    first, *others = offered(demo, plate=plate).values()
    assert first.like_for_like
    assert (first.fuel, first.venting) == (fuel, venting)
    assert gallons - 1 <= first.volume_gal <= gallons + 10
    assert all(heater.fuel in (fuel, Fuel.ELECTRICITY) for heater in others)


@pytest.mark.parametrize(
    ("site", "slug", "reason"),
    [
        (Site(circuit_240v=False), "heat-pump-50",
         "There is no 240 V circuit here, and this heater needs one."),
        (Site(circuit_240v=False), "electric-40",
         "There is no 240 V circuit here, and this heater needs one."),
        (Site(condensate_drain=False), "heat-pump-50",
         "There is no drain for condensate here, and this heater needs one."),
        (Site(room_volume_ft3=500), "heat-pump-50",
         "The room has 500 ft³, this heater needs at least 700 ft³ of air around it."),
        (Site(gas_line_btu_per_h=38000), "tank-40-ng-nd",
         "The gas line carries 38,000 Btu/h, this heater needs 40,000 Btu/h."),
    ],
)  # fmt: skip
def test_a_site_that_closes_a_heater(demo: Catalog, site: Site, slug: str, reason: str) -> None:
    assert offered(demo, site)[slug].closed_reason == reason


def test_what_nobody_looked_at_closes_nothing_and_is_to_be_checked(demo: Catalog) -> None:
    heaters = offered(demo)
    assert all(heater.closed_reason is None for heater in heaters.values())
    assert heaters["heat-pump-50"].check_these == (
        "Look whether there is a 240 V circuit here; this heater needs one.",
        "Look whether there is a drain for condensate; this heater needs one.",
        "Measure the room: this heater needs at least 700 ft³.",
        "Look whether the water system is closed and has an expansion tank: Thermal expansion "
        "tank may have to be added to the price.",
    )


def test_a_heater_that_needs_no_drain_is_taken_where_there_is_none(demo: Catalog) -> None:
    slugs = list(offered(demo, Site(condensate_drain=False)))
    assert "instantaneous-ng" in slugs
    assert "instantaneous-condensing-ng" not in slugs


def items(heater: ReplacementHeater) -> set[str]:
    return {item.slug for item in heater.site_items}


@pytest.mark.parametrize(
    ("site", "slug", "item", "there"),
    [
        (Site(closed_water_system=True, expansion_tank=False), "tank-40-ng-nd",
         "expansion-tank", 1),
        (Site(closed_water_system=True, expansion_tank=True), "tank-40-ng-nd", "expansion-tank", 0),
        (Site(closed_water_system=False), "tank-40-ng-nd", "expansion-tank", 0),
        (Site(closed_water_system=True, expansion_tank=False), "instantaneous-condensing-ng",
         "expansion-tank", 0),
        (Site(drain_pan_needed=True), "electric-40", "drain-pan", 1),
        (Site(), "electric-40", "drain-pan", 0),
        (Site(seismic_zone=True), "tank-40-ng-nd", "seismic-straps", 1),
        (Site(), "tank-40-ng-nd", "seismic-straps", 0),
        (Site(), "tank-40-ng-nd", "sediment-trap", 1),
        (Site(), "electric-40", "sediment-trap", 0),
        (Site(), "electric-40", "cap-gas", 1),
        (Site(), "electric-40", "permit", 1),
        (Site(), "heat-pump-50", "haul-away", 1),
        (Site(), "tank-40-ng-nd", "vent-connector", 1),
        (Site(), "condensing-50-ng", "vent-new", 1),
        (Site(), "condensing-50-ng", "vent-connector", 0),
        (Site(gas_line_btu_per_h=60000), "instantaneous-condensing-ng", "gas-line", 1),
        (Site(gas_line_btu_per_h=200000), "instantaneous-condensing-ng", "gas-line", 0),
        (Site(condensate_drain=False), "condensing-50-ng", "condensate", 1),
        (Site(condensate_drain=True), "condensing-50-ng", "condensate", 0),
    ],
)  # fmt: skip
def test_site_items_by_condition(
    demo: Catalog, site: Site, slug: str, item: str, there: int
) -> None:
    heater = offered(demo, site)[slug]
    assert (item in items(heater)) is bool(there)
    assert all(each.because for each in heater.site_items)


def test_a_gas_line_that_nobody_looked_at(demo: Catalog) -> None:
    heaters = offered(demo)
    asked = "Look whether the gas line carries its input: Larger gas line"
    assert any(check.startswith(asked) for check in heaters["condensing-50-ng"].check_these)
    weak = PLATE.model_copy(update={"input_btu_per_h": 30000})
    assert (
        "Look whether the gas line carries 40,000 Btu/h; the old heater has 30,000 Btu/h."
        in offered(demo, plate=weak)["tank-40-ng-nd"].check_these
    )
    # The line that feeds the old burner feeds one of the same input.
    assert not any(check.startswith(asked) for check in heaters["tank-40-ng-nd"].check_these)


@pytest.mark.parametrize(
    ("on", "amounts"),
    [
        (date(2025, 6, 1), ["600.00"]),
        (date(2027, 12, 31), ["600.00"]),
        (date(2028, 1, 1), []),
    ],
)
def test_incentives_go_by_date(demo: Catalog, on: date, amounts: list[str]) -> None:
    found = offered(demo, on=on)["heat-pump-50"].incentives
    assert [each.amount for each in found] == [Decimal(amount) for amount in amounts]
    assert offered(demo, on=on)["tank-40-ng-nd"].incentives == ()


def test_an_incentive_asks_for_its_efficiency(demo: Catalog) -> None:
    assert offered(demo)["instantaneous-condensing-ng"].incentives
    assert not offered(demo, Site(condensate_drain=False))["instantaneous-ng"].incentives


def test_a_smaller_first_hour_rating_is_said(demo: Catalog) -> None:
    plate = PLATE.model_copy(update={"first_hour_rating_gal": 67})
    heaters = offered(demo, plate=plate, household=Household(people=5))
    assert heaters["electric-40"].check_these[0] == "Look whether there is a 240 V circuit here; " \
        "this heater needs one."  # fmt: skip
    assert (
        "Its first-hour rating is 52 gal, that of the old heater 67 gal: ask whether hot water "
        "ran short."
    ) in heaters["electric-40"].check_these
    assert (
        "If all 5 people shower within the hour they draw about 100 gal, its first-hour rating "
        "is 70 gal."
    ) in heaters["tank-40-ng-nd"].check_these


def test_money_is_exact(demo: Catalog) -> None:
    tank = offered(demo)["tank-40-ng-nd"]
    assert tank.unit_cost == Decimal("515.00")
    assert isinstance(tank.install.hours, Decimal)
    assert tank.install == install_operation(demo, "install_gas_tank")


def test_every_remedy_has_its_operation(demo: Catalog) -> None:
    for remedy in Remedy:
        found = operations_for(demo, remedy)
        if remedy is Remedy.REPLACE_HEATER:
            assert found == ()
            continue
        assert found[0].slug == remedy.value
        assert all(operation.hours > 0 for operation in found)


def test_gas_work_is_followed_by_a_test(demo: Catalog) -> None:
    slugs = [operation.slug for operation in operations_for(demo, Remedy.REPLACE_GAS_CONTROL)]
    assert slugs == ["replace_gas_control", "light_and_test"]


def test_an_install_operation_that_is_not_there(demo: Catalog) -> None:
    with pytest.raises(CatalogTrouble, match=r'install operation "install_boat" is not in the'):
        install_operation(demo, "install_boat")


@pytest.mark.parametrize(
    ("remedy", "chamber", "kinds"),
    [
        (Remedy.RESEAT_ELEMENT, Chamber.SEALED, ["gasket", "clip"]),
        (Remedy.RESEAT_ELEMENT, Chamber.OPEN, ["clip"]),
        (Remedy.CLEAN_ARRESTOR, Chamber.SEALED, ["gasket"]),
        (Remedy.CLEAR_PILOT, Chamber.OPEN, ["leak solution"]),
        (Remedy.SUPPLY_WORK, Chamber.OPEN, ["leak solution", "thread sealant"]),
        (Remedy.TIGHTEN_JOINT, Chamber.OPEN, []),
    ],
)
def test_companions_of_work_that_puts_in_no_part(
    demo: Catalog, remedy: Remedy, chamber: Chamber, kinds: list[str]
) -> None:
    plate = PLATE.model_copy(update={"chamber": chamber})
    found = companions_for(demo, remedy, plate, "a-40-ng-tc-nd-sealed-2003", "van-1", ON)
    assert found.missing == ()
    assert [any(kind in part.description.lower() for kind in kinds) for part in found.parts] == [
        True for _ in kinds
    ]


FACTS: dict[str, str | bool | None] = {"stores": True, "fuel": "propane", "expansion_tank": None}


@pytest.mark.parametrize(
    ("text", "held"),
    [
        ("", True),
        ("stores=yes", True),
        ("stores=no", False),
        ("fuel=natural_gas|propane", True),
        ("stores=yes;fuel=natural_gas", False),
        ("expansion_tank=no", None),
        ("expansion_tank=no;stores=yes", None),
        ("expansion_tank=no;stores=no", False),
    ],
)
def test_conditions(text: str, held: bool | None) -> None:
    assert holds(text, FACTS) is held


@pytest.mark.parametrize("text", ["stores", "stores=", "phase_of_moon=full"])
def test_conditions_that_cannot_be_read(text: str) -> None:
    with pytest.raises(ValueError, match="condition"):
        parse(text)
