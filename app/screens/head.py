"""The head of a quote: who issues it, for whom, and what is wrong."""

from __future__ import annotations

from html import escape
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from app.views.customer import CustomerView


def quote(view: CustomerView) -> str:
    """Return the shop, the quote's number and days, the heater, and what is wrong."""
    to, labels = view.heading, view.labels
    number = f"{labels['quote']} {to.number}" if to.number else labels["draft"]
    shop = " · ".join((view.shop.name, *view.shop.contact))
    people = " · ".join(text for text in (to.customer_name, to.customer_address) if text)
    lines = "".join(f'<p class="under">{escape(text)}</p>' for text in (shop, people) if text)
    return (
        f'<p class="eyebrow">{escape(number)} · {escape(to.issued_on or to.visit_on)}</p>'
        f'<h1 class="title">{escape(view.finding)}</h1><p class="lead">{escape(view.finding_plain)}'
        f"</p><p>{escape(to.heater)}</p>{lines}"
    )
