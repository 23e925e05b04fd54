"""Price tables and comparisons as markup."""

from __future__ import annotations

from html import escape
from typing import TYPE_CHECKING

from app.screens import marks

if TYPE_CHECKING:
    from app.views.customer_prices import PriceTable
    from app.views.price import PathRow


def table(prices: PriceTable, total_label: str = "Total") -> str:
    """Return a price line by line, with tax and total."""
    rows = "".join(
        f"<tr><td>{escape(row.description)}{_small(row.quantity, row.unit_price, row.note)}</td>"
        f'<td class="sum">{escape(row.amount)}</td></tr>'
        for row in prices.rows
    )
    sums = "".join(
        f'<tr class="minor"><td>{escape(label)}</td><td class="sum">{escape(amount)}</td></tr>'
        for label, amount in prices.sums
    )
    total = (
        f'<tr class="total"><th scope="row">{escape(total_label)}</th>'
        f'<td class="sum">{prices.total}</td></tr>'
    )
    return f'<table class="prices">{rows}{sums}{total}</table>'


def _small(quantity: str, unit_price: str, note: str) -> str:
    counted = f"{quantity} × {unit_price}" if quantity not in ("", "1") else ""  # noqa: RUF001
    said = " · ".join(text for text in (counted, note) if text)
    return f"<small>{escape(said)}</small>" if said else ""


def path(row: PathRow) -> str:
    """Return one path as a block of figures."""
    if not row.open:
        closed = marks.tag("Closed", "stop")
        reason = f"<p>{escape(row.closed_reason)}</p>"
        return f'<div class="path closed"><h3>{escape(row.name)} {closed}</h3>{reason}</div>'
    figures = (("Today", row.today), ("Per month", row.per_month), ("In all", row.over_study))
    cells = "".join(f"<div><dt>{name}</dt><dd>{escape(sum_)}</dd></div>" for name, sum_ in figures)
    energy = f'<p class="under">Energy {escape(row.energy)}</p>' if row.energy else ""
    checks = marks.items(row.checks, "checks")
    lines = marks.more("Price, line by line", table(row.prices)) if row.prices else ""
    more = marks.more("Measures against repairing", pairs(row.measures))
    head = f'<div class="path"><h3>{escape(row.name)}</h3><dl>{cells}</dl>'
    return f"{head}{energy}{checks}{lines}{more}</div>"


def pairs(rows: tuple[tuple[str, str], ...]) -> str:
    """Return names and figures in two columns."""
    said = "".join(
        f'<tr><th scope="row">{escape(name)}</th><td class="sum">{escape(value)}</td></tr>'
        for name, value in rows
    )
    return f'<table class="prices pairs">{said}</table>' if rows else ""


def compared(heads: tuple[str, str], rows: tuple[tuple[str, str, str], ...]) -> str:
    """Return names with what was and what would be in two columns; a change stands out."""
    top = "".join(f'<th scope="col" class="sum">{escape(head)}</th>' for head in heads)
    said = "".join(
        f'<tr><th scope="row">{escape(name)}</th><td class="sum">{escape(old)}</td>'
        f'<td class="sum">{escape(new) if old == new else f"<b>{escape(new)}</b>"}</td></tr>'
        for name, old, new in rows
    )
    return f'<table class="prices compared"><tr><td></td>{top}</tr>{said}</table>'
