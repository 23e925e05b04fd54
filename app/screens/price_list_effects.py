"""What a price list does to costs and margins, laid out: what the shop uses, then all of it."""

from __future__ import annotations

from html import escape
from typing import TYPE_CHECKING

from app.screens import blocks, marks

if TYPE_CHECKING:
    from app.views.price_effects import UsedRow, UsedView


def show_used(view: UsedView) -> None:
    """Lay out what it does to the parts in the shop's own quotes of the last 12 months."""
    with blocks.card("card-used"):
        blocks.heading("What you use", "The parts in your quotes of the last 12 months.")
        blocks.write("".join(f"<p>{escape(text)}</p>" for text in view.said))
        blocks.write("".join(map(used, view.open_rows)))
        blocks.write(marks.more(view.more_head, "".join(map(used, view.more_rows))))
        if view.gone:
            gone = marks.items(view.gone, "checks")
            blocks.write(f'<p class="asked">{escape(view.gone_head)}</p>{gone}')


def used(row: UsedRow) -> str:
    """Return a part that the shop uses."""
    mark = marks.tag(row.tag, row.tone) if row.tag else ""
    cells = "".join(
        f"<div><dt>{escape(name)}</dt><dd>{escape(text)}</dd></div>" for name, text in row.figures
    )
    under = "".join(f'<p class="under">{escape(text)}</p>' for text in row.under)
    return f'<div class="path"><h3>{escape(row.part)} {mark}</h3><dl>{cells}</dl>{under}</div>'


def figures(lines: tuple[tuple[str, str], ...]) -> str:
    """Return the figures of all changed rows as a table."""
    rows = "".join(
        f'<tr><th scope="row">{escape(name)}</th><td>{escape(text)}</td></tr>'
        for name, text in lines
    )
    return f'<table class="prices effect">{rows}</table>' if rows else ""
