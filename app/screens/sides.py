"""The side-by-side table of the customer's view as markup."""

from __future__ import annotations

from html import escape
from typing import TYPE_CHECKING

from app.screens import marks

if TYPE_CHECKING:
    from collections.abc import Callable

    from app.views.customer import CustomerView
    from app.views.customer_sides import Side


def table(view: CustomerView) -> str:
    """Return both paths in two columns, the same question in the same row."""
    pair, labels = (view.repair, view.replace), view.labels
    heads = "".join(f'<th scope="col">{escape(side.label)}</th>' for side in pair)
    rows = (
        _row(pair, lambda side: f"<b>{escape(side.what)}</b>{_closed(side, labels)}"),
        _row(pair, lambda side: _figure(labels["price_today"], side.price_today, "figure")),
        _row(pair, lambda side: _paid_by_others(side, labels["incentives"])),
        _row(pair, lambda side: _figure(labels["your_price"], _after(side), "figure")),
        _row(pair, lambda side: _figure(labels["per_month"], side.per_month, "figure minor")),
        _row(pair, lambda side: _figure(view.over_study_label, side.over_study, "figure minor")),
        _row(pair, lambda side: marks.items(side.buys) + marks.items(side.checks, "checks")),
    )
    means = f'<p class="under">{escape(view.monthly_means)}</p>'
    return f'<table class="sides"><thead><tr>{heads}</tr></thead>{"".join(rows)}</table>{means}'


def _row(pair: tuple[Side, Side], cell: Callable[[Side], str]) -> str:
    cells = [cell(side) for side in pair]
    return f"<tr><td>{cells[0]}</td><td>{cells[1]}</td></tr>" if any(cells) else ""


def _closed(side: Side, labels: dict[str, str]) -> str:
    reason = f"<p>{escape(side.closed_reason or '')}</p>"
    return "" if side.open else f"<br>{marks.tag(labels['not_open'], 'stop')}{reason}"


def _paid_by_others(side: Side, label: str) -> str:
    said = "".join(f'<p class="under">{escape(offer)}</p>' for offer in side.offers)
    return f"{_figure(label, side.incentives, 'figure minor')}{said}"


def _after(side: Side) -> str | None:
    return side.you_pay if side.incentives else None


def _figure(label: str, value: str | None, kind: str) -> str:
    said = f'<small>{escape(label)}</small><span class="{kind}">{escape(value or "")}</span>'
    return said if value else ""
