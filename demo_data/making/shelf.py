"""The parts made so far."""

from __future__ import annotations

import random
from itertools import count

from demo_data.making.rows import INVENTED, PREFIX, Row, written
from demo_data.making.words import description


class Shelf:
    """The parts made so far; the same features of one maker give the same part."""

    def __init__(self, chance: random.Random) -> None:
        self.chance = chance
        self.rows: dict[str, list[Row]] = {family: [] for family in PREFIX}
        self.by_features: dict[tuple[object, ...], str] = {}
        self.serial = {family: count(20101) for family in PREFIX}
        self.listed: list[Row] = []
        self.alike: list[Row] = []

    def add(self, family: str, maker: str, note: str = "", **features: object) -> str:
        """Add a part, whatever is there already."""
        number = f"{PREFIX[family]}-{next(self.serial[family])}"
        row: Row = {
            "number": number,
            "description": description(family, features, note),
            "maker": f"Maker {maker} (invented)",
            "universal": "no",
            "discontinued": "no",
            "replaced_by": "",
            **{name: written(value) for name, value in features.items()},
            "notice": INVENTED,
        }
        self.rows[family].append(row)
        return number

    def part(self, family: str, maker: str, **features: object) -> str:
        """Return the maker's part of these features, made once."""
        key = (family, maker, *sorted(features.items(), key=str))
        if key not in self.by_features:
            self.by_features[key] = self.add(family, maker, **features)
        return self.by_features[key]

    def row(self, number: str) -> Row:
        """Return the row of a number."""
        return next(row for rows in self.rows.values() for row in rows if row["number"] == number)

    def predecessors(self, family: str, number: str, generations: int) -> str:
        """Put older generations before a part, each replaced by the next."""
        after = number
        for _ in range(generations):
            older = dict(self.row(after))
            older["number"] = f"{PREFIX[family]}-{next(self.serial[family])}"
            older["discontinued"] = "yes"
            older["replaced_by"] = after
            self.rows[family].append(older)
            after = str(older["number"])
        return after
