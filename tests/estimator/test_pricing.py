"""The price of a job, line by line, worked by hand."""

from __future__ import annotations

from datetime import date
from decimal import Decimal

import pytest

from estimator.errors import InputTrouble
from estimator.heater import Access, DrawBin, Fuel, HeaterClass, Ignition, RatingPlate
from estimator.price_lines import part_price
from estimator.priced_job import Job, JobMargin, PricedJob, Warranty
from estimator.pricing import price_job
from estimator.rates import LineKind, MarkupBand, PartPricing, RateSheet
from estimator.supply import (
    FitClass,
    Operation,
    PartFamily,
    ReplacementHeater,
    SiteItem,
    SuppliedPart,
)
from estimator.warranty import warranty_on

D = Decimal
SHEET: dict[str, object] = {
    "shop": {"name": "Invented shop", "invented": True},
    "labor": {
        "regular_per_h": 120,
        "after_hours_per_h": 180,
        "minimum_h": 1,
        "cost_per_h": 50,
        "access_factor": {"open": 1, "tight": 1.25, "very_tight": 1.5},
    },
    "trip": {"amount": 89, "cost": 30},
    "parts": {
        "markup_bands": [
            {"up_to_cost": 20, "markup": 2},
            {"up_to_cost": 100, "markup": 1},
            {"markup": 0.5},
        ]
    },
    "other": {
        "heater_markup": 0.3,
        "material_markup": 0.5,
        "sundries_price": 8.5,
        "sundries_cost": 3,
    },
    "discounts": {"plan_member": 0.1, "technician_limit": 0.15},
    "tax": {"rate": 0.0725},
    "fuel_prices": {
        "natural_gas_per_therm": 1.5,
        "propane_per_gal": 2.8,
        "electricity_per_kwh": 0.17,
    },
}


def sheet(**sections: dict[str, object]) -> RateSheet:
    merged = dict(SHEET)
    for name, changes in sections.items():
        merged[name] = {**merged.get(name, {}), **changes}  # type: ignore[dict-item]
    return RateSheet.model_validate(merged)


def part(cost: str = "18.40", **changes: object) -> SuppliedPart:
    values = {
        "number": "QX-100",
        "description": "Sensing element, 24 in",
        "family": PartFamily.SENSING_ELEMENT,
        "fit_class": FitClass.LISTED,
        "unit_cost": D(cost),
    }
    return SuppliedPart(**(values | changes))


def operation(hours: str = "0.6", name: str = "Replace the sensing element") -> Operation:
    return Operation(slug="replace_element", name=name, hours=D(hours))


def heater(*, like_for_like: bool = True) -> ReplacementHeater:
    return ReplacementHeater(
        slug="tank-40",
        name="40 gal tank, invented",
        heater_class=HeaterClass.GAS_STORAGE,
        fuel=Fuel.NATURAL_GAS,
        like_for_like=like_for_like,
        volume_gal=40,
        input_btu_per_h=38_000,
        uniform_energy_factor=0.58,
        draw_bin=DrawBin.MEDIUM,
        recovery_efficiency=0.78,
        first_hour_rating_gal=67,
        unit_cost=D("640.00"),
        install=Operation(slug="install_tank", name="Install the heater", hours=D("3.5")),
    )


def lines_of(priced: PricedJob, kind: LineKind) -> list[tuple[Decimal, Decimal, Decimal]]:
    return [
        (line.quantity, line.unit_price, line.amount) for line in priced.lines if line.kind is kind
    ]


def repair(**changes: object) -> Job:
    values = {"name": "Repair", "parts": (part(),), "operations": (operation(),)}
    return Job(**(values | changes))


def test_a_repair_worked_by_hand() -> None:
    priced, margin = price_job(repair(), sheet())
    # part 18.40 x 3 = 55.20; labor at least 1 h x 120; sundries 8.50; trip 89.00
    assert [(line.kind, line.amount) for line in priced.lines] == [
        (LineKind.PART, D("55.20")),
        (LineKind.LABOR, D("120.00")),
        (LineKind.MATERIAL, D("8.50")),
        (LineKind.TRIP, D("89.00")),
    ]
    assert priced.subtotal == D("272.70")
    # 7.25 % of 55.20 + 8.50 = 63.70: 4.61825
    assert priced.tax == D("4.62")
    assert (priced.discount, priced.rounding, priced.total) == (D(0), D(0), D("277.32"))
    # 18.40 + 0.6 h x 50 + 3.00 + 30.00
    assert margin.line_costs == (D("18.40"), D("30.00"), D("3.00"), D("30.00"))
    assert (margin.cost, margin.revenue) == (D("81.40"), D("272.70"))
    assert margin.gross_margin == D("0.7015")


def test_a_replacement_worked_by_hand() -> None:
    items = (
        SiteItem(slug="pan", name="Drain pan", kind="material", unit_cost=D("22.00")),
        SiteItem(
            slug="expansion",
            name="Expansion tank",
            kind="material",
            unit_cost=D(45),
            hours=D("0.5"),
        ),
        SiteItem(slug="permit", name="Permit", kind="permit", unit_cost=D("85.00")),
        SiteItem(slug="haul", name="Haul away", kind="disposal", unit_cost=D("25.00")),
    )
    job = Job(name="Replace", heater=heater(), site_items=items, access=Access.TIGHT)
    priced, margin = price_job(job, sheet())
    assert lines_of(priced, LineKind.HEATER) == [(1, D("832.00"), D("832.00"))]
    # (3.5 + 0.5) h x 1.25 = 5 h x 120
    assert lines_of(priced, LineKind.LABOR) == [(5, 120, D("600.00"))]
    materials = [amount for _, _, amount in lines_of(priced, LineKind.MATERIAL)]
    assert materials == [D("33.00"), D("67.50"), D("8.50")]
    assert lines_of(priced, LineKind.PERMIT) == [(1, 85, 85)]
    assert lines_of(priced, LineKind.DISPOSAL) == [(1, 25, 25)]
    assert priced.subtotal == D("1740.00")
    assert priced.tax == D("68.22")  # 7.25 % of 941.00 = 68.2225
    assert priced.total == D("1808.22")
    assert margin.cost == D("640.00") + 5 * 50 + 22 + 45 + 3 + 85 + 25 + 30


def test_minimum_billed_time_holds_once_for_all_labor_and_is_noted() -> None:
    job = repair(operations=(operation("0.3"), operation("0.4", "Relight and test")))
    priced, margin = price_job(job, sheet())
    (labor,) = [line for line in priced.lines if line.kind is LineKind.LABOR]
    assert (labor.quantity, labor.unit, labor.amount) == (1, "h", D("120.00"))
    assert labor.description == "Replace the sensing element; Relight and test"
    assert labor.note == "Minimum billed time 1 h for 0.7 h of work"
    assert margin.line_costs[1] == D("35.00")


def test_hard_access_multiplies_the_hours_and_is_noted() -> None:
    job = repair(operations=(operation("1.2"),), access=Access.VERY_TIGHT)
    priced, margin = price_job(job, sheet())
    (labor,) = [line for line in priced.lines if line.kind is LineKind.LABOR]
    assert (labor.quantity, labor.amount) == (D("1.8"), D("216.00"))
    assert labor.note == "1.2 h times 1.5 for hard access"
    assert margin.line_costs[1] == D("90.00")


def test_after_hours_has_its_own_rate_and_cost() -> None:
    job = repair(operations=(operation("2"),), after_hours=True)
    priced, margin = price_job(job, sheet(labor={"after_hours_cost_per_h": 75}))
    assert lines_of(priced, LineKind.LABOR) == [(2, 180, D("360.00"))]
    assert margin.line_costs[1] == D("150.00")
    _, same_cost = price_job(job, sheet())
    assert same_cost.line_costs[1] == D("100.00")


def test_no_labor_no_minimum() -> None:
    priced, _ = price_job(repair(operations=()), sheet())
    assert lines_of(priced, LineKind.LABOR) == []


def test_trip_charge_credited_when_work_goes_ahead() -> None:
    priced, margin = price_job(repair(), sheet(trip={"credited_when_work_goes_ahead": True}))
    trip = priced.lines[-1]
    assert (trip.kind, trip.amount) == (LineKind.TRIP, D("0.00"))
    assert trip.note == "$89.00 credited because the work goes ahead"
    assert margin.line_costs[-1] == D("30.00")
    assert priced.subtotal == D("183.70")


def test_what_is_not_charged_has_no_line_but_its_cost_counts() -> None:
    free = sheet(trip={"amount": 0}, other={"sundries_price": 0})
    priced, margin = price_job(repair(), free)
    assert [line.kind for line in priced.lines] == [LineKind.PART, LineKind.LABOR]
    assert margin.unlined_cost == 33
    assert margin.cost == D("81.40")


@pytest.mark.parametrize(
    ("cost", "price"),
    [
        ("20.00", "60.00"),  # a band takes its own limit
        ("20.01", "40.02"),
        ("100", "200.00"),
        ("100.01", "150.02"),  # 150.015 rounds up
    ],
)
def test_markup_bands_by_cost(cost: str, price: str) -> None:
    assert part_price(D(cost), None, sheet().parts) == D(price)


def test_target_margin_prices_by_cost_over_one_minus_margin() -> None:
    pricing = PartPricing(target_margin=D("0.55"))
    assert part_price(D("18.40"), None, pricing) == D("40.89")  # 18.40 / 0.45 = 40.888...


def test_list_price_caps_only_where_the_shop_wants_it() -> None:
    bands = (MarkupBand(markup=D(2)),)
    capped = PartPricing(markup_bands=bands, cap_at_list_price=True)
    free = PartPricing(markup_bands=bands)
    assert part_price(D(20), D("49.95"), capped) == D("49.95")
    assert part_price(D(20), D("70.00"), capped) == D("60.00")
    assert part_price(D(20), None, capped) == D("60.00")
    assert part_price(D(20), D("49.95"), free) == D("60.00")


def test_quantity_times_the_unit_price_shown_is_the_amount() -> None:
    priced, margin = price_job(repair(parts=(part("1.111", quantity=D(3)),)), sheet())
    assert lines_of(priced, LineKind.PART) == [(3, D("3.33"), D("9.99"))]
    assert margin.line_costs[0] == D("3.33")


def test_parts_are_free_inside_the_parts_warranty_and_cost_nothing() -> None:
    gasket = part(
        number="G-1", family=PartFamily.SUNDRY, description="Leak solution", needed_because="Test"
    )
    job = repair(parts=(part(), gasket), warranty=Warranty(parts_free=True))
    priced, margin = price_job(job, sheet())
    assert lines_of(priced, LineKind.PART) == [(1, 0, 0), (1, D("55.20"), D("55.20"))]
    assert priced.lines[0].note == "Free under the maker's parts warranty; otherwise $55.20"
    assert margin.line_costs[:2] == (D(0), D("18.40"))
    # labor, sundries and trip still charged
    assert priced.subtotal == D("55.20") + 120 + D("8.50") + 89


def test_a_part_of_another_maker_is_not_free() -> None:
    universal = part(fit_class=FitClass.UNIVERSAL)
    job = repair(parts=(universal,), warranty=Warranty(parts_free=True))
    priced, margin = price_job(job, sheet())
    assert lines_of(priced, LineKind.PART) == [(1, D("55.20"), D("55.20"))]
    assert "does not pay for it" in priced.lines[0].note
    assert margin.line_costs[0] == D("18.40")


def test_a_new_tank_is_free_inside_the_tank_warranty_like_for_like_only() -> None:
    warranty = Warranty(tank_free=True)
    free, free_margin = price_job(Job(name="R", heater=heater(), warranty=warranty), sheet())
    assert lines_of(free, LineKind.HEATER) == [(1, 0, 0)]
    assert free.lines[0].note == "Free under the maker's tank warranty; otherwise $832.00"
    assert free_margin.line_costs[0] == 0
    assert lines_of(free, LineKind.LABOR) == [(D("3.5"), 120, D("420.00"))]
    better = Job(name="R", heater=heater(like_for_like=False), warranty=warranty)
    assert lines_of(price_job(better, sheet())[0], LineKind.HEATER) == [(1, 832, 832)]


def test_plan_member_gets_his_share_off_the_named_kinds_before_tax() -> None:
    priced, _ = price_job(repair(plan_member=True), sheet())
    assert priced.discount == D("5.52") + D("12.00")
    assert priced.discount_reason == "Plan member, 10% off part and labor"
    assert priced.tax == D("4.22")  # 7.25 % of 55.20 - 5.52 + 8.50 = 58.18: 4.21805
    assert priced.total == D("272.70") - D("17.52") + D("4.22")


def test_the_larger_discount_is_taken_never_both() -> None:
    bigger, _ = price_job(repair(plan_member=True, discount=D("0.15")), sheet())
    assert bigger.discount == D("8.28") + D("18.00")
    assert bigger.discount_reason == "Discount, 15% off part and labor"
    smaller, _ = price_job(repair(plan_member=True, discount=D("0.05")), sheet())
    assert smaller.discount == D("17.52")


def test_a_discount_above_the_technicians_limit_is_refused() -> None:
    with pytest.raises(InputTrouble) as told:
        price_job(repair(discount=D("0.151")), sheet())
    assert str(told.value) == (
        "A discount of 15.1% is too large in work.discount; the rate sheet lets a technician give "
        "15% at most. Give a smaller discount, or have the owner raise the limit."
    )


def test_no_discount_no_reason() -> None:
    assert price_job(repair(), sheet())[0].discount_reason == ""


@pytest.mark.parametrize(
    ("step", "total", "rounding"),
    [("1", "277.00", "-0.32"), ("5", "275.00", "-2.32"), ("0.05", "277.30", "-0.02")],
)
def test_the_total_is_rounded_as_the_shop_rounds_and_shown(
    step: str, total: str, rounding: str
) -> None:
    priced, margin = price_job(repair(), sheet(quote={"round_total_to": step}))
    assert (priced.total, priced.rounding) == (D(total), D(rounding))
    assert margin.revenue == D(total) - D("4.62")


def test_the_margin_floor_is_met_at_the_floor_itself() -> None:
    job = Job(name="R", parts=(part("10"),))
    bare = {
        "trip": {"amount": 0, "cost": 0},
        "other": {"sundries_price": 0, "sundries_cost": 0},
        "parts": {"markup_bands": [], "target_margin": 0.4},
        "tax": {"rate": 0},
    }

    def below(floor: str) -> JobMargin:
        return price_job(job, sheet(**bare, quote={"margin_floor": floor}))[1]

    # 10 / 0.6 = 16.67: margin 0.4001
    assert below("0.4").gross_margin == D("0.4001")
    assert not below("0.4").below_floor
    assert below("0.41").below_floor


def test_a_job_that_brings_nothing_has_no_margin() -> None:
    nothing = {
        "trip": {"amount": 0, "cost": 0},
        "other": {"sundries_price": 0, "sundries_cost": 0},
        "labor": {"regular_per_h": 0},
    }
    priced, margin = price_job(Job(name="R", operations=(operation("1"),)), sheet(**nothing))
    assert (priced.total, margin.gross_margin, margin.below_floor) == (0, -1, True)
    priced, margin = price_job(Job(name="R"), sheet(**nothing))
    assert (priced.lines, margin.gross_margin, margin.below_floor) == ((), 0, False)


def plate(parts_years: int = 6, tank_years: int = 6, made: date = date(2020, 2, 29)) -> RatingPlate:
    return RatingPlate(
        fuel=Fuel.NATURAL_GAS,
        tank_volume_gal=40,
        input_btu_per_h=38_000,
        ignition=Ignition.PILOT_THERMOCOUPLE,
        manufactured=made,
        parts_warranty_years=parts_years,
        tank_warranty_years=tank_years,
    )


def test_warranty_runs_to_its_last_day() -> None:
    assert warranty_on(plate(), date(2026, 2, 28)).parts_free
    assert not warranty_on(plate(), date(2026, 3, 1)).parts_free


def test_a_tank_warranty_pays_only_for_a_tank_that_leaks() -> None:
    sound = warranty_on(plate(), date(2024, 1, 1))
    leaking = warranty_on(plate(), date(2024, 1, 1), tank_leaks=True)
    assert (sound.tank_free, leaking.tank_free) == (False, True)
    assert not warranty_on(plate(), date(2026, 3, 1), tank_leaks=True).tank_free
    assert any("not for a choice to replace" in note for note in sound.notes)


def test_warranty_notes_ask_for_the_proof_of_purchase() -> None:
    notes = warranty_on(plate(1, 0), date(2021, 6, 1)).notes
    assert notes == (
        "Parts warranty of 1 year from manufacture ran out on 2021-02-28.",
        "A term often starts on the day of installation: ask for the proof of purchase, "
        "and have the maker confirm before the customer counts on it.",
    )
    assert warranty_on(plate(0, 0), date(2021, 6, 1)) == Warranty()


def test_a_heater_made_after_the_day_has_no_warranty_to_look_up() -> None:
    with pytest.raises(InputTrouble, match="made on 2020-02-29, after 2019-01-01"):
        warranty_on(plate(), date(2019, 1, 1))
