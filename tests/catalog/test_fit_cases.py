"""Worked fit cases: what is known and what is on the shelf, and how it must come out.

Each case names the rule that it illustrates. The rules are facts of the trade: common
practice, no source.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field
from typing import Any

import pytest

from catalog.database import build_catalog
from catalog.fit import fit_parts
from catalog.fit_rules import read_rules, rules_that_ship
from catalog.needs import Need
from catalog.snapshots import Catalog
from estimator.heater import Chamber, Fuel, Ignition
from estimator.supply import FitClass, PartFamily
from tests.catalog.small_catalog import BASE, HEATER, ON, PLATE, SmallCatalog

SE, PA, IG = PartFamily.SENSING_ELEMENT, PartFamily.PILOT_ASSEMBLY, PartFamily.IGNITER
LM, GC, OR = PartFamily.LIMIT, PartFamily.GAS_CONTROL, PartFamily.ORIFICE
PT, DK, VS = PartFamily.PILOT_TUBE, PartFamily.DOOR_KIT, PartFamily.VAPOR_SENSOR
FR, SU = PartFamily.FLAME_ROD, PartFamily.SUNDRY
GASKET, CLIP = {"sundry_kind": "gasket"}, {"sundry_kind": "clip", "tip_style": "flanged"}
LISTED, ALIKE, UNIVERSAL = FitClass.LISTED, FitClass.ALIKE, FitClass.UNIVERSAL
ADAPTER, NO_FIT = FitClass.ADAPTER, FitClass.NO_FIT
SEALED = {"chamber": Chamber.SEALED}
ROD = {"ignition": Ignition.HOT_SURFACE}
PROPANE = {"fuel": Fuel.PROPANE}


@dataclass(frozen=True)
class Case:
    """One part on the shelf against one need.

    `old` changes the old part from the base of its family, `new` the part on the shelf.
    `by` says how the new part is known: "listed", "alike", "universal" or "measure".
    """

    rule: str
    family: PartFamily
    new: dict[str, Any]
    expect: FitClass
    says: str
    old: dict[str, Any] = field(default_factory=dict)
    by: str = "measure"
    plate: dict[str, Any] = field(default_factory=dict)
    adapter: tuple[str, str, str] | None = None
    status: str = ""


CASES = (
    # Sensing elements
    Case("an element the same in all passes", SE, {}, ALIKE, "30 mV, as on the rating plate"),
    Case("30 mV never serves for 750", SE, {}, NO_FIT, "30 mV, not 750 mV",
         old={"output_class_mv": 750}, plate={"ignition": Ignition.PILOT_THERMOPILE}),
    Case("750 mV never serves for 30", SE, {"output_class_mv": 750}, NO_FIT, "750 mV, not 30 mV"),
    Case("no cut-off for one with cut-off", SE, {}, NO_FIT, "a safety function would be lost",
         old={"cut_off_built_in": True}),
    Case("cut-off kept", SE, {"cut_off_built_in": True}, ALIKE, "cut-off: yes, as on the old part",
         old={"cut_off_built_in": True}),
    Case("cut-off must match, more is another kind", SE, {"cut_off_built_in": True}, NO_FIT,
         "cut-off: yes, not no"),
    Case("the maker's list does not excuse a lost cut-off", SE, {}, NO_FIT,
         "a safety function would be lost", old={"cut_off_built_in": True}, by="listed"),
    Case("of two that disagree on a cut-off the safer counts", SE, {"cut_off_built_in": True},
         LISTED, "cut-off: yes, as on the listed part", by="listed"),
    Case("alike does not excuse a lost cut-off", SE, {}, NO_FIT, "a safety function would be lost",
         old={"cut_off_built_in": True}, by="alike"),
    Case("left hand is not right hand", SE, {"connection": "threaded_left_11_32_32"}, NO_FIT,
         "left hand, not threaded 11/32-32, right hand"),
    Case("push-in is not threaded", SE, {"connection": "push_in"}, NO_FIT, "push-in, not threaded"),
    Case("spade is not push-in", SE, {"connection": "spade"}, NO_FIT, "spade terminals, not push",
         old={"connection": "push_in"}),
    Case("an adapter bridges the connection", SE, {}, ADAPTER, "bridges it",
         old={"connection": "push_in"},
         adapter=("connection", "threaded_right_11_32_32", "push_in")),
    Case("an adapter works one way", SE, {"connection": "push_in"}, NO_FIT, "push-in, not threaded",
         adapter=("connection", "threaded_right_11_32_32", "push_in")),
    Case("an adapter bridges nothing else", SE, {"tip_style": "flanged"}, NO_FIT,
         "flanged tip, not snap-in collar",
         adapter=("connection", "threaded_right_11_32_32", "push_in")),
    Case("another tip does not seat", SE, {"tip_style": "plain"}, NO_FIT, "plain tip, not snap-in"),
    Case("too short", SE, {"length_in": 18}, NO_FIT, "18 in, not 24 in on the old part"),
    Case("longer is coiled", SE, {"length_in": 36}, ALIKE, "36 in, fits 24 in"),
    Case("as long as can be coiled", SE, {"length_in": 48}, ALIKE, "48 in, fits 24 in"),
    Case("too long to coil", SE, {"length_in": 60}, NO_FIT, "too long to coil"),
    Case("universal that matches", SE, {}, UNIVERSAL, "Sold as universal", by="universal"),
    Case("universal that is too short", SE, {"length_in": 18}, NO_FIT, "too short", by="universal"),
    Case("alike both ways", SE, {}, ALIKE, "Alike to OLD-", by="alike"),
    Case("alike but another connection", SE, {"connection": "spade"}, NO_FIT, "spade terminals",
         by="alike"),
    Case("listed wins over length", SE, {"length_in": 20}, LISTED, "too short", by="listed",
         status="differs"),
    Case("sealed chamber: not by measure", SE, {}, NO_FIT, "only by the one that the maker lists",
         plate=SEALED),
    Case("sealed chamber: not by alike", SE, {}, NO_FIT, "only by the one that the maker lists",
         plate=SEALED, by="alike"),
    Case("sealed chamber: listed", SE, {}, LISTED, "Listed by", plate=SEALED, by="listed"),
    Case("sealed chamber: universal shown as such", SE, {}, UNIVERSAL, "Sold as universal",
         plate=SEALED, by="universal"),
    # Pilot assemblies
    Case("a pilot assembly the same in all", PA, {}, ALIKE, "Fuel: natural gas, as on the rating"),
    Case("the other fuel's pilot never fits", PA, {"fuel": "propane"}, NO_FIT,
         "propane, not natural gas"),
    Case("the fuel is the plate's, not the old part's", PA, {"fuel": "propane"}, ALIKE,
         "propane, as on the rating plate", plate=PROPANE),
    Case("the list does not excuse the wrong fuel", PA, {"fuel": "propane"}, NO_FIT,
         "propane, not natural gas", by="listed"),
    Case("hood direction must match", PA, {"hood_direction": "right"}, NO_FIT, "right, not left"),
    Case("mounting must match", PA, {"mounting": "tray_slide"}, NO_FIT, "slide-in tray, not flat"),
    Case("tube connection must match", PA, {"tube_connection": "snap_fit_1_4"}, NO_FIT,
         "snap fit, not 1/4 in compression"),
    Case("a tube adapter bridges it", PA, {}, ADAPTER, "bridges it",
         old={"tube_connection": "compression_3_16"},
         adapter=("tube_connection", "compression_1_4", "compression_3_16")),
    Case("an igniter missing is said", PA, {"includes_igniter": False}, ALIKE,
         "Igniter: not included", status="differs"),
    Case("an igniter more is said", PA, {}, ALIKE, "Igniter: included, the old one has none",
         old={"includes_igniter": False}, status="differs"),
    Case("an element missing is said", PA,
         {"includes_element": False, "output_class_mv": None, "connection": None}, ALIKE,
         "Sensing element: not included", status="differs"),
    Case("an assembly's element keeps the cut-off", PA, {}, NO_FIT,
         "a safety function would be lost", old={"cut_off_built_in": True}),
    Case("an assembly's element has the plate's class", PA, {"output_class_mv": 750}, NO_FIT,
         "750 mV, not 30 mV"),
    Case("another connection of the assembly's element", PA, {"connection": "spade"}, NO_FIT,
         "spade terminals, not threaded 11/32-32, right hand"),
    Case("the assembly's element may not lose the cut-off though listed", PA, {}, NO_FIT,
         "a safety function would be lost", old={"cut_off_built_in": True}, by="listed"),
    Case("an assembly of another mounting is not universal enough", PA,
         {"mounting": "two_screw_angle"}, NO_FIT, "angled bracket, two screws, not flat",
         by="universal"),
    # Igniters
    Case("an igniter the same in all", IG, {}, ALIKE, "push-button, as on the old part"),
    Case("another kind of igniter", IG, {"igniter_kind": "electrode_and_lead"}, NO_FIT,
         "electrode and lead, not push-button"),
    Case("another terminal", IG, {"terminal": "pin"}, NO_FIT, "pin, not 1/4 in spade"),
    Case("another mounting of an igniter", IG, {"mounting": "door_clip"}, NO_FIT,
         "clip on the burner door, not hole in the panel"),
    Case("a terminal adapter bridges it", IG, {}, ADAPTER, "bridges it",
         old={"terminal": "spade_3_16"}, adapter=("terminal", "spade_1_4", "spade_3_16")),
    Case("a voltage of another igniter not even when listed", IG,
         {"igniter_kind": "hot_surface", "voltage_v": 80}, NO_FIT, "80 V, not 120 V",
         old={"igniter_kind": "hot_surface", "voltage_v": 120}, plate=ROD, by="listed"),
    Case("lead too short", IG, {"lead_length_in": 12}, NO_FIT, "too short"),
    Case("lead longer", IG, {"lead_length_in": 36}, ALIKE, "36 in, fits 24 in"),
    Case("hot surface of another voltage", IG,
         {"igniter_kind": "hot_surface", "voltage_v": 80}, NO_FIT, "80 V, not 120 V",
         old={"igniter_kind": "hot_surface", "voltage_v": 120}, plate=ROD),
    Case("a voltage where there is none", IG, {"voltage_v": 120}, NO_FIT, "there is none"),
    # Limits and fuses
    Case("a limit the same in all", LM, {}, ALIKE, "190 °F, as on the old part"),
    Case("a higher limit never", LM, {"opens_at_f": 200}, NO_FIT, "it would open too late"),
    Case("a higher limit not even when listed", LM, {"opens_at_f": 200}, NO_FIT,
         "it would open too late", by="listed"),
    Case("a lower limit is another one", LM, {"opens_at_f": 180}, NO_FIT, "it would open too soon"),
    Case("of two that disagree on a temperature the lower counts", LM, {"opens_at_f": 180},
         LISTED, "180 °F, as on the listed part", by="listed"),
    Case("automatic for manual never", LM, {"reset_kind": "automatic"}, NO_FIT,
         "automatic reset, not manual reset"),
    Case("automatic for manual not even when listed", LM, {"reset_kind": "automatic"}, NO_FIT,
         "automatic reset, not manual reset", by="listed"),
    Case("manual for a one-shot fuse never", LM, {}, NO_FIT, "manual reset, not one-shot fuse",
         old={"reset_kind": "one_shot"}),
    Case("other terminals", LM, {"terminals": "spade_3_16"}, NO_FIT, "3/16 in spade, not 1/4"),
    Case("a one-shot fuse for a limit never", LM, {"reset_kind": "one_shot"}, NO_FIT,
         "one-shot fuse, not manual reset"),
    Case("a shorter lead of a limit is only said", LM, {"lead_length_in": 12}, ALIKE,
         "12 in, not 24 in", old={"lead_length_in": 24}, status="differs"),
    Case("a longer lead of a limit is only said", LM, {"lead_length_in": 72}, ALIKE,
         "72 in, not 24 in", old={"lead_length_in": 24}, status="differs"),
    Case("another mounting", LM, {"mounting": "well"}, NO_FIT, "in a well, not two screws"),
    # Gas controls
    Case("a listed control", GC, {}, LISTED, "Listed by the maker", by="listed"),
    Case("a control the same in all but not listed", GC, {}, NO_FIT,
         "only by the one that the maker lists", by="alike"),
    Case("a universal control shown as such", GC, {}, UNIVERSAL, "Sold as universal",
         by="universal"),
    Case("control of the other fuel", GC, {"fuel": "propane"}, NO_FIT, "propane, not natural gas",
         by="listed"),
    Case("control too small for the burner", GC, {"max_input_btu_per_h": 36000}, NO_FIT,
         "too small for the burner", by="listed"),
    Case("control larger than the burner", GC, {"max_input_btu_per_h": 80000}, UNIVERSAL,
         "80,000 Btu/h, fits 40,000 Btu/h", by="universal"),
    Case("control without the cut-off", GC, {"cut_off_built_in": False}, NO_FIT,
         "a safety function would be lost", by="listed"),
    Case("control of another manifold pressure", GC, {"manifold_in_wc": 10.0}, NO_FIT,
         "10 in wc, not 4 in wc", by="universal"),
    Case("control for a thermopile", GC, {"sensing_kind": "thermopile"}, NO_FIT,
         "thermopile, not thermocouple", by="listed"),
    Case("probe too short for the insulation", GC, {"probe_length_in": 1.5}, NO_FIT,
         "Probe length: 1.5 in, not 2.5 in", by="universal"),
    Case("control for thinner insulation", GC, {"insulation_in": 1.0}, NO_FIT, "1 in, not 2 in",
         by="universal"),
    Case("another knob is only said", GC, {"knob": "lever"}, UNIVERSAL, "lever, not round dial",
         by="universal", status="differs"),
    Case("another inlet", GC, {"inlet_size": "npt_3_4"}, NO_FIT, "3/4 in NPT, not 1/2 in NPT",
         by="universal"),
    Case("another outlet", GC, {"outlet_size": "npt_1_2"}, NO_FIT,
         "1/2 in NPT, not 1/2 in inverted flare", by="universal"),
    Case("a probe too long for the insulation", GC, {"probe_length_in": 3.5}, NO_FIT,
         "Probe length: 3.5 in, not 2.5 in", by="universal"),
    Case("control of another manifold pressure not even when listed", GC,
         {"manifold_in_wc": 10.0}, NO_FIT, "10 in wc, not 4 in wc", by="listed"),
    Case("a universal control without the cut-off", GC, {"cut_off_built_in": False}, NO_FIT,
         "a safety function would be lost", by="universal"),
    Case("a universal control too small for the burner", GC, {"max_input_btu_per_h": 36000},
         NO_FIT, "too small for the burner", by="universal"),
    Case("a universal control of the other fuel", GC, {"fuel": "propane"}, NO_FIT,
         "propane, not natural gas", by="universal"),
    Case("a control for a flame rod", GC, {"sensing_kind": "flame_rod"}, NO_FIT,
         "flame rod, not thermocouple", by="universal"),
    Case("a bushing bridges the inlet", GC, {"inlet_size": "npt_3_4"}, ADAPTER,
         "bridges it", by="universal", adapter=("inlet_size", "npt_3_4", "npt_1_2")),
    Case("another element connection", GC, {"connection": "push_in"}, NO_FIT, "push-in, not thread",
         by="universal"),
    # Sundries
    Case("a leak solution is any", SU, {}, ALIKE, "Kind: leak solution, as on the old part"),
    Case("a sealant is no leak solution", SU, {"sundry_kind": "thread_sealant"}, NO_FIT,
         "thread sealant, not leak solution"),
    Case("a gasket that is listed", SU, GASKET, LISTED, "Listed by", old=GASKET, by="listed"),
    Case("a gasket of another heater never by its kind", SU, GASKET, NO_FIT,
         "a gasket is replaced only by the one that the maker lists", old=GASKET),
    Case("a gasket that is alike is not listed", SU, GASKET, NO_FIT,
         "a gasket is replaced only by the one that the maker lists", old=GASKET, by="alike"),
    Case("a clip of the same tip", SU, CLIP, ALIKE, "flanged tip, as on the old part", old=CLIP),
    Case("a clip of another tip", SU, {**CLIP, "tip_style": "plain"}, NO_FIT,
         "plain tip, not flanged tip", old=CLIP),
    # The rest
    Case("an orifice the same in all", OR, {}, ALIKE, "natural gas, as on the rating plate"),
    Case("the other fuel's orifice never", OR, {"fuel": "propane"}, NO_FIT, "propane, not natural"),
    Case("the other fuel's orifice not even when listed", OR, {"fuel": "propane"}, NO_FIT,
         "propane, not natural gas", by="listed"),
    Case("a wider bore", OR, {"bore_in": 0.020}, NO_FIT, "0.02 in, not 0.018 in"),
    Case("a narrower bore", OR, {"bore_in": 0.016}, NO_FIT, "0.016 in, not 0.018 in"),
    Case("another bore not even when listed", OR, {"bore_in": 0.020}, NO_FIT,
         "0.02 in, not 0.018 in", by="listed"),
    Case("another thread of an orifice", OR, {"thread": "m6"}, NO_FIT, "M6, not push-in"),
    Case("a burner orifice for a pilot's", OR, {"orifice_kind": "burner"}, NO_FIT, "burner orif"),
    Case("a longer tube", PT, {"length_in": 30}, ALIKE, "30 in, fits 24 in"),
    Case("a tube too short", PT, {"length_in": 18}, NO_FIT, "18 in, not 24 in on the old part"),
    Case("a tube of another connection", PT, {"tube_connection": "snap_fit_1_4"}, NO_FIT,
         "1/4 in snap fit, not 1/4 in compression"),
    Case("a tube of another diameter", PT, {"diameter_in": 0.1875}, NO_FIT, "0.1875 in, not 0.25"),
    Case("a door that is listed", DK, {}, LISTED, "Listed by the maker", by="listed", plate=SEALED),
    Case("a door for an open chamber never", DK, {"chamber": "open"}, NO_FIT,
         "open chamber, not sealed chamber", by="listed", plate=SEALED),
    Case("a listed door of another width is to be looked at", DK, {"door_width_in": 8.0}, LISTED,
         "Door width: 8 in, not 7.25 in", by="listed", plate=SEALED, status="differs"),
    Case("a door that is not listed", DK, {}, NO_FIT, "only by the one that the maker lists",
         by="alike", plate=SEALED),
    Case("no universal doors", DK, {}, NO_FIT, "only by the one that the maker lists",
         by="universal", plate=SEALED),
    Case("a door of another width", DK, {"door_width_in": 8.0}, NO_FIT,
         "Door width: 8 in, not 7.25 in", by="alike", plate=SEALED),
    Case("another terminal of a vapor sensor", VS, {"terminal": "pin"}, NO_FIT,
         "pin, not two-pole plug", by="alike", plate=SEALED),
    Case("another mounting of a vapor sensor", VS, {"mounting": "one_screw"}, NO_FIT,
         "one screw, not clip", by="alike", plate=SEALED),
    Case("a listed vapor sensor", VS, {}, LISTED, "Listed by the maker", by="listed", plate=SEALED),
    Case("another kind of vapor sensor not even when listed", VS, {"sensor_kind": "switch"},
         NO_FIT, "switch, not resistive", by="listed", plate=SEALED),
    Case("no universal vapor sensors", VS, {}, NO_FIT, "only by the one that the maker lists",
         by="universal", plate=SEALED),
    Case("a flame rod the same in all", FR, {}, ALIKE, "one screw, as on the old part", plate=ROD),
    Case("a flame rod of another mounting", FR, {"mounting": "clip"}, NO_FIT, "clip, not one screw",
         plate=ROD),
    Case("a flame rod of another terminal", FR, {"terminal": "ring"}, NO_FIT,
         "ring, not 1/4 in spade", plate=ROD),
    Case("a flame rod's lead too short", FR, {"lead_length_in": 12}, NO_FIT, "too short",
         plate=ROD),
    Case("a flame rod of another length", FR, {"rod_length_in": 4.25}, NO_FIT, "4.25 in, not 3.5",
         plate=ROD),
)  # fmt: skip


def number(case: Case, which: str) -> str:
    return f"{which}-{CASES.index(case) + 101}"


def shelve(shelf: SmallCatalog, case: Case) -> None:
    old, new = number(case, "OLD"), number(case, "NEW")
    shelf.part(case.family, old, case.old, discontinued=True, cost=None)
    shelf.part(case.family, new, case.new, universal=case.by == "universal")
    if case.by == "listed":
        slug = f"heater-{new.lower()}"
        shelf.heaters.append({**HEATER, "slug": slug})
        position = {OR: "pilot_orifice", DK: "burner_door", SU: "door_gasket"}.get(
            case.family, case.family.value
        )
        shelf.listed(position, new, slug)
    if case.by == "alike":
        shelf.alike(old, new)


@pytest.fixture(scope="module")
def catalogs(tmp_path_factory: pytest.TempPathFactory) -> Iterator[dict[bool, Catalog]]:
    """All cases on one shelf, those with an adapter on another."""
    opened = {}
    for with_adapter in (False, True):
        shelf = SmallCatalog()
        for case in CASES:
            if (case.adapter is not None) is with_adapter:
                shelve(shelf, case)
        if with_adapter:
            wanted = dict.fromkeys(case.adapter for case in CASES if case.adapter is not None)
            for place, adapter in enumerate(wanted):
                shelf.adapter(f"AD-{place}", *adapter)
        folder = tmp_path_factory.mktemp("cases")
        build_catalog(shelf.write(folder / "source"), folder / "catalogs")
        opened[with_adapter] = Catalog.open_current(folder / "catalogs")
    yield opened
    for catalog in opened.values():
        catalog.close()


@pytest.mark.parametrize("case", CASES, ids=lambda case: f"{case.family.value}: {case.rule}")
def test_worked_case(
    case: Case, catalogs: dict[bool, Catalog], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("catalog.fit.MOST_REJECTED", 1000)
    new = number(case, "NEW")
    heater = f"heater-{new.lower()}" if case.by == "listed" else None
    plate = PLATE.model_copy(update=case.plate)
    need = Need(case.family, plate, heater, number(case, "OLD"))
    answer = fit_parts(catalogs[case.adapter is not None], need, "", ON)
    fit = next(f for f in (*answer.fitting, *answer.rejected) if f.part.number == new)
    assert fit.fit_class is case.expect, [reason.sentence for reason in fit.reasons]
    found = [reason for reason in fit.reasons if case.says in reason.sentence]
    assert found, [reason.sentence for reason in fit.reasons]
    if case.expect is NO_FIT:
        assert fit in answer.rejected
        assert any(case.says in fault for fault in fit.faults)
        assert found[0].status == "differs"
    else:
        assert fit in answer.fitting
        assert fit.supplied().number == new
    if case.expect is ADAPTER:
        assert any(part.fit_class is ADAPTER for part in fit.companions)
    if case.status:
        assert found[0].status == case.status


def test_there_are_cases_for_every_family_and_class() -> None:
    assert len(CASES) >= 120
    assert {case.family for case in CASES} == set(BASE)
    assert {case.expect for case in CASES} == set(FitClass)


def test_what_must_match_has_a_case_that_fails_on_it_alone() -> None:
    """Every rule but those by which a part may differ rules a part out in some case."""
    ruled_out = set()
    for case in CASES:
        old, new = {**BASE[case.family], **case.old}, {**BASE[case.family], **case.new}
        differing = [feature for feature in old if old[feature] != new[feature]]
        if case.expect is NO_FIT and len(differing) == 1:
            ruled_out.add((case.family, differing[0]))
    missing = [
        f"{family.value}.{rule.feature}"
        for family, rule in read_rules(rules_that_ship(), "the rules").rules()
        if rule.rule not in ("note", "includes")
        and not rule.feature.startswith("adapts_")  # what an adapter bridges: see its cases
        and (family, rule.feature) not in ruled_out
    ]
    assert missing == []
