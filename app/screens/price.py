"""Step four: the price, both paths, the verdict."""

from __future__ import annotations

from typing import TYPE_CHECKING

from app.screens import blocks, grounds, marks, prices

if TYPE_CHECKING:
    from app.views.price import PriceView


def show(view: PriceView) -> None:
    """Lay out the price of the job and what speaks for each path."""
    blocks.title("Price")
    if view.finding_doubt:
        blocks.write(
            marks.note(view.finding_doubt, "check", "The readings contradict the finding.")
        )
    with blocks.card("card-verdict"):
        blocks.heading(view.headline, view.study)
        more = marks.more("What would change this", marks.items(view.turns))
        thumb = marks.more("Rules of thumb, beside it", marks.items(view.rules_of_thumb))
        blocks.write(marks.items(view.reasons) + more + thumb)
    if view.repair_prices:
        with blocks.card("card-repair-price"):
            blocks.heading("The repair, line by line", view.repair_prices.name)
            blocks.write(prices.table(view.repair_prices))
    with blocks.card("card-paths"):
        blocks.heading("Both paths", f"{view.study}, in today's dollars, tax in")
        blocks.write("".join(prices.path(row) for row in view.rows[:2]))
        others = "".join(prices.path(row) for row in view.rows[2:])
        blocks.write(marks.more(f"{len(view.rows[2:])} other new heaters", others))
    if view.marks:
        with blocks.card("card-marks"):
            blocks.heading("Where it turns")
            blocks.write(prices.pairs(view.marks))
    if view.sure:
        with blocks.card("card-sure"):
            blocks.heading("How sure", "Eight of ten futures lie within a range.")
            blocks.write(
                prices.pairs(view.sure)
                + marks.more("What moves it most: repairing then saves", prices.pairs(view.swings))
            )
    with blocks.card("card-cautions"):
        blocks.heading("Cautions")
        blocks.write(
            grounds.notes(view.cautions)
            + marks.more("What was assumed", grounds.notes(view.assumed))
        )
