"""What is in a price, for the customer: item by item, or as one sum."""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import TYPE_CHECKING

from app import formatting
from app.views import customer_words as words
from estimator.rates import LineKind

if TYPE_CHECKING:
    from app.language.speech import Speech
    from estimator.priced_job import PricedJob, PriceLine


@dataclass(frozen=True)
class PriceRow:
    """One line of a price as text; a `minor` note may be left out where room is short."""

    description: str
    quantity: str
    unit_price: str
    amount: str
    note: str
    minor: bool = False


@dataclass(frozen=True)
class PriceTable:
    """What is in a price; `sums` are label and amount under the rows, the total apart."""

    name: str
    rows: tuple[PriceRow, ...]
    sums: tuple[tuple[str, str], ...]
    total: str


# A note that says no more than its line does.
SAID_BY_THE_LINE = frozenset({LineKind.PERMIT, LineKind.DISPOSAL})
_NUMBERED = re.compile(r"(?P<what>.+) (?P<number>\(\S+\))")


def build_price_table(
    job: PricedJob, what: str, lump: bool, speech: Speech | None = None
) -> PriceTable:
    """Build what is in a price, item by item or as one sum.

    Parameters
    ----------
    job
        The priced job.
    what
        What is done, for the customer, in the language asked for.
    lump
        Show one sum in place of the items.
    speech
        The customer's language; without it the lines stand as they are priced, with the
        whole description of each part, for the shop's own eyes.

    Returns
    -------
    The table.
    """
    formats = speech.formats if speech else formatting.US_ENGLISH
    total = formats.money(job.total)
    if lump:
        said = speech.say(words.LUMP, what=what) if speech else words.LUMP.format(what=what)
        return PriceTable(what, (PriceRow(said, "", "", total, ""),), (), total)

    def label(key: str) -> str:
        return speech.say(words.LABELS[key]) if speech else words.LABELS[key]

    sums = [(label("subtotal"), formats.money(job.subtotal))]
    if job.discount:
        reason = speech.retell(job.discount_reason) if speech else job.discount_reason
        shown = f"{label('discount')} ({reason})" if reason else label("discount")
        sums.append((shown, formats.money(-job.discount)))
    sums.append((label("tax"), formats.money(job.tax)))
    if job.rounding:
        sums.append((label("rounding"), formats.money(job.rounding)))
    rows = tuple(_told(line, speech) if speech else _as_priced(line) for line in job.lines)
    return PriceTable(what, rows, tuple(sums), total)


def _as_priced(line: PriceLine) -> PriceRow:
    return PriceRow(
        description=line.description,
        quantity=formatting.quantity(line.quantity, line.unit),
        unit_price=formatting.money(line.unit_price),
        amount=formatting.money(line.amount),
        note=line.note,
    )


def _told(line: PriceLine, speech: Speech) -> PriceRow:
    formats = speech.formats
    note = "" if line.kind in SAID_BY_THE_LINE else speech.retell(line.note)
    part = line.kind is LineKind.PART
    return PriceRow(
        description=_part(line, speech) if part else _capital(speech.retell(line.description)),
        quantity=formats.quantity(line.quantity, line.unit),
        unit_price=formats.money(line.unit_price),
        amount=formats.money(line.amount),
        note=note,
        minor=line.kind is LineKind.MATERIAL,
    )


def part_name(description: str) -> str:
    """Return what a part is, without the measures that a technician fits it by.

    Parameters
    ----------
    description
        The catalog's description: what it is, then its measures after commas.

    Returns
    -------
    Its first words.
    """
    return description.split(", ", maxsplit=1)[0]


def _part(line: PriceLine, speech: Speech) -> str:
    """Name a part by what it is and its number."""
    numbered = _NUMBERED.fullmatch(line.description)
    told = speech.retell(part_name(numbered["what"] if numbered else line.description))
    told = _capital(told)
    return f"{told} {numbered['number']}" if numbered else told


def _capital(text: str) -> str:
    return text[:1].upper() + text[1:]
