"""The heaters that may stand in the old one's place."""

from __future__ import annotations

from collections.abc import Iterator

from demo_data.making.heaters import DV, ND, PV
from demo_data.making.rows import INVENTED, Row, written


def replacement_heaters() -> Iterator[Row]:
    """Yield the heaters that may stand in the old one's place."""
    for fuel, tag in (("natural_gas", "ng"), ("propane", "lp")):
        more = 0 if tag == "ng" else 60
        for gal, burner, fhr, cost in (
            (30, 30000, 54, 455), (40, 40000, 70, 515), (50, 40000, 84, 595), (75, 75100, 130, 1290)
        ):  # fmt: skip
            for venting, short, extra in ((ND, "nd", 0), (PV, "pv", 420), (DV, "dv", 310)):
                yield heater(
                    f"tank-{gal}-{tag}-{short}", f"{gal} gal gas tank", "standard",
                    "gas_storage", fuel, gal, burner, 0.6 if gal < 75 else 0.57, fhr,
                    cost + extra + more, venting=venting, circuit="no",
                )  # fmt: skip
        for gal, fhr, cost in ((40, 74, 890), (50, 90, 985)):
            yield heater(
                f"tank-{gal}-{tag}-damper", f"{gal} gal gas tank with flue damper",
                "high_efficiency", "gas_storage", fuel, gal, 40000, 0.68, fhr, cost + more,
            )  # fmt: skip
        yield heater(
            f"condensing-50-{tag}", "50 gal condensing gas tank", "condensing",
            "gas_storage_condensing", fuel, 50, 76000, 0.86, 127, 2350 + more, venting=PV,
            drain="can_be_added", gas_line="can_be_added",
        )  # fmt: skip
        for slug, label, kind, uef, cost, drain in (
            (f"instantaneous-{tag}", "Instantaneous gas heater", "instantaneous", 0.82, 940, "no"),
            (f"instantaneous-condensing-{tag}", "Condensing instantaneous gas heater",
             "instantaneous", 0.95, 1310, "must_exist"),
        ):  # fmt: skip
            yield heater(
                slug, label, kind, "gas_instantaneous", fuel, 0, 180000, uef, None, cost + more,
                venting=DV, drain=drain, gas_line="can_be_added", flow=4.8,
            )  # fmt: skip
    for gal, fhr, cost in ((50, 66, 1390), (65, 78, 1690), (80, 90, 1990)):
        yield heater(
            f"heat-pump-{gal}", f"{gal} gal heat-pump water heater", "heat_pump", "heat_pump",
            "electricity", gal, None, 3.5, fhr, cost, circuit="must_exist", drain="must_exist",
            room=700,
        )  # fmt: skip
    for gal, fhr, cost in ((40, 52, 410), (50, 62, 465)):
        yield heater(
            f"electric-{gal}", f"{gal} gal electric tank", "electric",
            "electric_storage", "electricity", gal, None, 0.92, fhr, cost, circuit="must_exist",
        )  # fmt: skip


def heater(
    slug: str, name: str, kind: str, heater_class: str, fuel: str, gal: int,
    burner: int | None, uef: float, fhr: int | None, cost: int, *, venting: str = ND,
    circuit: str = "no", drain: str = "no", gas_line: str = "must_exist",
    flow: float | None = None, room: int | None = None,
) -> Row:  # fmt: skip
    """Return the row of one replacement heater."""
    gas = fuel != "electricity"
    install = {
        "instantaneous": "install_instantaneous",
        "heat_pump": "install_heat_pump",
        "electric": "install_electric_tank",
        "condensing": "install_power_vent_tank",
    }.get(kind, "install_power_vent_tank" if venting == PV else "install_gas_tank")
    vents = {ND: ", natural draft", PV: ", power vent", DV: ", direct vent"}
    return {
        "slug": slug,
        "name": f"{name.replace('gas', 'propane') if fuel == 'propane' else name}"
        f"{vents[venting] if gas else ''}",
        "kind": kind,
        "heater_class": heater_class,
        "fuel": fuel,
        "volume_gal": gal,
        "input_btu_per_h": written(burner),
        "uniform_energy_factor": uef,
        "draw_bin": "high" if gal >= 65 or (fhr or 0) >= 75 or kind == "instantaneous"
        else "medium",
        "recovery_efficiency": {"standard": 0.79, "high_efficiency": 0.82, "condensing": 0.92,
                                "electric": 0.98}.get(kind, ""),
        "first_hour_rating_gal": written(fhr),
        "max_flow_gpm": written(flow),
        "venting": venting if gas else "",
        "upkeep_per_year": {"instantaneous": "85.00", "heat_pump": "30.00",
                            "condensing": "45.00"}.get(kind, "20.00"),
        "unit_cost": f"{cost}.00",
        "install_operation": install,
        "circuit_240v": circuit,
        "condensate_drain": drain,
        "gas_line": gas_line if gas else "no",
        "min_room_volume_ft3": written(room),
        "valid_from": "2025-01-01",
        "valid_to": "",
        "notice": INVENTED,
    }  # fmt: skip
