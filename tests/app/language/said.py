"""Everything that the estimator and the catalog can say to a customer, made on purpose.

Each maker gives English texts as an estimate or a supply would hold them.
"""

from __future__ import annotations

import csv
import itertools
import random
from datetime import date
from decimal import Decimal
from typing import TYPE_CHECKING, Any

from app.views.customer_facts import SAID_HERE
from app.views.customer_prices import part_name
from app.wiring import DEMO_DATA
from catalog.fit import fit_parts
from catalog.needs import Need
from catalog.replacements import replacements
from estimator import energy, stops
from estimator.efficiency import draw_bin_of, rating_of
from estimator.estimating import estimate_case
from estimator.evidence import grade_all
from estimator.evidence_rules import RULES
from estimator.findings import FINDINGS, REMEDIES, Finding, Hazards, Readings
from estimator.heater import (
    Access,
    Chamber,
    Fuel,
    Household,
    Ignition,
    Location,
    RatingPlate,
    Site,
    Venting,
)
from estimator.rates import LineKind
from estimator.reading_cautions import reading_cautions
from estimator.reading_guides import IN_ORDER, label_of
from estimator.safety import safety_cautions
from estimator.sensitivity import INPUTS
from estimator.stops import stops_for
from estimator.supply import FitClass, PartFamily
from estimator.verdict import OpenReplacement, Weighing, judge

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator

    from app.visiting import PricedVisit
    from catalog.snapshots import Catalog

FLAMES = ("good", "small", "off_element", "lifting", "none", None)
SPARKS = ("good", "weak", "elsewhere", "none", None)
OHMS = (0.0, 5.0, 350.0, "open", None)
ANSWERS = (True, False, None)


def plate(**changes: Any) -> RatingPlate:
    given: dict[str, Any] = {
        "fuel": "natural_gas",
        "tank_volume_gal": 40,
        "input_btu_per_h": 38_000,
        "ignition": "pilot_thermocouple",
        "manufactured": date(2014, 5, 1),
    }
    return RatingPlate.model_validate(given | changes)


PLATES = tuple(
    plate(fuel=fuel, ignition=ignition, chamber=chamber, venting=venting)
    for fuel, ignition, chamber, venting in itertools.product(
        (Fuel.NATURAL_GAS, Fuel.PROPANE),
        Ignition,
        Chamber,
        (Venting.NATURAL_DRAFT, Venting.POWER_VENT),
    )
)


def random_readings(rng: random.Random) -> Readings:
    pick, number = rng.choice, rng.uniform
    maybe = lambda value: value if rng.random() < 0.6 else None  # noqa: E731
    return Readings.model_validate(
        {
            "inlet_standing_in_wc": maybe(round(number(-1, 20), 1) + 0.0),
            "inlet_flowing_in_wc": maybe(round(number(-1, 20), 1) + 0.0),
            "manifold_in_wc": maybe(round(number(2, 14), 1)),
            "flame": pick(FLAMES),
            "spark": pick(SPARKS),
            "gas_at_pilot": pick(ANSWERS),
            "holds_while_pressed": pick(ANSWERS),
            "drops_when_released": pick(ANSWERS),
            "millivolts_open": maybe(pick((-3, 4, 12, 25, 60, 300, 520, 1200))),
            "millivolts_loaded": maybe(pick((-3, 3, 9, 15, 70, 200, 400))),
            "millivolts_at_drop_out": maybe(pick((1, 3, 5, 6.5, 9, 90))),
            "element_seated": pick(ANSWERS),
            "element_clean": pick(ANSWERS),
            "joint_tight": pick(ANSWERS),
            "limit_ohms": pick(OHMS),
            "fuse_ohms": pick(OHMS),
            "windy_or_downdraft": pick(ANSWERS),
            "arrestor_clean": pick(ANSWERS),
            "door_seal_sound": pick(ANSWERS),
            "vapor_sensor_in_range": pick(ANSWERS),
            "igniter_ohms": pick(OHMS),
            "flame_current_microamp": maybe(pick((0.0, 0.3, 2.5))),
            "outlet_f": maybe(pick((60, 95, 121, 126, 160))),
        }
    )


def of_readings(rounds: int = 800) -> Iterator[str]:
    """Cautions from readings, and what a grade says, over random readings."""
    rng = random.Random(5)
    for _ in range(rounds):
        held, readings = rng.choice(PLATES), random_readings(rng)
        finding = rng.choice(list(Finding))
        remedy = rng.choice(FINDINGS[finding].remedies)
        for caution in reading_cautions(held, readings, finding, remedy, 125.0):
            yield caution.message
        for grade in grade_all(held, readings, 125.0).values():
            yield from grade.contradicting
    for reading in ("hold", *(asked.reading for asked in IN_ORDER)):
        yield f"{label_of(reading)} would tell soonest."
    # Rules that contradict no finding are never among a grade's contradictions.
    values = {"mV": "12 mV", "ohm": "350 ohm", "microamp": "0.3 microamp"}
    for rule in RULES:
        unit = next(
            (
                values[key]
                for part, key in (("milli", "mV"), ("ohms", "ohm"), ("micro", "microamp"))
                if part in rule.reading
            ),
            "95 °F" if rule.reading == "outlet_f" else "3.5 in wc",
        )
        yield rule.sentence.format(value=unit) + "."


def of_safety() -> Iterator[str]:
    """Every safety caution, with its source."""
    for remedy, place, closed, tank, setpoint in itertools.product(
        REMEDIES, Location, ANSWERS, ANSWERS, (115.0, 120.0, 125.0, 140.0, 149.0, 170.0)
    ):
        site = Site(
            location=place, closed_water_system=closed, expansion_tank=tank, seismic_zone=True
        )
        household = Household(setpoint_f=setpoint)
        sealed = plate(chamber="sealed")
        for caution in safety_cautions(sealed, site, household, remedy):
            yield caution.message
            if "no source" not in caution.source:
                yield caution.source


def every_stop() -> Iterator[Any]:
    """Each stop that can hold, as the module defines it and as it is found."""
    yield from (each for each in vars(stops).values() if isinstance(each, stops.Stop))
    for name, listed in itertools.product(Hazards.model_fields, ANSWERS):
        yield from stops_for(
            Finding.ELEMENT_WORN,
            FINDINGS[Finding.ELEMENT_WORN].remedies[0],
            plate(chamber="sealed"),
            Readings(inlet_standing_in_wc=15.0, limit_ohms="open"),
            Hazards.model_validate({name: True}),
            sealed_part_listed=listed,
        )


def of_stops() -> Iterator[str]:
    """Each stop, and the replacement that it closes."""
    for stop in every_stop():
        yield from (stop.why, stop.what_to_do, f"{stop.why}: mend that first")


def of_findings() -> Iterator[str]:
    """Names of findings and remedies, and what a finding means."""
    for facts in FINDINGS.values():
        yield from (facts.name, facts.plain)
    yield from (facts.name for facts in REMEDIES.values())


def of_verdicts(names: Iterable[str], rounds: int = 1_500) -> Iterator[str]:
    """Reasons, turns and rules of thumb of random weighings."""
    rng = random.Random(7)
    named, found = list(names), list(every_stop())
    inputs = [each.name for each in INPUTS]
    for _ in range(rounds):
        lcc = rng.uniform(3_000, 9_000)
        new = OpenReplacement(
            name=rng.choice(named),
            price=Decimal(rng.randint(100_000, 500_000)) / 100,
            lcc=lcc + rng.choice((-900, -80, 0, 80, 900)),
        )
        verdict = judge(
            Weighing(
                stops=tuple(rng.sample(found, rng.choice((0, 0, 0, 1, 2)))),
                no_part_reason=rng.choice(
                    (None, None, None, "Nothing in the catalog fits this heater")
                ),
                repair_price=Decimal(rng.randint(9_000, 200_000)) / 100,
                repair_lcc=lcc,
                break_even_price=rng.choice((None, Decimal("-3.20"), Decimal("561.16"))),
                replacement=rng.choice((None, new, new, new)),
                replacement_closed_reason=rng.choice(
                    (None, "There is no 240 V circuit here, and this heater needs one.")
                ),
                indifference_band=Decimal(150),
                age_years=rng.uniform(0.2, 40),
                mean_life_years=13.0,
                break_even_age_years=rng.choice((None, 17.4)),
                best_planned_year=rng.choice((None, 1, 6)),
                best_planned_saves=rng.choice((None, Decimal("-4"), Decimal("212.40"))),
                chance_repair_cheaper=rng.choice((None, rng.random())),
                cheaper_if_it_fits=rng.choice((None, new)),
                deciding=tuple(rng.sample(inputs, rng.choice((0, 1, 3)))),
            )
        )
        yield from (*verdict.reasons, *verdict.turns_at)
        for rule in verdict.rules_of_thumb:
            yield from (rule.name, rule.why)


SITES = tuple(
    Site(
        location=place,
        closed_water_system=closed,
        expansion_tank=tank,
        circuit_240v=circuit,
        condensate_drain=drain,
        gas_line_btu_per_h=line,
        room_volume_ft3=room,
        seismic_zone=True,
        drain_pan_needed=True,
    )
    for place, closed, tank, circuit, drain, line, room in itertools.product(
        (Location.BASEMENT, Location.CLOSET),
        (True, None),
        (False, None),
        ANSWERS,
        ANSWERS,
        (20_000, 250_000, None),
        (200, 2_000, None),
    )
)


def of_replacements(catalog: Catalog) -> Iterator[str]:
    """What the catalog says of every new heater, at many sites."""
    rng = random.Random(9)
    for site in rng.sample(SITES, 60):
        held = rng.choice(PLATES).model_copy(
            update={
                "tank_volume_gal": rng.choice((30.0, 40.0, 55.0, 75.0)),
                "first_hour_rating_gal": rng.choice((None, 150.0)),
            }
        )
        household = Household(people=rng.choice((None, 3, 8)))
        for heater in replacements(catalog, held, site, household, date(2026, 11, 24)):
            yield from (heater.name, heater.install.name, *heater.check_these)
            yield from filter(None, [heater.closed_reason])
            for item in heater.site_items:
                yield from (item.name, item.because)


def rows_of(name: str) -> list[dict[str, str]]:
    with (DEMO_DATA / "catalog" / f"{name}.csv").open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


def of_catalog_names(catalog: Catalog) -> Iterator[str]:
    """Names of parts, operations, new heaters and site items, and why each is asked for."""
    for family in PartFamily:
        yield from (part_name(row["description"]) for row in rows_of(family.value))
    yield from (row["name"] for row in rows_of("operation"))
    yield from (row["name"] for row in rows_of("replacement_heater"))
    yield from (part_name(row["name"]) for row in rows_of("incentive"))
    for row in rows_of("site_item"):
        yield from (row["name"], row["because"])
        look = row["look_for"] or row["because"]
        yield f"Look {look}: {row['name']} may have to be added to the price."
    kinds = catalog.rules.values["sundry_kind"].values()
    for rule, kind in itertools.product(catalog.rules.companions, kinds):
        yield rule.because
        for whose in ("for this heater", "that can be bought today"):
            yield f"The job needs a {kind} ({rule.because}); the catalog has none {whose}."
    yield "it lets SE-20103 serve where the heater has another connection"


def of_missing_parts(catalog: Catalog, rounds: int = 60) -> Iterator[str]:
    """Why no part fits, over heater families and part families."""
    rng = random.Random(11)
    families = [None, *(row["slug"] for row in catalog.rows("heater_families", {}))]
    wanted = [family for family in PartFamily if family is not PartFamily.SUNDRY]
    hot, standing = plate(ignition="hot_surface"), plate()
    needs = [
        Need(PartFamily.PILOT_ASSEMBLY, hot, None),
        Need(PartFamily.SENSING_ELEMENT, hot, None),
        Need(PartFamily.FLAME_ROD, standing, None),
        Need(PartFamily.VAPOR_SENSOR, standing, None),
        Need(PartFamily.SENSING_ELEMENT, standing, None),
    ]
    needs.extend(
        Need(rng.choice(wanted), rng.choice(PLATES), rng.choice(families)) for _ in range(rounds)
    )
    for need in needs:
        answer = fit_parts(catalog, need, "", date(2026, 11, 24))
        if answer.closed_reason:
            yield answer.closed_reason
    yield "Nothing in the catalog fits this heater"
    yield (
        "The sensing element of this heater comes only inside pilot assembly PA-20103: choose "
        "to replace the pilot assembly."
    )
    for family in wanted:
        name = catalog.rules.families[family].name
        for place in ("for this sealed chamber", "for this heater"):
            yield f"Only a {name} that the maker lists may go in, and none is listed {place}."
        yield (
            f"Only a {name} that the maker lists may go in: give the heater family, or the number "
            "on the old part."
        )
        yield f"No {name} in the catalog fits; see the near misses for what differs."
        yield (
            f"The {name} that the maker lists (SE-1, SE-2) is no longer sold, nothing replaces "
            "it, and no other part fits."
        )


def of_prices(priced: PricedVisit) -> Iterator[str]:
    """Lines, notes and discounts of one visit priced in every way."""
    sheet = priced.rate_sheet.sheet
    yield "Labor"
    ways = itertools.product(
        (True, False), (True, False), (Decimal(0), Decimal("0.05")), Access, (2015, 2025)
    )
    for (late, member, discount, access, made), kind in zip(
        ways, itertools.cycle(LineKind), strict=False
    ):
        case = priced.visit.case()
        held = case.heater.model_copy(
            update={
                "manufactured": date(made, 5, 1),
                "parts_warranty_years": 6,
                "tank_warranty_years": 6,
            }
        )
        supply = priced.supply.model_copy(
            update={
                "parts": tuple(
                    part.model_copy(update={"fit_class": fit})
                    for part in priced.supply.parts
                    for fit in (FitClass.LISTED, FitClass.UNIVERSAL)
                ),
                "operations": tuple(
                    each.model_copy(update={"hours": Decimal("0.25")})
                    for each in priced.supply.operations[:1]
                ),
            }
        )
        discounts = sheet.discounts.model_copy(update={"kinds": (LineKind.LABOR, kind)})
        rates = sheet.model_copy(update={"discounts": discounts})
        changed = case.model_copy(
            update={
                "heater": held,
                "site": case.site.model_copy(update={"access": access}),
                "after_hours": late,
                "plan_member": member,
                "discount": discount,
                "hazards": Hazards(tank_leaks=made == 2025),
            }
        )
        estimate = estimate_case(changed, supply, rates, priced.visit.visit.date).estimate
        for job in (estimate.repair.priced, *(path.priced for path in estimate.replacements)):
            yield job.discount_reason
            for line in job.lines:
                yield line.note
                if line.kind.value != "part":
                    yield line.description


def of_energy() -> Iterator[str]:
    """Cautions about energy and ratings that are not said in the view's own words."""
    for caution in (energy._WARM_ROOM, energy._BEYOND_INPUT, energy._INSTANTANEOUS):
        yield from (caution.message, caution.source)
    for ambient in (67.5, 40.0, 101.3):
        yield energy._heat_pump_caution(ambient).message
    huge = plate(tank_volume_gal=119, manufactured=date(2018, 1, 1))
    yield from (each.message for each in rating_of(huge).cautions if each.code not in SAID_HERE)
    for volume in (15, 25, 40, 75):
        caution = draw_bin_of(None, volume)[1]
        assert caution is not None
        yield caution.message
