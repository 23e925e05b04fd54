"""What the ledger keeps besides quotes: people, answers, links, outcomes, stock set aside."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime
from decimal import Decimal
from typing import Any


@dataclass(frozen=True)
class Person:
    """Somebody who may sign in.

    `demo` marks the people of the demo shop, whose password is published; `removed_at` is
    set on a person who may no longer sign in and whose name stays in what he did.
    """

    person_id: str
    name: str
    email: str
    role: str
    demo: bool
    made_at: datetime
    removed_at: datetime | None


@dataclass(frozen=True)
class Session:
    """A person who is signed in, and when that ends if nothing is done and at the latest."""

    person: Person
    made_at: datetime
    seen_at: datetime
    ends_at: datetime


@dataclass(frozen=True)
class Answer:
    """A customer's answer to one revision of a quote.

    `choice` is ``repair``, the slug of a replacement, or ``declined``. `text_hash` is the
    SHA-256 of the exact text agreed to, in UTF-8 [hex]. `via` says how it came: ``door`` or
    ``link``.
    """

    number: str
    revision: int
    choice: str
    typed_name: str
    agreed_text: str
    text_hash: str
    answered_at: datetime
    taken_by: str
    via: str

    @property
    def accepted(self) -> bool:
        """Whether the customer took one of the paths."""
        return self.choice != DECLINED


DECLINED = "declined"
REPAIR = "repair"
ALLOWED = "allowed"


@dataclass(frozen=True)
class Allowance:
    """A request to issue a job under the margin floor once, and the owner's decision.

    `decision` is empty while nobody decided, then ``allowed`` or ``denied``. `jobs` holds
    cost and margin of each job under the floor, for the owner's eyes only.
    """

    allowance_id: str
    job_digest: str
    draft_id: str | None
    title: str
    jobs: list[dict[str, Any]]
    note: str
    asked_by: str
    asked_at: datetime
    decision: str
    reason: str
    decided_by: str | None
    decided_at: datetime | None
    used_by: str | None

    @property
    def open(self) -> bool:
        """Whether the owner has still to decide."""
        return not self.decision


@dataclass(frozen=True)
class Link:
    """A customer's link to a quote; the token itself is not kept, only its hash."""

    link_hash: str
    number: str
    made_by: str
    made_at: datetime
    ends_at: datetime
    revoked_by: str | None
    revoked_at: datetime | None


@dataclass(frozen=True)
class Outcome:
    """What came of a quote: whether the repair held, and when the heater failed."""

    outcome_id: str
    number: str
    seen_on: date
    repair_held: bool | None
    failed_on: date | None
    note: str
    recorded_by: str
    recorded_at: datetime


@dataclass(frozen=True)
class Wish:
    """Pieces of a part that a quote asks to have set aside, at the first places that have them.

    `counted` is each place with the pieces counted there, the nearest first.
    """

    part: str
    pieces: int
    counted: tuple[tuple[str, int], ...]


@dataclass(frozen=True)
class Reservation:
    """Pieces of a part set aside at a place for a revision of a quote, up to a day.

    A place is a van or a branch. `wanted` is what it asked for there and `pieces` what was
    free then: the rest is held by other quotes, and no other place had it free either.
    `released_at` is set once they were let go.
    """

    number: str
    revision: int
    part: str
    place: str
    wanted: int
    pieces: int
    held_until: date
    released_at: datetime | None = None

    @property
    def short(self) -> int:
        """Pieces that other quotes hold."""
        return self.wanted - self.pieces


@dataclass(frozen=True)
class Photo:
    """A photo of a visit as it was kept, without its bytes; width and height in pixels."""

    photo_id: str
    draft_id: str
    kind: str
    taken_by: str
    taken_at: datetime
    width_px: int
    height_px: int
    content_hash: str


@dataclass(frozen=True)
class QuoteFacts:
    """One revision of a quote as the books count it; prices, costs and revenue [USD].

    `replace_slug` is the cheapest open replacement by price. `chosen_path` is what the
    customer took, and `cost` and `revenue` (before tax) are of that path.
    """

    sequence: int
    number: str
    revision: int
    issued_on: date
    issued_by: str
    rate_sheet_version: int
    verdict: str
    finding: str | None
    remedy: str | None
    fuel: str | None
    family: str | None
    heater_age_months: int | None
    part_number: str | None
    replace_slug: str | None
    repair_price: Decimal | None
    replace_price: Decimal | None
    repair_cost: Decimal | None
    repair_revenue: Decimal | None
    replace_cost: Decimal | None
    replace_revenue: Decimal | None
    answered_on: date | None
    chosen_path: str | None
    cost: Decimal | None
    revenue: Decimal | None
    valid_until: date

    @property
    def gross_margin(self) -> Decimal | None:
        """Gross margin of the path taken [fraction of its price before tax]."""
        if self.cost is None or not self.revenue:
            return None
        return (self.revenue - self.cost) / self.revenue
