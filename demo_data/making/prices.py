"""What suppliers ask, whose numbers a part has, and where pieces of it are."""

from __future__ import annotations

from collections.abc import Iterator

from demo_data.making.rows import INVENTED, PREFIX, Row
from demo_data.making.shelf import Shelf

COST_RANGE = {
    "sensing_element": (6, 24),
    "pilot_assembly": (28, 85),
    "igniter": (7, 48),
    "limit": (6, 22),
    "gas_control": (88, 210),
    "pilot_tube": (4, 11),
    "orifice": (3, 9),
    "door_kit": (24, 62),
    "vapor_sensor": (19, 44),
    "flame_rod": (11, 27),
    "sundry": (2, 9),
}
SUPPLIERS = ("Counter North (invented)", "Counter South (invented)", "Counter East (invented)")
WORKED_PART = "SE-20104"
"""The part of the README's worked visit: it is on its van."""


def offers(shelf: Shelf) -> Iterator[Row]:
    """Yield several offers for each part, some past, some with an end."""
    for family, rows in shelf.rows.items():
        low, high = COST_RANGE[family]
        for row in rows:
            sold = row["discontinued"] == "no"
            base = shelf.chance.uniform(low, high)
            for place in range(shelf.chance.randint(2, 3)):
                cost = round(base * shelf.chance.uniform(0.94, 1.12), 2)
                yield {
                    "part": row["number"],
                    "supplier": SUPPLIERS[place],
                    "cost": f"{cost:.2f}",
                    "list_price": f"{base * 2.1:.2f}",
                    "valid_from": "2025-01-01",
                    "valid_to": "" if sold else "2025-06-30",
                    "order_days": shelf.chance.choice((1, 2, 2, 3, 5)),
                    "supplier_number": supplier_number(row["number"]) if place == 1 else "",
                    "notice": INVENTED,
                }
            if sold and shelf.chance.random() < 0.5:
                yield {
                    "part": row["number"],
                    "supplier": SUPPLIERS[0],
                    "cost": f"{base * 0.9:.2f}",
                    "list_price": f"{base * 2.0:.2f}",
                    "valid_from": "2026-01-15",
                    "valid_to": "2026-03-31",
                    "order_days": 4,
                    "supplier_number": "",
                    "notice": INVENTED,
                }


def supplier_number(number: object) -> str:
    """Return the number that one of the suppliers has for a part; the others use the maker's."""
    prefix, serial = str(number).split("-")
    return f"7{list(PREFIX.values()).index(prefix):02d}-{int(serial) - 20000:04d}"


def other_numbers(shelf: Shelf) -> Iterator[Row]:
    """Yield the shop's own number of every part that a maker lists."""
    listed = sorted({str(row["part"]) for row in shelf.listed})
    for place, number in enumerate(listed):
        yield {
            "number": f"LSW {4100 + place}",
            "part": number,
            "kind": "shop",
            "whose": "Lantern Street Water Heater Service (invented)",
            "notice": INVENTED,
        }


def stock(shelf: Shelf) -> Iterator[Row]:
    """Yield stock of two vans and a branch; much is out of stock."""
    places = (("van-1", "van", 0.22), ("van-2", "van", 0.22), ("branch-1", "branch", 0.5))
    listed = {str(row["part"]) for row in shelf.listed}
    for rows in shelf.rows.values():
        for row in rows:
            if row["discontinued"] == "yes":
                continue
            if row["number"] == WORKED_PART:
                yield {"part": WORKED_PART, "place": "van-1", "place_kind": "van", "pieces": 2,
                       "notice": INVENTED}  # fmt: skip
            liked = row["number"] in listed or row.get("sundry_kind") in (
                "leak_solution",
                "thread_sealant",
            )
            for place, kind, share in places:
                if shelf.chance.random() < share * (2.2 if liked else 0.7):
                    yield {
                        "part": row["number"],
                        "place": place,
                        "place_kind": kind,
                        "pieces": shelf.chance.choice((0, 1, 1, 2, 3, 6)),
                        "notice": INVENTED,
                    }
