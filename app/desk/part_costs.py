"""What the parts of the books cost when they were quoted, against what suppliers ask now."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from typing import TYPE_CHECKING, Final

import numpy as np
import pyarrow as pa
import pyarrow.compute as pc

from app.desk.book_table import book_table
from app.desk.books import FILTERED, BookFilter, chosen_rows, people_of
from app.ledger.entries import REPAIR
from app.people.guard import Actor, require
from app.people.roles import Action
from estimator.supply import Supply

if TYPE_CHECKING:
    from app.shop import Shop

MOST: Final = 100
READ: Final = ("number", "revision", "part_number", *FILTERED)


@dataclass(frozen=True)
class PartCost:
    """A part's cost when it was last quoted and the cheapest offer today [USD].

    `used` accepted repairs took it. `cost_now` is ``None`` where no supplier offers it today;
    `suppliers` do, the dearest at `dearest_now`.
    """

    number: str
    description: str
    used: int
    quoted_on: date
    cost_then: Decimal
    cost_now: Decimal | None
    supplier: str | None
    dearest_now: Decimal | None
    suppliers: int

    @property
    def change(self) -> Decimal | None:
        """Cost now over cost then, less one [1]; ``None`` where there is nothing to compare."""
        if self.cost_now is None or not self.cost_then:
            return None
        return self.cost_now / self.cost_then - 1

    @property
    def variance(self) -> Decimal | None:
        """What the pieces used would cost more at today's cheapest offer [USD]."""
        return None if self.cost_now is None else (self.cost_now - self.cost_then) * self.used


def part_costs(
    shop: Shop, actor: Actor, wanted: BookFilter, day: date, most: int = MOST
) -> tuple[PartCost, ...]:
    """Hold the costs of the parts most used against suppliers' offers of today.

    Parameters
    ----------
    shop
        The shop: its books and its catalog in force.
    actor
        The owner.
    wanted
        Which quotes.
    day
        Today, at the shop.
    most
        How many parts at most, those in most accepted repairs first.

    Returns
    -------
    One for each main part of an accepted repair in the filter.

    Raises
    ------
    Trouble
        If it is not the actor's to see, or there is no catalog.

    Notes
    -----
    The cost then is that of the last quote in the filter that had the part; one piece a repair
    is counted. Companions (gaskets, sundries) are not in the books.
    """
    from catalog.parts import offers  # noqa: PLC0415 - brings the catalog's engine with it

    require(shop, actor, Action.SEE_BOOKS)
    table = book_table(shop, READ)
    rows = chosen_rows(table, wanted, day, people_of(table))
    repaired = pc.equal(rows["chosen_path"].cast(pa.string()), REPAIR)
    rows = rows.filter(pc.and_(pc.fill_null(repaired, False), pc.is_valid(rows["part_number"])))
    rows = rows.filter(pc.invert(rows["superseded"]))
    parts = rows["part_number"].cast(pa.string()).to_numpy(zero_copy_only=False)
    names, counts = np.unique(parts.astype(str), return_counts=True)
    top = [str(names[i]) for i in np.argsort(-counts, kind="stable")[: max(most, 0)]]
    now = offers(shop.catalog(), top, day)
    used = dict(zip(map(str, names), map(int, counts), strict=True))
    found = []
    for name in top:
        row = rows.slice(int(np.flatnonzero(parts == name)[-1]), 1).to_pylist()[0]
        quote = shop.ledger.quotes.get(row["number"], row["revision"])
        supplied = Supply.model_validate_json(quote.supply_json).parts
        part = next((it for it in supplied if it.number == name), None)
        if part is None:
            continue
        asked = now.get(name, ())
        found.append(
            PartCost(
                number=name,
                description=part.description,
                used=used[name],
                quoted_on=row["issued_on"],
                cost_then=part.unit_cost,
                cost_now=asked[0].cost if asked else None,
                supplier=asked[0].supplier if asked else None,
                dearest_now=max(it.cost for it in asked) if asked else None,
                suppliers=len({it.supplier for it in asked}),
            )
        )
    return tuple(found)
