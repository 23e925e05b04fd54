"""Step four: the price, both paths, the verdict."""

from __future__ import annotations

from html import escape
from typing import TYPE_CHECKING

from app import formatting
from app.screens import blocks, doubt, grounds, marks, plots, prices

if TYPE_CHECKING:
    from app.views.challenger_plots import Tornado
    from app.views.challengers import ChallengerRow, ChallengersView
    from app.views.doubt import DoubtView
    from app.views.price import PriceView


def show(view: PriceView, others: ChallengersView, if_wrong: DoubtView | None = None) -> None:
    """Lay out the price of the job and what speaks for each path.

    Parameters
    ----------
    view
        Price, paths and verdict.
    others
        Every replacement, for the two plots and what each wins on.
    if_wrong
        What it comes to if the finding is wrong, where the readings leave that open.
    """
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
        rest = "".join(prices.path(row) for row in view.rows[2:])
        blocks.write(marks.more(f"{len(view.rows[2:])} other new heaters", rest))
    if view.marks:
        with blocks.card("card-marks"):
            blocks.heading("Where it turns")
            blocks.write(prices.pairs(view.marks))
    if view.sure:
        with blocks.card("card-sure"):
            blocks.heading("How sure", "Eight of ten futures lie within a range.")
            blocks.write(prices.pairs(view.sure))
    doubt.show(if_wrong)
    if others.tornado:
        with blocks.card("card-tornado"):
            blocks.heading(others.tornado.title, others.tornado.description)
            plots.tornado(others.tornado)
            blocks.write(marks.more("In figures", _bars(others.tornado)))
    if others.frontier.points:
        with blocks.card("card-frontier"):
            blocks.heading(others.frontier.title, others.frontier.description)
            plots.frontier(others.frontier)
            blocks.write(marks.more("What each wins on", _wins(others)))
    with blocks.card("card-cautions"):
        blocks.heading("Cautions")
        blocks.write(
            grounds.notes(view.cautions)
            + marks.more("What was assumed", grounds.notes(view.assumed))
        )


def _bars(tornado: Tornado) -> str:
    return marks.items(f"{bar.name[:1].upper()}{bar.name[1:]}. {bar.said}" for bar in tornado.bars)


def _wins(others: ChallengersView) -> str:
    going = "".join(_won(row) for row in others.rows if row.rank is not None)
    return going + marks.items((others.hour, *others.keeping))


def _won(row: ChallengerRow) -> str:
    wins = f"Best on {formatting.listed(row.wins_on)}" if row.wins_on else "Best on nothing"
    tone = "good" if row.wins_on else "plain"
    water = marks.tag("short of hot water", "check") if row.short_of_hot_water else ""
    facts = (row.per_month, row.energy, row.co2, row.hot_water)
    said = escape(" · ".join(facts))
    with_it = [f"With it: {formatting.listed(row.asked)}"] if row.asked else []
    more = marks.items((*with_it, *row.incentives))
    head = f"<h3>{row.rank}. {escape(row.name)}</h3>"
    return f'<div class="path">{head}<p>{marks.tag(wins, tone)}{water}</p><p>{said}</p>{more}</div>'
