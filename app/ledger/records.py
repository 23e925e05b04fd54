"""What goes into the ledger and what comes out of it; no database in sight."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date, datetime
from decimal import Decimal
from typing import Any

from pydantic import BaseModel

from app.ledger.entries import Wish

Content = BaseModel | Mapping[str, Any]
"""What is kept as JSON: a pydantic model, or a mapping with text keys."""


@dataclass(frozen=True)
class Draft:
    """A visit under way: whose, at which step, and every field typed so far.

    `payload` comes back as plain JSON: decimals and dates as text, tuples as lists.
    """

    draft_id: str
    person: str
    step: str
    payload: dict[str, Any]
    made_at: datetime
    saved_at: datetime


@dataclass(frozen=True)
class QuoteToIssue:
    """A quote ready to be issued.

    `inputs`, `supply` and `results` must be all that a replay needs and gives. `title`,
    `customer_name`, `verdict` and the two prices [USD, whole cents, tax in] are for lists.
    `revises` is the number of the quote that this one takes the place of. The draft
    `draft_id` is discarded in the same transaction. `needs_allowance` is the digest of a job
    under the margin floor; an allowance for it is then used up in the same transaction.
    `wishes` is the stock that the repair takes; `reserve` says whether it is set aside, and
    ``None`` that a revision does as the revision before it did.
    """

    issued_at: datetime
    issued_by: str
    valid_until: date
    customer_name: str
    title: str
    rate_sheet_version: int
    catalog_version: str
    verdict: str
    inputs: Content
    supply: Content
    results: Content
    repair_price: Decimal | None = None
    replace_price: Decimal | None = None
    revises: str | None = None
    draft_id: str | None = None
    program_version: str = ""
    needs_allowance: str | None = None
    wishes: tuple[Wish, ...] = ()
    reserve: bool | None = None


@dataclass(frozen=True)
class IssuedQuote:
    """An issued quote as the ledger holds it; it never changes.

    `sequence` is its place among all revisions of all quotes. `inputs_json`, `supply_json`
    and `results_json` are canonical JSON. `hash` covers every other field and, through
    `previous_hash` and `rate_sheet_hash`, what was issued before and the sheet it rests
    on. What may name a person (`customer_name`, `title`, `inputs_json`) enters the hash
    by `personal_digest` alone, salted, so that it can be erased and the chain still holds;
    `erased_at` says when it was. `program_version` made the quote.
    """

    sequence: int
    number: str
    revision: int
    issued_at: datetime
    issued_by: str
    valid_until: date
    customer_name: str
    title: str
    rate_sheet_version: int
    rate_sheet_hash: str
    catalog_version: str
    verdict: str
    repair_price: Decimal | None
    replace_price: Decimal | None
    inputs_json: str
    supply_json: str
    results_json: str
    draft_id: str | None
    personal_salt: str
    personal_digest: str
    previous_hash: str
    hash: str
    program_version: str = ""
    erased_at: datetime | None = None


@dataclass(frozen=True)
class QuoteSummary:
    """A quote in a list: prices [USD], and no JSON.

    `sequence` is where the next page starts (`before`).
    """

    sequence: int
    number: str
    revision: int
    issued_at: datetime
    issued_by: str
    valid_until: date
    customer_name: str
    title: str
    rate_sheet_version: int
    verdict: str
    repair_price: Decimal | None
    replace_price: Decimal | None


@dataclass(frozen=True)
class QuoteJob:
    """What one revision of a quote keeps of its jobs: inputs and supply, canonical JSON."""

    sequence: int
    number: str
    revision: int
    inputs_json: str
    supply_json: str


@dataclass(frozen=True)
class PartTaken:
    """A part in the quotes of some time: pieces quoted, and of them pieces in accepted repairs."""

    part: str
    quoted: Decimal
    used: Decimal


@dataclass(frozen=True)
class Problem:
    """Something that the ledger's own check found.

    `number` and `revision` name the quote; both are ``None`` where the problem is not of
    one quote. `path` is the key in the results where the first difference is.
    """

    message: str
    number: str | None = None
    revision: int | None = None
    path: str | None = None

    def __str__(self) -> str:
        if self.number is None:
            return self.message
        return f"Quote {self.number} revision {self.revision}: {self.message}"


@dataclass(frozen=True)
class JournalLine:
    """One line of the journal: who did what to what, and when.

    `seals` are those of the rows that the action wrote, by table and key; ``None`` for a row
    that it took away.
    """

    sequence: int
    done_at: datetime
    person: str
    action: str
    subject: str
    detail: dict[str, Any]
    seals: dict[str, str | None]
    hash: str


@dataclass(frozen=True)
class JournalHead:
    """The last line's place and hash. Kept elsewhere, it anchors all lines up to it."""

    sequence: int
    hash: str

    def __str__(self) -> str:
        return f"{self.sequence}:{self.hash}"


@dataclass(frozen=True)
class VerifyReport:
    """How much was checked, and what was found.

    `other_versions` counts the quotes made by other versions of the program, by version;
    the empty one made quotes before versions were kept. `replayed` says whether every quote
    was worked again.
    """

    quotes_checked: int
    rate_sheets_checked: int
    problems: tuple[Problem, ...]
    journal_checked: int = 0
    other_versions: dict[str, int] = field(default_factory=dict)
    replayed: bool = True

    @property
    def sound(self) -> bool:
        """Whether nothing was found."""
        return not self.problems
