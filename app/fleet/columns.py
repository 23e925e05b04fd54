"""The columns of a fleet file: what each holds, and what it may hold."""

from __future__ import annotations

from dataclasses import dataclass
from difflib import get_close_matches
from typing import TYPE_CHECKING, Literal

from estimator.errors import InputTrouble
from estimator.heater import Access, DrawBin, Fuel, Location, Venting

if TYPE_CHECKING:
    from collections.abc import Sequence
    from enum import StrEnum

LEFT_ALONE = "x_"
"""A column whose name begins so is the owner's own and is not read."""

NEEDED = ("id", "fuel", "tank_volume_gal", "input_btu_per_h")


@dataclass(frozen=True)
class Column:
    """One column: its kind and bounds.

    Attributes
    ----------
    name
        Name, with its unit at the end.
    kind
        What a cell holds.
    about
        What it means, for the documentation.
    low, high
        Least and greatest number.
    open_low, open_high
        Whether the bound itself is out.
    words
        The words that a cell may hold.
    """

    name: str
    kind: Literal["text", "number", "whole", "date", "word", "yes_no"]
    about: str
    low: float = 0.0
    high: float = 0.0
    open_low: bool = False
    open_high: bool = False
    words: tuple[str, ...] = ()

    @property
    def must_be(self) -> str:
        """Say what a cell must hold."""
        if self.kind == "word":
            return f"one of {', '.join(self.words)}"
        if self.kind == "yes_no":
            return "yes or no"
        if self.kind == "date":
            return "a date, year first, such as 2019-05-31, not before 1950"
        low = f"above {self.low:,.10g}" if self.open_low else f"from {self.low:,.10g}"
        high = f"below {self.high:,.10g}" if self.open_high else f"to {self.high:,.10g}"
        return f"a {'whole ' if self.kind == 'whole' else ''}number {low} {high}"


def _words(of: type[StrEnum], *without: StrEnum) -> tuple[str, ...]:
    return tuple(each.value for each in of if each not in without)


COLUMNS: tuple[Column, ...] = (
    Column("id", "text", "what the owner calls the heater, each once at a site"),
    Column("site", "text", "building or property that it belongs to; the summary goes by it"),
    Column("fuel", "word", "what it burns", words=_words(Fuel, Fuel.ELECTRICITY)),
    Column("tank_volume_gal", "number", "rated volume [gal]", 2, 120),
    Column("input_btu_per_h", "number", "rated input [Btu/h]", 5_000, 200_000),
    Column("manufactured", "date", "date of manufacture; or give age_years"),
    Column("age_years", "number", "age [yr], where no date is known", 0, 76),
    Column("venting", "word", "how flue gas leaves; natural_draft if blank", words=_words(Venting)),
    Column("energy_factor", "number", "EF on the label [1]", 0, 1, True, True),
    Column("uniform_energy_factor", "number", "UEF on the label [1]", 0, 1, True, True),
    Column("draw_bin", "word", "draw bin of the UEF", words=_words(DrawBin)),
    Column("recovery_efficiency", "number", "recovery efficiency [1]", 0.5, 1, True, True),
    Column("first_hour_rating_gal", "number", "first-hour rating [gal]", 0, 300, True),
    Column("gallons_per_day", "number", "hot water drawn [gal/day]", 0, 500, True),
    Column("people", "whole", "people served, where the draw is not known", 1, 20),
    Column("bedrooms", "whole", "bedrooms served, where neither is known", 0, 12),
    Column("setpoint_f", "number", "set point [°F]; 125 if blank", 90, 180),
    Column("inlet_f", "number", "water that comes in [°F]; 58 if blank", 33, 95),
    Column("ambient_f", "number", "air around the tank [°F]; 67.5 if blank", 0, 130),
    Column("repair_price", "number", "price of repairing it now, tax in [USD]", 0, 10_000_000),
    Column("location", "word", "where it stands; basement if blank", words=_words(Location)),
    Column("access", "word", "how hard it is to reach; open if blank", words=_words(Access)),
    Column("circuit_240v", "yes_no", "a free 240 V circuit; blank if nobody looked"),
    Column("condensate_drain", "yes_no", "a place for condensate; blank if nobody looked"),
    Column("gas_line_btu_per_h", "number", "what the gas line carries [Btu/h]", 0, 1e6, True),
)
"""Every column that a fleet file may have."""

BY_NAME = {column.name: column for column in COLUMNS}


def checked_names(given: Sequence[str], where: str) -> tuple[str, ...]:
    """Check the column names of a file.

    Parameters
    ----------
    given
        The names as they stand in the file.
    where
        The file, for the message.

    Returns
    -------
    The names without spaces around them, in lower case; a column to be left alone is empty.

    Raises
    ------
    InputTrouble
        If a column is not known, is there twice, or one that is needed is missing.
    """
    names = [name.strip().lower() for name in given]
    missing = [name for name in NEEDED if name not in names]
    unknown = [name for name in names if name not in BY_NAME and not name.startswith(LEFT_ALONE)]
    for name in unknown:
        near = get_close_matches(name, missing, 1, 0.5) or get_close_matches(name, BY_NAME, 1, 0.6)
        hint = f'did you mean "{near[0]}"?' if near else f"known here: {', '.join(BY_NAME)}"
        raise InputTrouble(
            f'The column "{name}" is not known; {hint}',
            where,
            f'Rename it, or begin its name with "{LEFT_ALONE}" to have it left alone.',
        )
    if missing:
        raise InputTrouble(
            f"The column {' and the column '.join(missing)} is missing", where, "Add it."
        )
    twice = [name for name in BY_NAME if names.count(name) > 1]
    if twice:
        raise InputTrouble(f'The column "{twice[0]}" is there twice', where, "Remove one.")
    if "manufactured" not in names and "age_years" not in names:
        raise InputTrouble(
            "There is neither a column manufactured nor a column age_years", where, "Add one."
        )
    return tuple(name if name in BY_NAME else "" for name in names)
