"""The side-by-side table of the customer's view as markup."""

from __future__ import annotations

from html import escape
from typing import TYPE_CHECKING

from app.screens import blocks
from app.views.customer_words import LABELS

if TYPE_CHECKING:
    from collections.abc import Callable

    from app.views.customer import CustomerView, Side


def head(view: CustomerView) -> str:
    """Return the shop, the quote's number and days, the heater, and what is wrong."""
    to = view.heading
    number = f"{LABELS['quote']} {to.number}" if to.number else LABELS["draft"]
    shop = " · ".join((view.shop.name, *view.shop.contact))
    people = " · ".join(text for text in (to.customer_name, to.customer_address) if text)
    lines = "".join(f'<p class="under">{escape(text)}</p>' for text in (shop, people) if text)
    return (
        f'<p class="eyebrow">{escape(number)} · {escape(to.issued_on or to.visit_on)}</p>'
        f'<h1 class="title">{escape(view.finding)}</h1><p class="lead">{escape(view.finding_plain)}'
        f"</p><p>{escape(to.heater)}</p>{lines}"
    )


def table(view: CustomerView) -> str:
    """Return both paths in two columns, the same question in the same row."""
    pair = (view.repair, view.replace)
    heads = "".join(f'<th scope="col">{escape(side.label)}</th>' for side in pair)
    rows = (
        _row(pair, lambda side: f"<b>{escape(side.what)}</b>{_closed(side)}"),
        _row(pair, lambda side: _figure("Today, tax in", side.you_pay, "figure", _off(side))),
        _row(pair, lambda side: _figure("Per month", side.per_month, "figure minor")),
        _row(pair, lambda side: _figure("In all", side.over_study, "figure minor")),
        _row(pair, lambda side: blocks.items(side.buys) + blocks.items(side.checks, "checks")),
    )
    means = f'<p class="under">{escape(view.monthly_means)}</p>'
    return f'<table class="sides"><thead><tr>{heads}</tr></thead>{"".join(rows)}</table>{means}'


def _row(pair: tuple[Side, Side], cell: Callable[[Side], str]) -> str:
    cells = [cell(side) for side in pair]
    return f"<tr><td>{cells[0]}</td><td>{cells[1]}</td></tr>" if any(cells) else ""


def _closed(side: Side) -> str:
    reason = f"<p>{escape(side.closed_reason or '')}</p>"
    return "" if side.open else f"<br>{blocks.tag('Closed', 'stop')}{reason}"


def _off(side: Side) -> str:
    return f"{LABELS['incentives']}: {side.incentives}" if side.incentives else ""


def _figure(label: str, value: str | None, kind: str, under: str = "") -> str:
    small = f"<small>{escape(under)}</small>" if under else ""
    said = f"<small>{label}</small><span class='{kind}'>{escape(value or '')}</span>{small}"
    return said if value else ""
