"""What is to be priced, and what pricing it gives: the types.

A `PricedJob` is what a customer may see. What the job costs the shop is in `JobMargin`,
a type of its own, so that no view, document or page can carry it by accident.
"""

from __future__ import annotations

from decimal import Decimal

from pydantic import BaseModel, ConfigDict

from estimator.heater import Access
from estimator.money import Share
from estimator.rates import LineKind
from estimator.supply import Operation, ReplacementHeater, SiteItem, SuppliedPart


class _Frozen(BaseModel):
    model_config = ConfigDict(frozen=True, extra="forbid")


class Warranty(_Frozen):
    """The maker's warranty as it stands on the day of the job; `notes` are for the reader."""

    parts_free: bool = False
    tank_free: bool = False
    notes: tuple[str, ...] = ()


class Job(_Frozen):
    """What is to be priced: parts, labor, a heater and what its site asks for.

    `heater` is set for a replacement only. `discount` is a further share off, on top of
    none: the larger of it and the plan member's share is taken, never both.
    """

    name: str
    parts: tuple[SuppliedPart, ...] = ()
    operations: tuple[Operation, ...] = ()
    heater: ReplacementHeater | None = None
    site_items: tuple[SiteItem, ...] = ()
    access: Access = Access.OPEN
    after_hours: bool = False
    plan_member: bool = False
    discount: Share = Decimal(0)
    warranty: Warranty = Warranty()


class PriceLine(_Frozen):
    """One line of a quote, as the customer may see it.

    `amount` is quantity times unit price, rounded half up to the cent, after warranty
    and before discount and tax [USD].
    """

    kind: LineKind
    description: str
    quantity: Decimal
    unit: str = ""
    unit_price: Decimal
    amount: Decimal
    taxable: bool
    note: str = ""


class PricedJob(_Frozen):
    """A job at the shop's prices [USD]; `total` has tax in, rounded as the shop rounds."""

    name: str
    lines: tuple[PriceLine, ...]
    subtotal: Decimal
    discount: Decimal
    discount_reason: str = ""
    tax: Decimal
    rounding: Decimal
    total: Decimal


class JobMargin(_Frozen):
    """What a job costs the shop and what is left; for the owner's eyes only.

    `line_costs` run beside the lines of the priced job; `unlined_cost` is what has no
    line, being charged nothing for; `cost` is all of them [USD]. `revenue` is the total before
    tax [USD]. `gross_margin` is the share of it that is left after cost, to four
    decimals, and -1 where a job costs money and brings none.
    """

    line_costs: tuple[Decimal, ...]
    unlined_cost: Decimal = Decimal(0)
    cost: Decimal
    revenue: Decimal
    gross_margin: Decimal
    below_floor: bool
