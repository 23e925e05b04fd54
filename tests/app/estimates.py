"""Invented estimates, built by hand, for tests of views and documents.

The numbers are those that an estimate would hold, not computed by the engine: tests of
how a quote reads must not depend on how it is worked out.
"""

from __future__ import annotations

from datetime import date
from decimal import Decimal
from itertools import accumulate
from typing import Any

from app.visit import OldPart, People, Visit, Work
from estimator.cautions import Caution, Stop
from estimator.comparison import PathCost
from estimator.draws import Spread
from estimator.estimate import (
    Estimate,
    HeaterFacts,
    OwnerEstimate,
    PartShown,
    RepairPath,
    ReplacementPath,
)
from estimator.evidence import Grade, Support
from estimator.findings import Finding, Remedy
from estimator.heater import Fuel, Household, Ignition, Location, RatingPlate, Site
from estimator.priced_job import JobMargin, PricedJob, PriceLine
from estimator.rates import LineKind, QuoteTerms, Shop
from estimator.sensitivity import Swing
from estimator.supply import FitClass, Stock
from estimator.uncertainty import Band, Futures, PathFutures
from estimator.verdict import RuleOfThumb, Verdict, VerdictKind

SHOP = Shop(
    name="Cedar Hollow Water Heating (invented)",
    address="12 Example Street, Sampleton",
    phone="555-0100",
    license="Demo license 0000",
    invented=True,
)
TERMS = QuoteTerms(
    valid_days=30,
    margin_floor=Decimal("0.4321"),
    terms="Payment is due when the work is done. Invented terms of an invented shop.",
)

# What must never be seen: costs and margins of the same jobs, distinctive on purpose.
HIDDEN_COST = Decimal("137.77")
HIDDEN_MARGIN = Decimal("0.4177")


def visit(**changes: Any) -> Visit:
    """Build a visit to a tank heater with a worn element; `changes` replace its sections."""
    sections: dict[str, Any] = {
        "title": "Worn element",
        "invented": True,
        "visit": People(
            date=date(2026, 3, 5),
            technician="R. Sample",
            customer_name="J. Example",
            customer_address="7 Sample Lane, Sampleton",
        ),
        "heater": RatingPlate(
            fuel=Fuel.NATURAL_GAS,
            tank_volume_gal=40,
            input_btu_per_h=38_000,
            ignition=Ignition.PILOT_THERMOCOUPLE,
            manufactured=date(2018, 3, 1),
        ),
        "site": Site(location=Location.BASEMENT),
        "household": Household(people=3),
        "work": Work(finding=Finding.ELEMENT_WORN, remedy=Remedy.REPLACE_ELEMENT),
        "old_part": OldPart(),
    }
    return Visit(**(sections | changes))


def line(
    kind: LineKind, description: str, amount: str, quantity: str = "1", **more: Any
) -> PriceLine:
    """Build a price line whose unit price is the amount over the quantity."""
    return PriceLine(
        kind=kind,
        description=description,
        quantity=Decimal(quantity),
        unit_price=Decimal(amount) / Decimal(quantity),
        amount=Decimal(amount),
        taxable=more.pop("taxable", kind in (LineKind.PART, LineKind.HEATER)),
        **more,
    )


def priced(
    name: str, lines: tuple[PriceLine, ...], tax: str = "0", discount: str = "0"
) -> PricedJob:
    """Add lines up to a priced job."""
    subtotal = sum((item.amount for item in lines), Decimal(0))
    total = subtotal - Decimal(discount) + Decimal(tax)
    return PricedJob(
        name=name,
        lines=lines,
        subtotal=subtotal,
        discount=Decimal(discount),
        discount_reason="Plan member" if Decimal(discount) else "",
        tax=Decimal(tax),
        rounding=Decimal(0),
        total=total,
    )


def path_cost(name: str, first: float, yearly: tuple[float, ...], residual: float) -> PathCost:
    """Build a path's cost from what is paid now and in each year (present values) [USD]."""
    cumulative = tuple(accumulate((first, *yearly)))
    lcc = cumulative[-1] - residual
    return PathCost(
        name=name,
        lcc=lcc,
        equivalent_annual_cost=lcc / 9.954,
        first_cost=first,
        residual=residual,
        cumulative=cumulative,
    )


REPAIR_LINES = (
    line(LineKind.TRIP, "Visit and finding the fault", "89.00"),
    line(LineKind.PART, "Sensing element, 24 in, 30 mV class", "46.20"),
    line(LineKind.LABOR, "Replace the sensing element", "130.00", unit="h"),
    line(LineKind.MATERIAL, "Leak solution and wipes", "6.50"),
)
REPLACE_LINES = (
    line(LineKind.HEATER, "40 gallon gas tank, natural draft", "905.00"),
    line(LineKind.LABOR, "Install a tank heater", "585.00", "4.5", unit="h"),
    line(LineKind.MATERIAL, "Expansion tank", "88.00"),
    line(LineKind.PERMIT, "City permit", "75.00"),
    line(LineKind.DISPOSAL, "Haul away the old heater", "40.00"),
)


def repair(*, closed_reason: str | None = None, **changes: Any) -> RepairPath:
    """Build a repair path; its prices stand even where it is closed."""
    values: dict[str, Any] = {
        "open": closed_reason is None,
        "closed_reason": closed_reason,
        "priced": priced("Replace the sensing element", REPAIR_LINES, tax="3.70"),
        "cost": path_cost("repair", 275.4, tuple(300 + 30 * year for year in range(1, 13)), 690.0),
        "per_month": Decimal("46.26"),
        "break_even_price": Decimal("445.60"),
        "break_even_age_years": 11.2,
        "best_planned_year": 4,
        "best_planned_saves": Decimal("61.20"),
    }
    return RepairPath(**(values | changes))


def replacement(
    slug: str = "tank-40",
    name: str = "40 gallon gas tank, natural draft",
    price: str = "1749.60",
    lcc_shift: float = 0.0,
    **changes: Any,
) -> ReplacementPath:
    """Build a replacement path; `lcc_shift` [USD] moves its first cost and its LCC alike."""
    job = priced(name, REPLACE_LINES, tax="56.60")
    incentives = changes.pop("incentives", Decimal(0))
    values: dict[str, Any] = {
        "slug": slug,
        "name": name,
        "closed_reason": None,
        "check_these": (),
        "priced": job.model_copy(update={"total": Decimal(price)}),
        "incentives": incentives,
        "price_after_incentives": Decimal(price) - incentives,
        "cost": path_cost(
            slug, 1749.6 + lcc_shift, tuple(285 + 12 * year for year in range(1, 13)), 410.0
        ),
        "per_month": Decimal("47.68") + Decimal(str(round(lcc_shift / 119.4, 2))),
        "energy_per_year": 176.0,
        "energy_unit": "therm",
        "energy_cost_per_year": 264.0,
        "co2_kg_per_year": 934.0,
        "net_savings": Decimal("-170.20"),
        "sir": 0.78,
        "airr": 0.011,
        "simple_payback_years": None,
        "discounted_payback_years": None,
    }
    return ReplacementPath(**(values | changes))


CAUTIONS = (
    Caution(
        code="leak_test",
        message="Every joint that is touched is tested for leaks with a solution, never a flame.",
        source="common practice, no source",
    ),
    Caution(
        code="scald",
        message="Water at 140 °F scalds in 6 seconds. Set the heater to 120 °F.",
        source="CPSC 5098",
    ),
    Caution(
        code="license",
        message="Local codes apply, and licensed people do the work.",
        source="common practice, no source",
    ),
)

FLUE_STOP = Stop(
    code="flue_spills_or_co",
    why="Flue gas spills into the room",
    what_to_do="The heater stays off until the vent is mended, whichever path you take.",
    source="NFPA 54, from memory",
    closes_replacement=True,
)
LEAK_STOP = Stop(
    code="tank_leaks",
    why="The tank itself leaks. A leaking tank cannot be mended.",
    what_to_do="Replace the heater. Close its water and gas valves until then.",
    source="common practice, no source",
)


def heater_facts(**changes: Any) -> HeaterFacts:
    """Build what an estimate holds about the heater in place."""
    values: dict[str, Any] = {
        "age_years": 8.01,
        "rating": 0.58,
        "rating_metric": "UEF",
        "rating_assumed": True,
        "rating_source": "10 CFR 430.32(d), minimum of the manufacture date",
        "recovery_efficiency": 0.76,
        "recovery_assumed": True,
        "gallons_per_day": 54.6,
        "inlet_f": 58.0,
        "therms_per_year": 196.1,
        "energy_cost_per_year": 294.15,
        "co2_kg_per_year": 1040.5,
        "mean_life_left_years": 6.3,
    }
    return HeaterFacts(**(values | changes))


def estimate(**changes: Any) -> Estimate:
    """Build an estimate in which repairing is the cheaper path; `changes` replace fields."""
    values: dict[str, Any] = {
        "study_years": 12,
        "real_discount_rate": 0.03,
        "heater": heater_facts(),
        "parts": (
            PartShown(
                number="ZX-2400",
                description="Sensing element, 24 in, 30 mV class",
                fit_class=FitClass.LISTED,
                reasons=("listed for this heater family",),
                check_these=(),
                stock=Stock(van=2),
                needed_because=None,
            ),
        ),
        "grade": Grade(support=Support.SUPPORTED, supporting=("11 mV open circuit",)),
        "stops": (),
        "cautions": CAUTIONS,
        "repair": repair(),
        "replacements": (
            replacement(),
            replacement(
                "tank-40-high",
                "40 gallon high-efficiency gas tank",
                "2418.00",
                lcc_shift=420.0,
                check_these=("Is there a drain for condensate?",),
            ),
            replacement(
                "heat-pump-50",
                "50 gallon heat-pump heater",
                "3320.00",
                lcc_shift=900.0,
                closed_reason="There is no 240 V circuit at the heater.",
                energy_per_year=855.0,
                energy_unit="kWh",
            ),
        ),
        "moves_most": (
            Swing(
                name="how long this heater lasts",
                low="4 years",
                high="9 years",
                saves_at_low=-310.0,
                saves_at_high=520.0,
            ),
        ),
        "verdict": Verdict(
            kind=VerdictKind.REPAIR,
            reasons=(
                "Over 12 years, repairing is expected to come to $170 less than replacing.",
                "At 8 years of age, heaters like this one run about 6 more years on average.",
            ),
            turns_at=(
                "If the repair came to more than $446, replacing would be cheaper.",
                "If the heater were older than 11 years, replacing would be cheaper.",
            ),
            rules_of_thumb=(
                RuleOfThumb(
                    name="Half the price of new",
                    says=VerdictKind.REPAIR,
                    why="The repair is 16% of the price of a new heater.",
                ),
            ),
        ),
    }
    values |= changes
    values.setdefault("turning_points", ())
    values.setdefault("futures", futures(values["repair"].cost, values["replacements"]))
    return Estimate(**values)


def futures(repair: PathCost, replacements: tuple[ReplacementPath, ...]) -> Futures:
    """Build futures spread ten percent around the expected costs of the paths."""
    paths = [_path_futures(path.cost, 0.7) for path in replacements]
    return Futures(
        draws=1_000,
        seed=1,
        spread=Spread(),
        repair=_path_futures(repair, None),
        challengers=tuple(paths),
        cheapest=paths[0].name if paths else "",
        chance_repair_cheaper=0.7,
        chance_standard_error=0.01,
    )


def _path_futures(cost: PathCost, chance: float | None) -> PathFutures:
    return PathFutures(
        name=cost.name,
        lcc=_band(cost.lcc),
        by_year=tuple(_band(paid) for paid in cost.cumulative),
        mean=cost.lcc,
        standard_error=1.0,
        chance_repair_cheaper=chance,
    )


def _band(middle: float) -> Band:
    return Band(low=0.9 * middle, middle=middle, high=1.1 * middle)


def owner_estimate(**changes: Any) -> OwnerEstimate:
    """Build the owner's estimate around `estimate`, with costs easy to find in a text."""
    margin = JobMargin(
        line_costs=(HIDDEN_COST,),
        cost=HIDDEN_COST,
        revenue=Decimal("271.70"),
        gross_margin=HIDDEN_MARGIN,
        below_floor=False,
    )
    inner = estimate(**changes)
    return OwnerEstimate(
        estimate=inner,
        repair_margin=margin,
        replacement_margins={path.slug: margin for path in inner.replacements},
    )


def either() -> Estimate:
    """Build an estimate whose two paths come to about the same."""
    return estimate(
        verdict=Verdict(
            kind=VerdictKind.EITHER,
            reasons=("The two differ by $40 over 12 years, less than can be told apart.",),
            turns_at=("If you stay less than 7 years, repairing would be cheaper.",),
        )
    )


def repair_closed_by_leak() -> Estimate:
    """Build an estimate of a leaking tank: the heater must be replaced."""
    return estimate(
        stops=(LEAK_STOP,),
        parts=(),
        repair=repair(closed_reason="The tank leaks, and a leaking tank cannot be mended."),
        verdict=Verdict(kind=VerdictKind.CLOSED, reasons=("The tank itself leaks.",)),
    )


def no_part() -> Estimate:
    """Build an estimate for which no part fits today."""
    return estimate(
        parts=(),
        repair=repair(
            closed_reason="No part that fits is sold today: the control is no longer made."
        ),
        verdict=Verdict(kind=VerdictKind.CLOSED, reasons=("No part that fits is sold today.",)),
    )


def replacements_closed() -> Estimate:
    """Build an estimate in which no replacement can go in."""
    return estimate(
        replacements=(
            replacement(closed_reason="The vent does not carry another tank heater."),
            replacement(
                "heat-pump-50",
                "50 gallon heat-pump heater",
                closed_reason="There is no 240 V circuit at the heater.",
            ),
        ),
        verdict=Verdict(kind=VerdictKind.REPAIR, reasons=("No replacement can go in today.",)),
    )


def everything_closed() -> Estimate:
    """Build an estimate in which a spilling flue closes both paths."""
    return estimate(
        stops=(FLUE_STOP,),
        repair=repair(closed_reason="Flue gas spills into the room."),
        replacements=(replacement(closed_reason="Flue gas spills into the room."),),
        verdict=Verdict(kind=VerdictKind.CLOSED, reasons=("Flue gas spills into the room.",)),
    )
