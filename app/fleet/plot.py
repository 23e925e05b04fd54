"""Budget by year as SVG: readable in grayscale, and by a screen reader."""

from __future__ import annotations

from typing import TYPE_CHECKING
from xml.sax.saxutils import escape

from app import formatting
from app.documents.chart import tick_step

if TYPE_CHECKING:
    from app.fleet.summary import Summary

WIDTH, HEIGHT = 640, 300
LEFT, RIGHT, TOP, BOTTOM = 84, 16, 34, 58
INK, BAR, HATCH, GRID = "#1d2528", "#0f5c5c", "#8fb3b3", "#d9dfe0"
TITLE = "Budget by year, in dollars of today"


def budget_svg(summary: Summary) -> str:
    """Draw what planned replacements and today's repairs cost, a bar a year.

    Parameters
    ----------
    summary
        The sums.

    Returns
    -------
    An SVG document with title and description; nothing is loaded from elsewhere.
    """
    years = summary.by_year()
    totals = {year: counts[1] + counts[3] for year, counts in years.items()}
    top = max(totals.values(), default=0.0) or 1.0
    step = tick_step(top, 5)
    told = "; ".join(
        f"{year}: replace {formatting.number(counts[0])} for "
        f"{formatting.whole_money(counts[1])}, repair {formatting.number(counts[2])} for "
        f"{formatting.whole_money(counts[3])}"
        for year, counts in years.items()
    )
    parts = [
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {WIDTH} {HEIGHT}" role="img" '
        'aria-labelledby="t d" font-family="sans-serif" font-size="12">',
        f'<title id="t">{escape(TITLE)}</title><desc id="d">{escape(told or "No heaters.")}</desc>',
        f'<rect width="{WIDTH}" height="{HEIGHT}" fill="#ffffff"/>',
        _text(LEFT, 18, TITLE, "start", 700),
    ]
    base, span = HEIGHT - BOTTOM, HEIGHT - TOP - BOTTOM
    for count in range(int(top / step) + 1):
        y = base - span * count * step / top
        parts.append(
            f'<line x1="{LEFT}" x2="{WIDTH - RIGHT}" y1="{y:.1f}" y2="{y:.1f}" stroke="{GRID}"/>'
        )
        parts.append(_text(LEFT - 8, y + 4, formatting.whole_money(count * step), "end"))
    room = (WIDTH - LEFT - RIGHT) / max(len(years), 1)
    every = max(1, -(-len(years) * 36 // (WIDTH - LEFT - RIGHT)))
    for place, (year, counts) in enumerate(years.items()):
        x, wide = LEFT + room * (place + 0.15), room * 0.7
        tall, repair = span * counts[1] / top, span * counts[3] / top
        parts.append(_bar(x, base - tall, wide, tall, BAR))
        parts.append(_bar(x, base - tall - repair, wide, repair, HATCH))
        if place % every == 0:
            parts.append(_text(x + wide / 2, base + 16, str(year), "middle"))
    parts.append(_bar(LEFT, HEIGHT - 26, 12, 12, BAR))
    parts.append(_text(LEFT + 18, HEIGHT - 16, "replacements", "start"))
    parts.append(_bar(LEFT + 130, HEIGHT - 26, 12, 12, HATCH))
    parts.append(_text(LEFT + 148, HEIGHT - 16, "repairs now", "start"))
    return "".join([*parts, "</svg>\n"])


def _text(x: float, y: float, words: str, anchor: str, weight: int = 400) -> str:
    return (
        f'<text x="{x:.1f}" y="{y:.1f}" text-anchor="{anchor}" fill="{INK}" '
        f'font-weight="{weight}">{escape(words)}</text>'
    )


def _bar(x: float, y: float, wide: float, tall: float, fill: str) -> str:
    return (
        f'<rect x="{x:.1f}" y="{y:.1f}" width="{wide:.1f}" height="{tall:.1f}" fill="{fill}" '
        f'stroke="{INK}" stroke-width="0.8"/>'
    )
