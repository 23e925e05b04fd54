"""The card that says what repairing comes to if the finding is wrong."""

from __future__ import annotations

from html import escape
from typing import TYPE_CHECKING

from app.screens import blocks, marks, prices

if TYPE_CHECKING:
    from app.views.doubt import DoubtView, TrialShown


def show(view: DoubtView | None) -> None:
    """Lay out what may be tried and what doubt costs; nothing where the finding is settled."""
    if view is None:
        return
    with blocks.card("card-doubt"):
        blocks.heading(view.title, view.sentence)
        rows = "".join(_trial(trial) for trial in view.trials)
        blocks.write(f'<ul class="ranked">{rows}</ul>')
        blocks.write(f"<p>{escape(view.verdict)}</p>{prices.pairs(view.figures)}")
        blocks.write(marks.more("What is counted", marks.items(view.assumed)))


def _trial(trial: TrialShown) -> str:
    price = trial.price if trial.tried else f"{trial.price}, not worth trying"
    said = f"{escape(trial.name)} <small>{escape(price)}</small>"
    bar = f'<i class="bar" style="width:{max(1, round(100 * trial.share))}%"></i>'
    mends = f'<p class="under">{escape(trial.mends)}</p>'
    return f"<li><span>{said}</span><b>{trial.chance}</b>{bar}{mends}</li>"
