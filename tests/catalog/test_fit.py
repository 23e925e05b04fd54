"""How the answer is put together: known features, ranking, companions, closed paths."""

from __future__ import annotations

from collections.abc import Callable
from decimal import Decimal
from pathlib import Path

import pytest

from catalog.database import build_catalog
from catalog.fit import FitAnswer, fit_parts
from catalog.needs import Need
from catalog.snapshots import Catalog
from estimator.errors import CatalogTrouble, InputTrouble, PartNotFound
from estimator.findings import Remedy
from estimator.heater import Chamber, Fuel, Ignition
from estimator.supply import FitClass, PartFamily
from tests.catalog.small_catalog import ON, PLATE, SmallCatalog

SE, GC, PA, LM = (
    PartFamily.SENSING_ELEMENT,
    PartFamily.GAS_CONTROL,
    PartFamily.PILOT_ASSEMBLY,
    PartFamily.LIMIT,
)
SEALED_PLATE = PLATE.model_copy(update={"chamber": Chamber.SEALED})
MEASURED = {
    "connection": "threaded_right_11_32_32",
    "tip_style": "snap_in_collar",
    "cut_off_built_in": False,
    "length_in": 24.0,
}
Opened = Callable[[SmallCatalog], Catalog]


@pytest.fixture
def opened(tmp_path: Path) -> Opened:
    def build(shelf: SmallCatalog) -> Catalog:
        build_catalog(shelf.write(tmp_path / "source"), tmp_path / "catalogs")
        return Catalog.open_current(tmp_path / "catalogs")

    return build


def numbers(answer: FitAnswer) -> list[str]:
    return [fit.part.number for fit in answer.fitting]


def test_classes_rank_before_place_and_price(opened: Opened) -> None:
    shelf = SmallCatalog()
    shelf.part(SE, "L-100", cost="30.00")
    shelf.part(SE, "A-200", cost="20.00")
    shelf.part(SE, "U-300", universal=True, cost="1.00")
    shelf.stock("U-300", "van-1", 5)
    shelf.listed("sensing_element", "L-100")
    shelf.alike("L-100", "A-200")
    answer = fit_parts(opened(shelf), Need(SE, PLATE, "heater"), "van-1", ON)
    assert numbers(answer) == ["L-100", "A-200", "U-300"]
    assert [fit.fit_class for fit in answer.fitting] == [
        FitClass.LISTED,
        FitClass.ALIKE,
        FitClass.UNIVERSAL,
    ]


def test_among_equals_van_before_branch_before_order_then_price(opened: Opened) -> None:
    shelf = SmallCatalog()
    for number, cost in (("P-1", "5.00"), ("P-2", "9.00"), ("P-3", "9.50"), ("P-4", "4.00")):
        shelf.part(SE, number, cost=cost)
    shelf.stock("P-3", "van-1", 1)
    shelf.stock("P-2", "branch-1", 1)
    shelf.stock("P-1", "van-2", 4)
    answer = fit_parts(opened(shelf), Need(SE, PLATE, features=MEASURED), "van-1", ON)
    assert numbers(answer) == ["P-3", "P-2", "P-4", "P-1"]


def test_complete_ranks_before_partial(opened: Opened) -> None:
    shelf = SmallCatalog()
    shelf.part(PA, "OLD-9", discontinued=True, cost=None)
    shelf.part(PA, "BARE-1", {"includes_igniter": False}, cost="1.00")
    shelf.part(PA, "FULL-2", cost="50.00")
    answer = fit_parts(opened(shelf), Need(PA, PLATE, None, "OLD-9"), "", ON)
    assert numbers(answer) == ["FULL-2", "BARE-1"]
    assert answer.fitting[1].lacks == ("igniter",)
    assert "It comes without the igniter." in answer.fitting[1].supplied().check_these


def test_unknown_is_never_a_match(opened: Opened) -> None:
    shelf = SmallCatalog()
    shelf.part(SE, "PLAIN-1")
    shelf.part(SE, "CUT-2", {"cut_off_built_in": True}, cost="99.00")
    known = {name: value for name, value in MEASURED.items() if name != "cut_off_built_in"}
    answer = fit_parts(opened(shelf), Need(SE, PLATE, features=known), "", ON)
    # Where the cut-off is not known, the part that cannot lose it comes first.
    assert numbers(answer) == ["CUT-2", "PLAIN-1"]
    for fit in answer.fitting:
        reason = next(r for r in fit.reasons if r.feature == "cut_off_built_in")
        assert reason.status == "unknown"
        assert not fit.complete
        assert any("thermal cut-off" in check for check in fit.supplied().check_these)


def test_listed_part_no_longer_sold_leads_to_the_one_that_replaces_it(opened: Opened) -> None:
    shelf = SmallCatalog()
    shelf.part(GC, "G-1", replaced_by="G-2", cost=None)
    shelf.part(GC, "G-2", replaced_by="G-3", cost=None)
    shelf.part(GC, "G-3")
    shelf.listed("gas_control", "G-1")
    answer = fit_parts(opened(shelf), Need(GC, SEALED_PLATE, "heater"), "", ON)
    assert numbers(answer) == ["G-3"]
    assert answer.fitting[0].fit_class is FitClass.LISTED
    assert answer.fitting[0].reasons[0].sentence == (
        "Replaces G-1, listed by the maker for this heater."
    )


def test_replaced_by_runs_one_way(opened: Opened) -> None:
    shelf = SmallCatalog()
    shelf.part(SE, "S-1", replaced_by="S-2")
    shelf.part(SE, "S-2")
    catalog = opened(shelf)
    for old in ("S-1", "S-2"):
        answer = fit_parts(catalog, Need(SE, PLATE, None, old), "", ON)
        assert numbers(answer) == ["S-2"]
        assert "S-1" not in [fit.part.number for fit in answer.rejected]


def test_a_replacement_that_loses_the_cut_off_is_refused(opened: Opened) -> None:
    shelf = SmallCatalog()
    shelf.part(SE, "S-1", {"cut_off_built_in": True}, replaced_by="S-2", cost=None)
    shelf.part(SE, "S-2")
    answer = fit_parts(opened(shelf), Need(SE, PLATE, None, "S-1"), "", ON)
    assert answer.fitting == ()
    assert "a safety function would be lost" in answer.rejected[0].faults[0]


def test_listed_and_nothing_replaces_it_closes_the_path(opened: Opened) -> None:
    shelf = SmallCatalog()
    shelf.part(GC, "G-1", discontinued=True, cost=None)
    shelf.listed("gas_control", "G-1")
    answer = fit_parts(opened(shelf), Need(GC, SEALED_PLATE, "heater"), "", ON)
    assert answer.closed_reason == (
        "The gas control that the maker lists (G-1) is no longer sold, nothing replaces it, "
        "and no other part fits."
    )
    assert answer.rejected[0].faults == ("G-1 is no longer sold, and nothing replaces it.",)
    with pytest.raises(CatalogTrouble, match=r"Part G-1 cannot be quoted: G-1 is no longer sold"):
        answer.rejected[0].supplied()


def test_a_part_that_nobody_offers_that_day_is_rejected(opened: Opened) -> None:
    shelf = SmallCatalog()
    shelf.part(SE, "S-1", cost=None)
    shelf.offer("S-1", "8.00", valid_to="2025-12-31")
    answer = fit_parts(opened(shelf), Need(SE, PLATE, features=MEASURED), "", ON)
    assert answer.rejected[0].faults == ("No supplier offers S-1 on 2026-02-02.",)


def test_the_cheapest_offer_of_the_day_is_the_cost(opened: Opened) -> None:
    shelf = SmallCatalog()
    shelf.part(SE, "S-1", cost="9.10")
    shelf.offer("S-1", "8.05", supplier="Counter B (invented)", list_price="19.99")
    shelf.offer("S-1", "1.00", supplier="Counter C (invented)", valid_from="2027-01-01")
    supplied = fit_parts(opened(shelf), Need(SE, PLATE, features=MEASURED), "", ON).fitting[0]
    assert supplied.supplied().unit_cost == Decimal("8.05")
    assert supplied.supplied().list_price == Decimal("19.99")


def test_nothing_known_but_the_plate_gives_no_part(opened: Opened) -> None:
    shelf = SmallCatalog()
    shelf.part(SE, "S-1")
    answer = fit_parts(opened(shelf), Need(SE, PLATE), "", ON)
    assert answer.fitting == ()
    assert answer.closed_reason == (
        "Nothing is known of the sensing element that is needed: give the heater family, the "
        "number on the old part, or its measures. By its plate the heater may be of heater."
    )


def test_an_element_that_comes_only_inside_an_assembly(opened: Opened) -> None:
    shelf = SmallCatalog()
    shelf.part(PA, "PA-7")
    shelf.listed("pilot_assembly", "PA-7")
    answer = fit_parts(opened(shelf), Need(SE, PLATE, "heater"), "", ON)
    assert answer.closed_reason == (
        "The sensing element of this heater comes only inside pilot assembly PA-7: choose to "
        "replace the pilot assembly."
    )


@pytest.mark.parametrize(
    ("family", "ignition", "reason"),
    [
        (SE, Ignition.HOT_SURFACE, "proves its flame by a rod"),
        (PA, Ignition.HOT_SURFACE, "it has no pilot"),
        (PartFamily.FLAME_ROD, Ignition.PILOT_THERMOCOUPLE, "it has no flame rod"),
        (PartFamily.VAPOR_SENSOR, Ignition.PILOT_THERMOCOUPLE, "has no vapor sensor"),
    ],
)
def test_a_part_that_this_heater_has_not(
    opened: Opened, family: PartFamily, ignition: Ignition, reason: str
) -> None:
    plate = PLATE.model_copy(update={"ignition": ignition})
    answer = fit_parts(opened(SmallCatalog()), Need(family, plate, "heater"), "", ON)
    assert answer.closed_reason is not None
    assert reason in answer.closed_reason


def test_limit_and_fuse_are_told_apart_by_the_remedy(opened: Opened) -> None:
    shelf = SmallCatalog()
    shelf.part(LM, "LIM-1")
    shelf.part(LM, "FUSE-2", {"reset_kind": "one_shot", "opens_at_f": 300})
    shelf.listed("limit", "LIM-1")
    shelf.listed("thermal_fuse", "FUSE-2")
    catalog = opened(shelf)
    for remedy, number in ((Remedy.REPLACE_LIMIT, "LIM-1"), (Remedy.REPLACE_FUSE, "FUSE-2")):
        need = Need.for_remedy(remedy, PLATE, "heater")
        assert need is not None
        answer = fit_parts(catalog, need, "", ON)
        assert numbers(answer) == [number]
        assert answer.fitting[0].complete
    unsaid = fit_parts(catalog, Need(LM, PLATE, "heater"), "", ON)
    assert set(numbers(unsaid)) == {"LIM-1", "FUSE-2"}
    assert not any(fit.complete for fit in unsaid.fitting)
    assert Need.for_remedy(Remedy.CLEAN_ELEMENT, PLATE) is None


def test_a_kind_that_the_maker_does_not_list_does_not_lift_the_temperature(
    opened: Opened,
) -> None:
    shelf = SmallCatalog()
    shelf.part(LM, "LIM-1", {"opens_at_f": 180})
    shelf.part(LM, "HOT-2", {"opens_at_f": 290, "reset_kind": "automatic"})
    shelf.listed("limit", "LIM-1")
    measured = {"reset_kind": "automatic"}
    answer = fit_parts(opened(shelf), Need(LM, PLATE, "heater", features=measured), "", ON)
    assert numbers(answer) == ["LIM-1"]
    assert answer.fitting[0].check_these == (
        "Reset: manual reset on the listed part LIM-1, but automatic reset as measured: look "
        "again which is right.",
    )
    assert any("it would open too late" in fault for fault in answer.rejected[0].faults)


def test_plate_against_heater_family_is_to_be_checked(opened: Opened) -> None:
    shelf = SmallCatalog()
    shelf.part(GC, "G-1")
    shelf.listed("gas_control", "G-1")
    plate = PLATE.model_copy(update={"fuel": Fuel.PROPANE})
    answer = fit_parts(opened(shelf), Need(GC, plate, "heater"), "", ON)
    assert answer.fitting == ()
    assert any(
        "says fuel propane, heater family heater has natural gas" in check
        for check in answer.rejected[0].check_these
    )


def test_an_old_part_of_another_family_is_not_gone_by(opened: Opened) -> None:
    shelf = SmallCatalog()
    shelf.part(SE, "S-1")
    shelf.part(GC, "G-1")
    answer = fit_parts(opened(shelf), Need(SE, PLATE, None, "G-1", MEASURED), "", ON)
    assert answer.fitting[0].check_these == (
        "Number G-1 is a gas control, not a sensing element: the old part is not gone by.",
    )


def test_measure_against_the_old_part_is_to_be_checked(opened: Opened) -> None:
    shelf = SmallCatalog()
    shelf.part(SE, "S-1")
    answer = fit_parts(opened(shelf), Need(SE, PLATE, None, "S-1", {"tip_style": "plain"}), "", ON)
    assert answer.fitting[0].check_these == (
        "Tip style: snap-in collar on the old part S-1, but plain tip as measured: look again "
        "which is right.",
    )


def test_a_gas_joint_gets_leak_solution_and_a_sealed_chamber_its_gasket(opened: Opened) -> None:
    shelf = SmallCatalog()
    shelf.part(PA, "PA-1")
    shelf.part(PartFamily.SUNDRY, "LEAK-1", cost="4.00")
    shelf.part(PartFamily.SUNDRY, "GASKET-1", {"sundry_kind": "gasket"})
    shelf.part(PartFamily.SUNDRY, "GASKET-2", {"sundry_kind": "gasket"}, cost="1.00")
    shelf.listed("pilot_assembly", "PA-1")
    shelf.listed("door_gasket", "GASKET-1")
    catalog = opened(shelf)
    sealed = fit_parts(catalog, Need(PA, SEALED_PLATE, "heater"), "", ON).fitting[0]
    assert [(part.number, part.fit_class) for part in sealed.companions] == [
        ("LEAK-1", FitClass.UNIVERSAL),
        ("GASKET-1", FitClass.LISTED),
    ]
    assert all(part.needed_because for part in sealed.companions)
    openly = fit_parts(catalog, Need(PA, PLATE, "heater"), "", ON).fitting[0]
    assert [part.number for part in openly.companions] == ["LEAK-1"]


def test_a_gasket_that_the_catalog_lacks_is_said(opened: Opened) -> None:
    shelf = SmallCatalog()
    shelf.heaters[0]["chamber"] = "sealed"
    shelf.part(SE, "S-1")
    shelf.listed("sensing_element", "S-1")
    fit = fit_parts(opened(shelf), Need(SE, SEALED_PLATE, "heater"), "", ON).fitting[0]
    assert fit.check_these == (
        "The job needs a gasket (the sealed chamber is opened, and its door seal is used once); "
        "the catalog has none for this heater.",
    )


def test_an_assembly_without_element_says_what_the_element_must_have(opened: Opened) -> None:
    shelf = SmallCatalog()
    shelf.part(PA, "OLD-1", {"cut_off_built_in": True}, discontinued=True, cost=None)
    bare = {"includes_element": False, "output_class_mv": None, "connection": None}
    shelf.part(PA, "BARE-2", bare)
    fit = fit_parts(opened(shelf), Need(PA, PLATE, None, "OLD-1"), "", ON).fitting[0]
    assert fit.lacks == ("sensing element",)
    assert "the piece that is put in with it must have one" in fit.check_these[0]


@pytest.mark.parametrize(
    ("features", "message"),
    [
        ({"lenght_in": 24}, '"lenght_in" is not a feature of a sensing element'),
        ({"length_in": -3}, "length_in is -3 in the features of the old part; it must be above 0."),
        ({"length_in": "long"}, 'length_in is "long" in the features of the old part; it must be'),
        ({"length_in": 241}, "it must be 240 or less."),
        ({"connection": "Push-in"}, 'connection is "Push-in", which the fit rules do not know'),
        ({"connection": "bayonet"}, 'connection is "bayonet", which the fit rules do not know'),
        ({"cut_off_built_in": "maybe"}, '"maybe" is neither yes nor no'),
    ],
)
def test_features_that_are_not_usable(
    opened: Opened, features: dict[str, str | float | bool], message: str
) -> None:
    with pytest.raises(InputTrouble) as told:
        fit_parts(opened(SmallCatalog()), Need(SE, PLATE, features=features), "", ON)
    assert message in str(told.value)
    assert "in the features of the old part" in str(told.value)


def test_a_number_or_van_or_family_that_is_not_there(opened: Opened) -> None:
    shelf = SmallCatalog()
    shelf.part(SE, "SE-10010")
    shelf.stock("SE-10010", "van-1", 1)
    catalog = opened(shelf)
    with pytest.raises(PartNotFound, match=r'"SE-10011" is not in the catalog. Near it are SE-100'):
        fit_parts(catalog, Need(SE, PLATE, None, "SE-10011"), "", ON)
    with pytest.raises(
        CatalogTrouble, match=r'van "van-7" is not in the catalog. Its vans are van-1'
    ):
        fit_parts(catalog, Need(SE, PLATE, None, "SE-10010"), "van-7", ON)
    with pytest.raises(
        CatalogTrouble, match=r'family "heatr" is not in the catalog. Did you mean he'
    ):
        fit_parts(catalog, Need(SE, PLATE, "heatr"), "", ON)


def test_a_gasket_is_not_told_by_its_kind_alone(opened: Opened) -> None:
    """A kind says nothing of a size: without the heater's list none is offered."""
    shelf = SmallCatalog()
    for number in ("SU-1", "SU-2"):
        shelf.part(PartFamily.SUNDRY, number, {"sundry_kind": "gasket"})
    shelf.part(PartFamily.SUNDRY, "SU-3", {"sundry_kind": "brush"})
    shelf.listed("door_gasket", "SU-2", "heater")
    catalog = opened(shelf)
    kind = {"sundry_kind": "gasket"}
    answer = fit_parts(catalog, Need(PartFamily.SUNDRY, features=kind), "", ON)
    assert answer.fitting == ()
    assert answer.closed_reason == (
        "Only a gasket that the maker lists may go in: give the heater family, or the number on "
        "the old part."
    )
    faults = {fit.part.number: fit.faults for fit in answer.rejected}
    assert faults["SU-3"] == ("Kind: brush, not gasket as measured.",)
    told = fit_parts(catalog, Need(PartFamily.SUNDRY, None, "heater", features=kind), "", ON)
    assert [(fit.part.number, fit.fit_class) for fit in told.fitting] == [("SU-2", FitClass.LISTED)]
    old = fit_parts(catalog, Need(PartFamily.SUNDRY, None, None, "SU-1"), "", ON)
    assert [fit.part.number for fit in old.fitting] == ["SU-1"]
