"""Make the demo catalog: invented parts, prices and heaters, the same on every run.

Run ``python -m demo_data.make_catalog`` to write demo_data/catalog anew. Nothing in it is
taken from any maker, supplier or shop: numbers, makers, prices and stock are invented.
Labor operations, site items and incentives are written by hand, in demo_data/catalog.
"""

from __future__ import annotations

import csv
import random
from collections.abc import Iterable
from pathlib import Path

from demo_data.making.equipping import equip
from demo_data.making.heaters import heater_rows
from demo_data.making.neighbors import cross_references, near_misses, sundries
from demo_data.making.prices import offers, other_numbers, stock
from demo_data.making.replacements import replacement_heaters
from demo_data.making.rows import Row
from demo_data.making.shelf import Shelf

HERE = Path(__file__).parent / "catalog"
SEED = 20_260_101


def write(folder: Path, name: str, rows: Iterable[Row]) -> None:
    """Write one file."""
    held = list(rows)
    columns = list(dict.fromkeys(column for row in held for column in row))
    with (folder / f"{name}.csv").open("w", encoding="utf-8", newline="") as out:
        writer = csv.DictWriter(out, columns, restval="", lineterminator="\n")
        writer.writeheader()
        writer.writerows(held)


def make(folder: Path) -> None:
    """Write the demo catalog into a folder, except for what is written by hand."""
    folder.mkdir(parents=True, exist_ok=True)
    shelf = Shelf(random.Random(SEED))
    families = list(heater_rows())
    for slug, row in families:
        equip(shelf, slug, row)
    # Neighbors first, then what refers to other parts, then the sundries.
    near_misses(shelf)
    cross_references(shelf)
    sundries(shelf)
    write(folder, "heater_family", (row for _, row in families))
    for family, rows in shelf.rows.items():
        write(folder, family, rows)
    write(folder, "listed", shelf.listed)
    write(folder, "alike", shelf.alike)
    write(folder, "offer", offers(shelf))
    write(folder, "other_number", other_numbers(shelf))
    write(folder, "stock", stock(shelf))
    write(folder, "replacement_heater", replacement_heaters())


if __name__ == "__main__":
    make(HERE)
