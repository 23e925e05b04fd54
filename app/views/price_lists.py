"""The owner's price lists: what a list would change, and the catalogs that can be brought back.

Costs and margins stand here: it is for the owner alone.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Final

from app import formatting
from app.views.fields import Choice
from app.views.price_effects import UsedView, build_used_view, effect_lines, effect_sentence
from catalog.price_files import FIELDS, NEEDED

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence
    from decimal import Decimal

    from app.price_lists import KeptCatalog, ListColumns, MarginEffect, PriceListPreview
    from app.views.fields import Tone

FIELD_NAMES: Final = {
    "number": "Part number",
    "cost": "What you pay",
    "list_price": "List price",
    "order_days": "Days to order",
    "supplier_number": "The supplier's own number",
}
ACTIONS: Final = {
    "publish price list": "a price list",
    "build catalog": "built from its sources",
    "bring back catalog": "brought back",
}


@dataclass(frozen=True)
class ColumnField:
    """One thing that a price list holds, and the column to take it from."""

    field: str
    label: str
    needed: bool
    choices: tuple[Choice, ...]
    value: str | None


@dataclass(frozen=True)
class ChangeRow:
    """A part whose cost changes: cost, the customer's price and the margin, before and after."""

    part: str
    cost: str
    price: str
    margin: str
    tone: Tone


@dataclass(frozen=True)
class Count:
    """How many rows of a kind, and their tone."""

    said: str
    tone: Tone


@dataclass(frozen=True)
class PriceListView:
    """What a price list would change; nothing has changed yet.

    `used` is what it does to the parts that the shop uses, `effect` and `figures` what all
    changed rows do. `ask_partial` is whether the owner must say if the list is a part of the
    range; `leaves` says how many parts it does not name. `heads` name the four lists of rows and
    say how many there are, where only the first are shown.
    """

    title: str
    mapping: str
    counts: tuple[Count, ...]
    used: UsedView
    effect: str
    figures: tuple[tuple[str, str], ...]
    changes: tuple[ChangeRow, ...]
    new: tuple[str, ...]
    vanished: tuple[str, ...]
    rejected: tuple[str, ...]
    heads: tuple[str, str, str, str]
    ask_partial: bool
    leaves: str
    usable: bool


@dataclass(frozen=True)
class KeptRow:
    """A catalog that is kept: when, by what and whom it was published."""

    version: str
    title: str
    under: str
    in_use: bool


def build_column_fields(found: ListColumns) -> tuple[ColumnField, ...]:
    """Ask which column holds what.

    Parameters
    ----------
    found
        The columns, and what is known of them.
    """
    choices = tuple(Choice(column, column) for column in found.columns)
    return tuple(
        ColumnField(field, FIELD_NAMES[field], field in NEEDED, choices, found.mapping.get(field))
        for field in FIELDS
    )


def build_price_list_view(seen: PriceListPreview, name: str) -> PriceListView:
    """Build the preview.

    Parameters
    ----------
    seen
        What the list would change.
    name
        The file's name.
    """
    preview = seen.preview
    counts = preview.counts
    gone = counts.get("vanished", 0)
    return PriceListView(
        title=f"{name}, {preview.supplier}, from {formatting.long_date(preview.holds_from)}",
        mapping=_mapping(preview.mapping),
        counts=_counts(counts),
        used=build_used_view(seen.used, preview.supplier),
        effect=effect_sentence(preview.effect) if preview.effect else "",
        figures=effect_lines(preview.effect) if preview.effect else (),
        changes=tuple(_change(each) for each in seen.effects),
        new=tuple(f"{each.part}, cost {formatting.money(each.cost)}" for each in preview.new),
        vanished=preview.vanished,
        rejected=tuple(f"Row {row}: {reason}" for row, reason in preview.rejected),
        heads=(
            _head("Changed", len(seen.effects), counts.get("changed", 0)),
            _head("New", len(preview.new), counts.get("new", 0)),
            _head("Not in the list", len(preview.vanished), gone),
            _head("Rejected", len(preview.rejected), counts.get("rejected", 0)),
        ),
        ask_partial=gone > 0,
        leaves=(
            f"{gone:,} {'part' if gone == 1 else 'parts'} that {preview.supplier} sells today"
            f" {'is' if gone == 1 else 'are'} not in the list."
        ),
        usable=counts.get("new", 0) + counts.get("changed", 0) + counts.get("same", 0) > 0,
    )


def build_kept_rows(kept: Sequence[KeptCatalog]) -> tuple[KeptRow, ...]:
    """Build the list of catalogs that can be brought back."""
    rows = []
    for each in kept:
        by = f" by {each.person}" if each.person else ""
        what = ACTIONS.get(each.action, "published")
        when = each.published_at.astimezone()
        title = f"{formatting.long_date(when.date())}, {when:%H:%M}"
        rows.append(KeptRow(each.version, title, f"{what}{by} · {each.version}", each.in_use))
    return tuple(rows)


def _head(name: str, shown: int, found: int) -> str:
    if shown < found:
        return f"{name} (the first {shown:,} of {found:,})"
    return f"{name} ({shown:,})"


def _mapping(mapping: Mapping[str, str]) -> str:
    return ", ".join(f"{FIELD_NAMES[field]}: {column}" for field, column in mapping.items())


def _counts(counts: Mapping[str, int]) -> tuple[Count, ...]:
    tones: dict[str, Tone] = {"rejected": "stop", "vanished": "check", "changed": "check"}
    words = {"same": "as before", "vanished": "not in the list"}
    return tuple(
        Count(f"{counts.get(kind, 0):,} {words.get(kind, kind)}",
              tones.get(kind, "plain") if counts.get(kind, 0) else "plain")
        for kind in ("changed", "new", "same", "vanished", "rejected")
    )  # fmt: skip


def _change(effect: MarginEffect) -> ChangeRow:
    margin = f"{_percent(effect.margin_before)} → {_percent(effect.margin)}"
    tone: Tone = "check" if effect.margin < effect.margin_before else "plain"
    return ChangeRow(
        effect.part,
        f"{formatting.money(effect.cost_before)} → {formatting.money(effect.cost)}",
        f"{formatting.money(effect.price_before)} → {formatting.money(effect.price)}",
        margin,
        tone,
    )


def _percent(share: Decimal) -> str:
    return formatting.percent(float(share))
