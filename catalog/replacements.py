"""Heaters that could stand in the old one's place, with what the site asks for."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from catalog.conditions import holds
from estimator.heater import Fuel, HeaterClass
from estimator.supply import Incentive, Operation, ReplacementHeater, SiteItem

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence
    from datetime import date

    from catalog.snapshots import Catalog
    from estimator.heater import Household, RatingPlate, Site

KINDS = ("standard", "high_efficiency", "condensing", "instantaneous", "heat_pump", "electric")
SAME_INPUT = 1.15
"""Up to this times the old input [1] the gas line in place is taken to be enough; common
practice, no source."""

SHOWER_GAL = 20.0
"""Hot water of one shower [gal]; DOE's sizing worksheet, from memory."""

Row = dict[str, Any]


def replacements(
    catalog: Catalog, plate: RatingPlate, site: Site, household: Household, on: date
) -> tuple[ReplacementHeater, ...]:
    """Return the heaters to compare with a repair, one of each kind.

    Parameters
    ----------
    catalog
        The open catalog.
    plate
        The rating plate of the heater in place.
    site
        Where it stands.
    household
        Who uses the hot water; its size is held against the first-hour rating.
    on
        The day: heaters and incentives of that day.

    Returns
    -------
    Like for like first, then higher-efficiency, condensing, instantaneous, heat-pump and
    electric heaters, as far as the catalog has them. One that cannot go here has a
    `closed_reason`; what nobody looked at is in `check_these`.

    Notes
    -----
    Of each kind the one nearest in volume is taken, not smaller where there is a choice;
    a gas heater keeps the fuel of the old one. Common practice, no source.
    """
    rows = catalog.rows("replacement_heaters", {"on": on})
    items = catalog.fixed_rows("site_items")
    incentives = catalog.rows("incentives", {"on": on})
    chosen = []
    for kind in KINDS:
        row = _nearest(kind, rows, plate, site)
        if row is not None:
            chosen.append(_made(row, items, incentives, plate, site, household))
    return tuple(chosen)


def _nearest(kind: str, rows: Iterable[Row], plate: RatingPlate, site: Site) -> Row | None:
    fits = [
        row for row in rows if row["kind"] == kind and row["fuel"] in (plate.fuel, Fuel.ELECTRICITY)
    ]
    if kind in ("standard", "high_efficiency"):
        fits = [row for row in fits if row["venting"] == plate.venting]
    if not fits:
        return None

    def distance(row: Row) -> tuple[Any, ...]:
        gap = row["volume_gal"] - plate.tank_volume_gal if row["volume_gal"] else 0.0
        closed = _closed_reason(row, site) is not None
        # A tank within a gallon below is of the same size; a smaller one is the last choice,
        # even where the right one cannot go in: that it cannot is the answer.
        return gap < -1.0, closed, abs(gap), -row["uniform_energy_factor"], row["slug"]

    return min(fits, key=distance)


def _made(
    row: Row,
    items: Sequence[Row],
    incentives: Sequence[Row],
    plate: RatingPlate,
    site: Site,
    household: Household,
) -> ReplacementHeater:
    facts = _facts(row, plate, site)
    asked = []
    unsettled = _site_checks(row, site)
    checks = [*unsettled, *_size_checks(row, plate, household), *_line_checks(row, plate, site)]
    for item in items:
        held = holds(item["conditions"], facts)
        if held:
            asked.append(_site_item(item))
        elif held is None:
            look = item["look_for"] or item["because"]
            checks.append(f"Look {look}: {item['name']} may have to be added to the price.")
    own = set(ReplacementHeater.model_fields) & set(row)
    return ReplacementHeater(
        **{name: row[name] for name in own},
        like_for_like=row["kind"] == "standard" and row["fuel"] == plate.fuel,
        install=Operation(
            slug=row["install_operation"], name=row["install_name"], hours=row["install_hours"]
        ),
        site_items=tuple(asked),
        incentives=tuple(
            Incentive(name=each["name"], amount=each["amount"], last_day=each["valid_to"])
            for each in incentives
            if each["heater_class"] == row["heater_class"]
            and row["uniform_energy_factor"] >= each["min_uniform_energy_factor"]
        ),
        unsettled=tuple(unsettled),
        check_these=tuple(dict.fromkeys(checks)),
        closed_reason=_closed_reason(row, site),
    )


def _site_item(item: Row) -> SiteItem:
    return SiteItem(**{name: item[name] for name in SiteItem.model_fields if name in item})


def _gas_line_enough(row: Row, site: Site) -> bool | None:
    if row["input_btu_per_h"] is None:
        return True
    if site.gas_line_btu_per_h is None:
        return None
    return bool(site.gas_line_btu_per_h >= row["input_btu_per_h"])


def _needs_more_gas(row: Row, plate: RatingPlate) -> bool:
    burner: float | None = row["input_btu_per_h"]
    return burner is not None and burner > SAME_INPUT * plate.input_btu_per_h


def _facts(row: Row, plate: RatingPlate, site: Site) -> dict[str, str | bool | None]:
    enough = _gas_line_enough(row, site)
    return {
        "heater_class": row["heater_class"],
        "fuel": row["fuel"],
        "venting": row["venting"] or "none",
        "burns_gas": row["fuel"] != Fuel.ELECTRICITY,
        "stores": row["heater_class"] != HeaterClass.GAS_INSTANTANEOUS,
        "same_fuel": row["fuel"] == plate.fuel,
        "same_venting": row["venting"] == plate.venting,
        "closed_water_system": site.closed_water_system,
        "expansion_tank": site.expansion_tank,
        "circuit_240v": site.circuit_240v,
        "condensate_drain": site.condensate_drain,
        # A line that feeds the old heater feeds one of the same input.
        "gas_line_enough": True if enough is None and not _needs_more_gas(row, plate) else enough,
        "seismic_zone": site.seismic_zone,
        "drain_pan_needed": site.drain_pan_needed,
        "needs_circuit_240v": row["circuit_240v"],
        "needs_condensate_drain": row["condensate_drain"],
        "gas_line": row["gas_line"],
        "location": str(site.location),
    }


def _closed_reason(row: Row, site: Site) -> str | None:
    """Return why a heater cannot go here; a fact that nobody looked at closes nothing."""
    if row["circuit_240v"] == "must_exist" and site.circuit_240v is False:
        return "There is no 240 V circuit here, and this heater needs one."
    if row["condensate_drain"] == "must_exist" and site.condensate_drain is False:
        return "There is no drain for condensate here, and this heater needs one."
    if row["gas_line"] == "must_exist" and _gas_line_enough(row, site) is False:
        return (
            f"The gas line carries {site.gas_line_btu_per_h:,.0f} Btu/h, this heater needs "
            f"{row['input_btu_per_h']:,.0f} Btu/h."
        )
    room = row["min_room_volume_ft3"]
    if room is not None and site.room_volume_ft3 is not None and site.room_volume_ft3 < room:
        return (
            f"The room has {site.room_volume_ft3:,.0f} ft³, this heater needs at least "
            f"{room:,.0f} ft³ of air around it."
        )
    return None


def _site_checks(row: Row, site: Site) -> list[str]:
    checks = []
    if row["circuit_240v"] == "must_exist" and site.circuit_240v is None:
        checks.append("Look whether there is a 240 V circuit here; this heater needs one.")
    if row["condensate_drain"] == "must_exist" and site.condensate_drain is None:
        checks.append("Look whether there is a drain for condensate; this heater needs one.")
    if row["min_room_volume_ft3"] is not None and site.room_volume_ft3 is None:
        checks.append(
            f"Measure the room: this heater needs at least {row['min_room_volume_ft3']:,.0f} ft³."
        )
    return checks


def _size_checks(row: Row, plate: RatingPlate, household: Household) -> list[str]:
    checks = []
    rating, before = row["first_hour_rating_gal"], plate.first_hour_rating_gal
    if rating is not None and before is not None and rating < 0.95 * before:
        checks.append(
            f"Its first-hour rating is {rating:,.0f} gal, that of the old heater "
            f"{before:,.0f} gal: ask whether hot water ran short."
        )
    if rating is not None and household.people is not None:
        showers = household.people * SHOWER_GAL
        if showers > rating:
            checks.append(
                f"If all {household.people} people shower within the hour they draw about "
                f"{showers:,.0f} gal, its first-hour rating is {rating:,.0f} gal."
            )
    if row["volume_gal"] and row["volume_gal"] < plate.tank_volume_gal - 1.0:
        checks.append(
            f"It holds {row['volume_gal']:,.0f} gal, the old heater "
            f"{plate.tank_volume_gal:,.0f} gal."
        )
    return checks


def _line_checks(row: Row, plate: RatingPlate, site: Site) -> list[str]:
    unseen = row["gas_line"] == "must_exist" and _gas_line_enough(row, site) is None
    if not unseen or not _needs_more_gas(row, plate):
        return []
    return [
        f"Look whether the gas line carries {row['input_btu_per_h']:,.0f} Btu/h; the old heater "
        f"has {plate.input_btu_per_h:,.0f} Btu/h."
    ]
