"""The customer's side by side in a terminal, 80 columns wide, readable without color."""

from __future__ import annotations

from dataclasses import fields, is_dataclass, replace
from typing import TYPE_CHECKING, Any, TypeVar

from rich import box
from rich.console import Group, RenderableType
from rich.padding import Padding
from rich.panel import Panel
from rich.table import Table
from rich.text import Text

from app.documents.printable import printable_text

if TYPE_CHECKING:
    from collections.abc import Iterable

    from app.views.customer import CustomerView, Note
    from app.views.customer_prices import PriceTable
    from app.views.customer_sides import Side

Anything = TypeVar("Anything")

ACCENT = "bold cyan"
NONE = "—"
# A draft and a quote that waits for its answer say so elsewhere.
NOT_TOLD = ("draft", "issued")


def render_side_by_side(view: CustomerView) -> RenderableType:
    """Lay the quote out for a terminal.

    Parameters
    ----------
    view
        The customer's view.

    Returns
    -------
    A rich renderable. Nothing typed is read as markup, and control characters in it do
    not reach the terminal.
    """
    view = _clean(view)
    return Group(
        *_head(view),
        *_stops(view),
        _verdict(view),
        _sides(view),
        *([Text(view.monthly_means)] if view.monthly_means else []),
        *_chart(view),
        *_others(view),
        *_prices(view),
        *_facts(view),
        *_list(view.labels["turns"], view.verdict.turns),
        *_list(view.labels["unknown"], view.unknowns),
        *_list(view.labels["rules"], view.verdict.rules_of_thumb),
        *_list(view.labels["cautions"], (_sourced(note) for note in view.cautions)),
        *_list(view.labels["notes"], (_sourced(note) for note in view.notes)),
        *_end(view),
    )


def _clean(value: Anything) -> Anything:
    """Make every text inside a view fit for a terminal."""
    cleaned: Any = value
    if isinstance(value, str):
        cleaned = printable_text(value)
    elif isinstance(value, tuple):
        cleaned = tuple(_clean(item) for item in value)
    elif is_dataclass(value) and not isinstance(value, type):
        changes = {field.name: _clean(getattr(value, field.name)) for field in fields(value)}
        cleaned = replace(value, **changes)
    return cleaned  # type: ignore[no-any-return]


def _title(words: str) -> Text:
    return Text(f"\n{words}", style=ACCENT)


def _bullets(items: Iterable[str]) -> RenderableType:
    table = Table.grid(padding=(0, 1))
    table.add_column(width=1)
    table.add_column(ratio=1, overflow="fold")
    for item in items:
        table.add_row("•", Text(item))
    return table


def _list(title: str, items: Iterable[str]) -> list[RenderableType]:
    kept = tuple(items)
    return [_title(title), _bullets(kept)] if kept else []


def _sourced(note: Note) -> str:
    return f"{note.text} ({note.source})" if note.source else note.text


def _mark(view: CustomerView) -> str:
    head = view.heading
    if head.number is None:
        return view.labels["draft"]
    return f"{view.labels['quote']} {head.number}, {view.labels['revision']} {head.revision}"


def _head(view: CustomerView) -> list[RenderableType]:
    head = view.heading
    lines: list[RenderableType] = [
        *([] if view.state in NOT_TOLD else [Text(view.state_label.upper(), style="bold")]),
        Text(f"{view.shop.name}", style=ACCENT),
        Text(f"{_mark(view)}. {view.labels['visit']}: {head.visit_on}."),
    ]
    if view.shop.invented:
        lines.append(Text(view.labels["invented"], style="bold"))
    if head.customer_name:
        lines.append(Text(f"{view.labels['for']}: {head.customer_name}"))
    lines.append(Text(f"{view.labels['heater']}: {head.heater}"))
    lines.append(Text(f"{view.labels['wrong']}: {view.finding_plain} ({view.finding})"))
    return lines


def _stops(view: CustomerView) -> list[RenderableType]:
    if not view.stops:
        return []
    said = [Text.assemble((stop.why, "bold"), f" {stop.what_to_do}") for stop in view.stops]
    return [
        Panel(
            Group(*said), title=view.labels["do_first"].upper(), box=box.HEAVY, title_align="left"
        )
    ]


def _verdict(view: CustomerView) -> RenderableType:
    verdict = view.verdict
    said: list[RenderableType] = [Text(f"{verdict.headline}.", style="bold")]
    if verdict.compared:
        said.append(Text(verdict.compared))
    said.append(_bullets(verdict.reasons))
    return Panel(Group(*said), title=view.labels["verdict"], title_align="left", box=box.ROUNDED)


def _sides(view: CustomerView) -> RenderableType:
    sides = (view.repair, view.replace)
    table = Table(box=box.SIMPLE_HEAD, expand=True, padding=(0, 1), show_lines=False)
    table.add_column("", width=19)
    for side in sides:
        header = Text.assemble((side.label, ACCENT), f"\n{side.what}")
        table.add_column(header, ratio=1, overflow="fold")

    def row(label: str, cells: Iterable[str | None], style: str = "") -> None:
        table.add_row(Text(label), *(Text(cell or NONE, style=style) for cell in cells))

    price = [side.price_today if side.open else view.labels["not_open"] for side in sides]
    row(view.labels["price_today"], price, "bold")
    if any(side.incentives for side in sides):
        row(
            view.labels["incentives"],
            ("\n".join((side.incentives or "", *side.offers)) for side in sides),
        )
        row(view.labels["your_price"], (side.you_pay for side in sides), "bold")
    row(view.per_month_label, (side.per_month for side in sides), "bold")
    row(view.over_study_label, (side.over_study for side in sides))
    table.add_row("", "", "")
    table.add_row(Text(view.labels["buys"]), *(_buys(side) for side in sides))
    if any(side.checks for side in sides):
        table.add_row("", "", "")
        table.add_row(Text(view.labels["checks"]), *(_bullets(side.checks) for side in sides))
    return table


def _buys(side: Side) -> RenderableType:
    return _bullets(side.buys) if side.open else Text(side.closed_reason or NONE)


def _chart(view: CustomerView) -> list[RenderableType]:
    """Say the chart in words and a few of its numbers; a drawing needs no terminal."""
    chart = view.chart
    if chart is None:
        return []
    table = Table(box=box.SIMPLE_HEAD, padding=(0, 1))
    table.add_column(chart.years_label, justify="right")
    for line in chart.lines:
        table.add_column(line.label, justify="right")
    last = len(chart.lines[0].amounts) - 1
    for year in sorted({0, *range(0, last + 1, max(1, -(-last // 6))), last}):
        table.add_row(str(year), *(line.amounts[year] for line in chart.lines))
    return [_title(view.labels["chart"]), Text(chart.description), table]


def _others(view: CustomerView) -> list[RenderableType]:
    if not view.others:
        return []
    table = Table(box=box.SIMPLE_HEAD, expand=True, padding=(0, 1))
    table.add_column(view.labels["heater_new"], ratio=3, overflow="fold")
    table.add_column(view.labels["your_price"], justify="right")
    table.add_column(view.labels["per_month"], justify="right")
    table.add_column(view.labels["to_know"], ratio=3, overflow="fold")
    for other in view.others:
        closed = f"{view.labels['not_open']}: {other.closed_reason}"
        table.add_row(
            Text(other.name),
            other.you_pay or NONE,
            other.per_month or NONE,
            Text(" ".join(other.checks) if other.open else closed),
        )
    return [_title(view.labels["others" if view.replace.open else "heaters"]), table]


def _prices(view: CustomerView) -> list[RenderableType]:
    drawn: list[RenderableType] = []
    for side in (view.repair, view.replace):
        if side.prices is not None:
            drawn += [
                _title(f"{view.labels['prices']}: {side.label}"),
                _price_table(side.prices, view),
            ]
    return drawn


def _price_table(prices: PriceTable, view: CustomerView) -> RenderableType:
    table = Table(box=box.SIMPLE_HEAD, expand=True, padding=(0, 1))
    table.add_column(view.labels["item"], ratio=1, overflow="fold")
    table.add_column(view.labels["quantity"], justify="right")
    table.add_column(view.labels["amount"], justify="right")
    for row in prices.rows:
        note = f"\n{row.note}" if row.note else ""
        table.add_row(Text(f"{row.description}{note}"), Text(row.quantity), row.amount)
    for label, amount in prices.sums:
        table.add_row(Text(label), "", amount)
    table.add_row(Text(view.labels["total"], style="bold"), "", Text(prices.total, style="bold"))
    return table


def _facts(view: CustomerView) -> list[RenderableType]:
    table = Table.grid(padding=(0, 2), expand=True)
    table.add_column(no_wrap=True)
    table.add_column(no_wrap=True)
    table.add_column(ratio=1, overflow="fold")
    for fact in view.facts:
        note = f"{fact.note} ({view.labels['assumed']})" if fact.assumed else fact.note
        table.add_row(Text(fact.label), Text(fact.value), Text(note))
    return [_title(view.labels["rests_on"]), table]


def _end(view: CustomerView) -> list[RenderableType]:
    say = view.labels
    lines: list[RenderableType] = [_title(say["terms"]), Text(view.heading.valid_text)]
    if view.terms:
        lines.append(Text(view.terms))
    if view.acceptance is not None:
        signed = view.acceptance
        lines += [
            _title(signed.title),
            Text(f"{signed.choice}. {say['accepted_at']}: {signed.name or NONE}, {signed.at}"),
            Padding(Text(signed.agreed_text), (0, 2)),
            Text(f"{say['record']}: {signed.agreed_hash}"),
        ]
    elif view.choices:
        lines += [_title(say["sign"]), Text(say["agree"])]
        lines.append(Padding(Group(*(Text(f"[ ] {choice}") for choice in view.choices)), (0, 2)))
    elif view.heading.number is None:
        lines.append(Text(say["not_issued"]))
    if view.customer_link is not None:
        lines += [_title(say["open_link"]), Text(view.customer_link)]
    return lines
