"""What holds for every job and every rate sheet."""

from __future__ import annotations

from decimal import ROUND_HALF_UP, Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from estimator.heater import Access, DrawBin, Fuel, HeaterClass
from estimator.money import to_cents
from estimator.price_lines import part_price
from estimator.priced_job import Job, Warranty
from estimator.pricing import price_job
from estimator.rates import LineKind, PartPricing, RateSheet
from estimator.supply import (
    FitClass,
    Operation,
    PartFamily,
    ReplacementHeater,
    SiteItem,
    SuppliedPart,
)


def decimals(low: str, high: str, places: int) -> st.SearchStrategy[Decimal]:
    return st.decimals(Decimal(low), Decimal(high), places=places)


COSTS = decimals("0", "2000", 3)
SHARES = decimals("0", "0.9", 3)
HOURS = decimals("0", "12", 2)

PARTS = st.builds(
    SuppliedPart,
    number=st.just("QX-100"),
    description=st.just("Invented part"),
    family=st.sampled_from(PartFamily),
    fit_class=st.sampled_from(FitClass),
    quantity=decimals("0.5", "20", 1),
    unit_cost=COSTS,
    list_price=st.none() | COSTS,
)
OPERATIONS = st.builds(Operation, slug=st.just("op"), name=st.just("Operation"), hours=HOURS)
ITEMS = st.builds(
    SiteItem,
    slug=st.just("item"),
    name=st.just("Item"),
    kind=st.sampled_from(["material", "permit", "disposal"]),
    quantity=decimals("0.5", "20", 1),
    unit_cost=COSTS,
    hours=HOURS,
)
HEATERS = st.builds(
    ReplacementHeater,
    slug=st.just("tank"),
    name=st.just("Tank"),
    heater_class=st.just(HeaterClass.GAS_STORAGE),
    fuel=st.just(Fuel.PROPANE),
    like_for_like=st.booleans(),
    volume_gal=st.just(40.0),
    input_btu_per_h=st.just(38_000.0),
    uniform_energy_factor=st.just(0.58),
    draw_bin=st.just(DrawBin.MEDIUM),
    recovery_efficiency=st.none(),
    first_hour_rating_gal=st.none(),
    unit_cost=COSTS,
    install=OPERATIONS,
)


@st.composite
def sheets(draw: st.DrawFn) -> RateSheet:
    parts: dict[str, object] = {"cap_at_list_price": draw(st.booleans())}
    if draw(st.booleans()):
        parts["target_margin"] = draw(SHARES)
    else:
        limits = sorted(draw(st.sets(decimals("1", "900", 2), max_size=3)))
        markups = draw(st.lists(decimals("0", "4", 2), min_size=4, max_size=4))
        bands = [
            {"up_to_cost": limit, "markup": markup}
            for limit, markup in zip(limits, markups, strict=False)
        ]
        parts["markup_bands"] = [*bands, {"markup": markups[3]}]
    kinds = st.lists(st.sampled_from(LineKind), unique=True)
    prices = decimals("0", "300", 3)
    return RateSheet.model_validate(
        {
            "shop": {"name": "Invented shop"},
            "labor": {
                "regular_per_h": draw(prices),
                "after_hours_per_h": draw(prices),
                "minimum_h": draw(decimals("0", "3", 2)),
                "cost_per_h": draw(prices),
            },
            "trip": {
                "amount": draw(prices),
                "cost": draw(prices),
                "credited_when_work_goes_ahead": draw(st.booleans()),
            },
            "parts": parts,
            "other": {"sundries_price": draw(prices), "sundries_cost": draw(prices)},
            "discounts": {
                "plan_member": draw(SHARES),
                "technician_limit": Decimal("0.95"),
                "kinds": draw(kinds),
            },
            "tax": {"rate": draw(decimals("0", "0.2", 5)), "taxable": draw(kinds)},
            "quote": {
                "round_total_to": draw(st.sampled_from(["0.01", "0.05", "1", "5"])),
                "margin_floor": draw(SHARES),
            },
            "fuel_prices": {
                "natural_gas_per_therm": 1.5,
                "propane_per_gal": 2.8,
                "electricity_per_kwh": 0.17,
            },
        }
    )


JOBS = st.builds(
    Job,
    name=st.just("Job"),
    parts=st.lists(PARTS, max_size=4).map(tuple),
    operations=st.lists(OPERATIONS, max_size=3).map(tuple),
    heater=st.none() | HEATERS,
    site_items=st.lists(ITEMS, max_size=4).map(tuple),
    access=st.sampled_from(Access),
    after_hours=st.booleans(),
    plan_member=st.booleans(),
    discount=SHARES,
    warranty=st.builds(Warranty, parts_free=st.booleans(), tank_free=st.booleans()),
)


def in_cents(amount: Decimal) -> bool:
    return amount == amount.quantize(Decimal("0.01"))


@given(JOBS, sheets())
def test_lines_add_to_the_total_to_the_cent(job: Job, rates: RateSheet) -> None:
    priced, margin = price_job(job, rates)
    assert sum(line.amount for line in priced.lines) == priced.subtotal
    assert priced.subtotal - priced.discount + priced.tax + priced.rounding == priced.total
    assert 0 <= priced.discount <= priced.subtotal
    assert abs(priced.rounding) * 2 <= rates.quote.round_total_to
    amounts = [priced.subtotal, priced.discount, priced.tax, priced.rounding, priced.total]
    assert all(in_cents(amount) for amount in amounts)
    for line in priced.lines:
        assert line.amount == to_cents(line.quantity * line.unit_price)
    assert len(margin.line_costs) == len(priced.lines)
    assert sum(margin.line_costs) + margin.unlined_cost == margin.cost
    assert margin.revenue == priced.total - priced.tax


@given(JOBS, sheets())
def test_what_labor_trip_and_sundries_cost_the_shop_never_reaches_the_customer(
    job: Job, rates: RateSheet
) -> None:
    dearer = rates.model_copy(
        update={
            "labor": rates.labor.model_copy(update={"cost_per_h": rates.labor.cost_per_h + 50}),
            "trip": rates.trip.model_copy(update={"cost": rates.trip.cost + 10}),
            "other": rates.other.model_copy(
                update={"sundries_cost": rates.other.sundries_cost + 1}
            ),
            "quote": rates.quote.model_copy(update={"margin_floor": Decimal("0.99")}),
        }
    )
    priced, margin = price_job(job, rates)
    same, other = price_job(job, dearer)
    assert same == priced
    assert other.cost >= margin.cost + 11


@given(JOBS, sheets())
def test_warranty_never_makes_a_job_dearer(job: Job, rates: RateSheet) -> None:
    free = job.model_copy(update={"warranty": Warranty(parts_free=True, tank_free=True)})
    charged = job.model_copy(update={"warranty": Warranty()})
    assert price_job(free, rates)[0].subtotal <= price_job(charged, rates)[0].subtotal
    assert price_job(free, rates)[1].cost <= price_job(charged, rates)[1].cost


@given(COSTS, COSTS, SHARES)
def test_price_rises_with_cost_at_a_target_margin(a: Decimal, b: Decimal, margin: Decimal) -> None:
    pricing = PartPricing(target_margin=margin)
    low, high = sorted((a, b))
    assert part_price(low, None, pricing) <= part_price(high, None, pricing)


@given(decimals("1", "2000", 2), SHARES)
def test_the_price_at_a_target_margin_has_that_margin(cost: Decimal, margin: Decimal) -> None:
    price = part_price(cost, None, PartPricing(target_margin=margin))
    # rounding moves the price by at most half a cent
    assert abs(price * (1 - margin) - cost) <= Decimal("0.005") * (1 - margin)


@given(decimals("-100000", "100000", 6), st.sampled_from(["0.01", "0.05", "0.25", "1", "5"]))
def test_rounding_is_to_the_nearest_step_and_halves_go_away_from_zero(
    amount: Decimal, step: str
) -> None:
    size = Decimal(step)
    rounded = to_cents(amount, size)
    assert rounded % size == 0
    assert abs(rounded - amount) * 2 <= size
    if abs(rounded - amount) * 2 == size:
        assert abs(rounded) > abs(amount)
    if size == Decimal("0.01"):
        assert rounded == amount.quantize(size, rounding=ROUND_HALF_UP)


@pytest.mark.parametrize("kind", list(LineKind))
def test_tax_is_only_on_the_kinds_that_the_sheet_names(kind: LineKind) -> None:
    rates = RateSheet.model_validate(
        {
            "shop": {"name": "Invented shop"},
            "labor": {"regular_per_h": 100, "after_hours_per_h": 100, "cost_per_h": 10},
            "trip": {"amount": 100},
            "parts": {"target_margin": 0},
            "other": {"heater_markup": 0, "material_markup": 0},
            "tax": {"rate": "0.1", "taxable": [kind]},
            "fuel_prices": {
                "natural_gas_per_therm": 1,
                "propane_per_gal": 1,
                "electricity_per_kwh": 1,
            },
        }
    )
    hour = Operation(slug="op", name="Operation", hours=Decimal(1))
    job = Job(
        name="One hundred of each",
        parts=(
            SuppliedPart(
                number="P",
                description="Part",
                family=PartFamily.IGNITER,
                fit_class=FitClass.LISTED,
                unit_cost=Decimal(100),
            ),
        ),
        heater=ReplacementHeater(
            slug="tank",
            name="Tank",
            heater_class=HeaterClass.GAS_STORAGE,
            fuel=Fuel.PROPANE,
            like_for_like=True,
            volume_gal=40,
            input_btu_per_h=38_000,
            uniform_energy_factor=0.58,
            draw_bin=DrawBin.MEDIUM,
            recovery_efficiency=None,
            first_hour_rating_gal=None,
            unit_cost=Decimal(100),
            install=hour,
        ),
        site_items=tuple(
            SiteItem(slug=each, name=each, kind=each, unit_cost=Decimal(100))
            for each in ("material", "permit", "disposal")
        ),
    )
    priced, _ = price_job(job, rates)
    assert len(priced.lines) == len(LineKind)
    assert priced.tax == Decimal("10.00")
