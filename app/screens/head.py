"""The head of a quote: who issues it, for whom, and what is wrong."""

from __future__ import annotations

from html import escape
from typing import TYPE_CHECKING

from app.screens import marks
from app.views.customer_state import SUPERSEDED

if TYPE_CHECKING:
    from app.views.customer import CustomerView

TONES = {"accepted": "good", "lapsed": "check", "superseded": "check"}


def quote(view: CustomerView) -> str:
    """Return the shop, the quote's number and days, the heater, and what is wrong."""
    to, labels = view.heading, view.labels
    number = f"{labels['quote']} {to.number}" if to.number else labels["draft"]
    if to.revision is not None and (to.revision > 1 or view.state == SUPERSEDED):
        number += f", {labels['revision']} {to.revision}"
    state = marks.tag(view.state_label, TONES.get(view.state, "plain")) if to.number else ""
    shop = " · ".join((view.shop.name, *view.shop.contact))
    people = " · ".join(text for text in (to.customer_name, to.customer_address) if text)
    lines = "".join(f'<p class="under">{escape(text)}</p>' for text in (shop, people) if text)
    return (
        f'<p class="eyebrow">{escape(number)} · {escape(to.issued_on or to.visit_on)}</p>{state}'
        f'<h1 class="title">{escape(view.finding)}</h1><p class="lead">{escape(view.finding_plain)}'
        f"</p><p>{escape(to.heater)}</p>{lines}"
    )
