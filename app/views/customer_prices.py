"""What is in a price, for the customer: item by item, or as one sum."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from app import formatting
from app.views import customer_words as words

if TYPE_CHECKING:
    from estimator.pricing import PricedJob, PriceLine


@dataclass(frozen=True)
class PriceRow:
    """One line of a price as text."""

    description: str
    quantity: str
    unit_price: str
    amount: str
    note: str


@dataclass(frozen=True)
class PriceTable:
    """What is in a price; `sums` are label and amount under the rows, the total apart."""

    name: str
    rows: tuple[PriceRow, ...]
    sums: tuple[tuple[str, str], ...]
    total: str


def build_price_table(job: PricedJob, what: str, lump: bool) -> PriceTable:
    """Build what is in a price, item by item or as one sum.

    Parameters
    ----------
    job
        The priced job.
    what
        What is done, for the customer.
    lump
        Show one sum in place of the items.

    Returns
    -------
    The table.
    """
    total = formatting.money(job.total)
    if lump:
        row = PriceRow(words.LUMP.format(what=what), "", "", total, "")
        return PriceTable(what, (row,), (), total)
    sums = [(words.LABELS["subtotal"], formatting.money(job.subtotal))]
    if job.discount:
        reason = f" ({job.discount_reason})" if job.discount_reason else ""
        sums.append((words.LABELS["discount"] + reason, formatting.money(-job.discount)))
    sums.append((words.LABELS["tax"], formatting.money(job.tax)))
    if job.rounding:
        sums.append((words.LABELS["rounding"], formatting.money(job.rounding)))
    return PriceTable(what, tuple(_row(line) for line in job.lines), tuple(sums), total)


def _row(line: PriceLine) -> PriceRow:
    return PriceRow(
        description=line.description,
        quantity=formatting.quantity(line.quantity, line.unit),
        unit_price=formatting.money(line.unit_price),
        amount=formatting.money(line.amount),
        note=line.note,
    )
