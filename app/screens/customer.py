"""The customer's side by side: made from the customer's view alone."""

from __future__ import annotations

from typing import TYPE_CHECKING

from app.screens import blocks, chart, grounds, head, marks, sides
from app.views.customer_state import OUT_OF_FORCE

if TYPE_CHECKING:
    from app.views.customer import CustomerView


def show(view: CustomerView) -> None:
    """Lay out what the customer reads, both paths next to each other."""
    blocks.write(head.quote(view))
    if view.state in OUT_OF_FORCE:
        blocks.write(marks.note(view.heading.valid_text, "check", f"{view.state_label}."))
    for stop in view.stops:
        blocks.write(marks.note(stop.what_to_do, "stop", stop.why))
    with blocks.card("card-sides"):
        blocks.heading(view.verdict.headline, view.verdict.compared)
        opened = grounds.opened(view, "repair", "replace")
        blocks.write(sides.table(view) + grounds.prices_of(view) + opened)
    if view.chart:
        with blocks.card("card-chart"):
            blocks.heading(view.chart.title)
            chart.show(view.chart)
            blocks.small(view.chart.description)
    with blocks.card("card-why"):
        blocks.heading(view.labels["reasons"])
        blocks.write(
            marks.items(view.verdict.reasons)
            + marks.more(view.labels["turns"], marks.items(view.verdict.turns))
            + marks.more(view.labels["rules"], marks.items(view.verdict.rules_of_thumb))
            + grounds.opened(view, "verdict")
            + marks.more(
                view.labels["others"], grounds.others(view) + grounds.opened(view, "others")
            )
        )
    with blocks.card("card-rests"):
        blocks.heading(view.labels["rests_on"])
        blocks.write(
            grounds.facts(view)
            + marks.more(view.labels["unknown"], marks.items(view.unknowns))
            + marks.more(view.labels["notes"], grounds.notes(view.notes))
        )
    with blocks.card("card-safe"):
        blocks.heading(view.labels["cautions"])
        blocks.write(grounds.notes(view.cautions))
    blocks.small(f"{view.heading.valid_text} {view.terms}")
    if view.shop.invented:
        blocks.small(view.labels["invented"])
