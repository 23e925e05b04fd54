"""Budget by year as SVG: readable in grayscale, and by a screen reader."""

from __future__ import annotations

from typing import TYPE_CHECKING
from xml.sax.saxutils import escape

from app import formatting
from app.documents import svg
from app.fleet.summary import COUNTED

if TYPE_CHECKING:
    from app.fleet.summary import Summary

WIDTH, HEIGHT = 640, 300
LEFT, RIGHT, TOP, BOTTOM = 112, 16, 34, 58
STACK = (
    ("replacement_budget_usd", "planned replacements", "#0f5c5c"),
    ("expected_failure_cost_usd", "expected failures", "#7fa8a8"),
    ("repair_budget_usd", "repairs now", "#e4eeee"),
)
"""What is stacked, from the bottom: from dark to light, so that it reads in grayscale."""

TITLE = "Budget by year, in dollars of today"


def budget_svg(summary: Summary) -> str:
    """Draw what planned replacements, expected failures and today's repairs cost, a bar a year.

    Parameters
    ----------
    summary
        The sums.

    Returns
    -------
    An SVG document with title and description; nothing is loaded from elsewhere.
    """
    years = {
        year: dict(zip(COUNTED, counts, strict=True)) for year, counts in summary.by_year().items()
    }
    top = max((sum(of[name] for name, *_ in STACK) for of in years.values()), default=0.0) or 1.0
    step = svg.tick_step(top, 5)
    told = "; ".join(
        f"{year}: "
        + ", ".join(f"{words} {formatting.whole_money(of[name])}" for name, words, _ in STACK)
        for year, of in years.items()
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
            f'<line x1="{LEFT}" x2="{WIDTH - RIGHT}" y1="{y:.1f}" y2="{y:.1f}" '
            f'stroke="{svg.GRID}"/>'
        )
        parts.append(_text(LEFT - 8, y + 4, formatting.whole_money(count * step), "end"))
    room = (WIDTH - LEFT - RIGHT) / max(len(years), 1)
    every = max(1, -(-len(years) * 36 // (WIDTH - LEFT - RIGHT)))
    for place, (year, of) in enumerate(years.items()):
        x, wide, y = LEFT + room * (place + 0.15), room * 0.7, float(base)
        for name, _, fill in STACK:
            tall = span * of[name] / top
            y -= tall
            parts.append(_bar(x, y, wide, tall, fill))
        if place % every == 0:
            parts.append(_text(x + wide / 2, base + 16, str(year), "middle"))
    for place, (_, words, fill) in enumerate(STACK):
        x = LEFT + place * 170
        parts.append(_bar(x, HEIGHT - 26, 12, 12, fill))
        parts.append(_text(x + 18, HEIGHT - 16, words, "start"))
    return "".join([*parts, "</svg>\n"])


def _text(x: float, y: float, words: str, anchor: str, weight: int = 400) -> str:
    return svg.text(x, y, words, anchor, svg.INK, weight)


def _bar(x: float, y: float, wide: float, tall: float, fill: str) -> str:
    return (
        f'<rect x="{x:.1f}" y="{y:.1f}" width="{wide:.1f}" height="{tall:.1f}" fill="{fill}" '
        f'stroke="{svg.INK}" stroke-width="0.8"/>'
    )
