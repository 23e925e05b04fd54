"""The cost chart as SVG: two paths by year, readable in grayscale and by a screen reader."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from app.documents import svg
from app.formatting import US_ENGLISH, Formats

if TYPE_CHECKING:
    from app.views.customer_chart import Chart, Line

WIDTH, HEIGHT = 480, 180
LEFT, RIGHT, TOP, BOTTOM = 54, 98, 10, 38
LABEL_GAP = 34  # two labels, each of two lines of text, must not touch

# Each path differs by dash, weight and marker, so that it reads without color.
STROKES = {
    "repair": f'stroke="{svg.INK}" stroke-width="2.6"',
    "replace": f'stroke="{svg.ACCENT}" stroke-width="2.6" stroke-dasharray="8 5"',
}
FILLS = {"repair": svg.INK, "replace": svg.ACCENT}


class _Scale:
    """Maps years and dollars onto the drawing."""

    def __init__(self, chart: Chart) -> None:
        values = [value for line in chart.lines for value in (*line.cumulative_usd, *line.high_usd)]
        self.years = max(len(line.cumulative_usd) for line in chart.lines) - 1
        top, low = max(*values, 1.0), min(*values, 0.0)
        self.step = svg.tick_step(top - low, 5)
        self.low = math.floor(low / self.step) * self.step
        self.high = top + 0.04 * (top - self.low)

    def x(self, year: float) -> float:
        return LEFT + (WIDTH - LEFT - RIGHT) * year / max(self.years, 1)

    def y(self, usd: float) -> float:
        return TOP + (HEIGHT - TOP - BOTTOM) * (self.high - usd) / (self.high - self.low)


def chart_svg(chart: Chart, font: str = "sans-serif", formats: Formats = US_ENGLISH) -> str:
    """Draw the chart.

    Parameters
    ----------
    chart
        The chart of a customer's view.
    font
        Font family; must be at hand where the drawing is shown. Nothing is loaded.
    formats
        How the amounts on the axis are written.

    Returns
    -------
    An SVG document with title and description, 480 by 180 units.
    """
    scale = _Scale(chart)
    body = [
        *_grid(chart, scale, formats),
        *(_band(line, scale) for line in chart.lines if line.low_usd),
        *(_path(line, scale) for line in chart.lines),
        *(_cross(chart, scale, year) for year in chart.crosses_years),
        *_end_labels(chart, scale),
    ]
    return svg.document(
        "chart", chart.title, chart.description, (WIDTH, HEIGHT), "".join(body), font
    )


def _grid(chart: Chart, scale: _Scale, formats: Formats) -> list[str]:
    drawn = []
    for count in range(math.floor((scale.high - scale.low) / scale.step) + 1):
        usd = scale.low + count * scale.step
        y = scale.y(usd)
        drawn.append(
            f'<line x1="{LEFT}" x2="{WIDTH - RIGHT}" y1="{y:.1f}" y2="{y:.1f}" '
            f'stroke="{svg.GRID}" stroke-width="1"/>'
        )
        drawn.append(svg.text(LEFT - 8, y + 4, formats.whole_money(usd), "end", svg.QUIET))
    step = max(1, math.ceil(svg.tick_step(max(scale.years, 1), 12)))
    base = HEIGHT - BOTTOM
    drawn.extend(
        svg.text(scale.x(year), base + 17, str(year), "middle", svg.QUIET)
        for year in range(0, scale.years + 1, step)
    )
    middle = (LEFT + WIDTH - RIGHT) / 2
    drawn.append(svg.text(middle, HEIGHT - 6, chart.years_label, "middle", svg.QUIET))
    return drawn


def _band(line: Line, scale: _Scale) -> str:
    """Shade where 8 of 10 futures lie; the edges carry the path's own dash."""
    there = list(enumerate(line.high_usd))
    back = list(reversed(list(enumerate(line.low_usd))))
    points = " ".join(f"{scale.x(year):.1f},{scale.y(usd):.1f}" for year, usd in there + back)
    dash = ' stroke-dasharray="2 3"' if line.key == "replace" else ""
    return (
        f'<polygon points="{points}" fill="{FILLS[line.key]}" fill-opacity="0.08" '
        f'stroke="{FILLS[line.key]}" stroke-opacity="0.45" stroke-width="0.7"{dash}/>'
    )


def _path(line: Line, scale: _Scale) -> str:
    points = " ".join(
        f"{scale.x(year):.1f},{scale.y(usd):.1f}" for year, usd in enumerate(line.cumulative_usd)
    )
    return f'<polyline points="{points}" fill="none" stroke-linejoin="round" {STROKES[line.key]}/>'


def _cross(chart: Chart, scale: _Scale, year: float) -> str:
    before = min(int(year), scale.years - 1)
    values = chart.lines[0].cumulative_usd
    usd = values[before] + (year - before) * (values[before + 1] - values[before])
    return (
        f'<circle cx="{scale.x(year):.1f}" cy="{scale.y(usd):.1f}" r="5" fill="#ffffff" '
        f'stroke="{svg.INK}" stroke-width="1.6"/>'
    )


def _end_labels(chart: Chart, scale: _Scale) -> list[str]:
    """Label each line at its end, pushed apart where they would touch."""
    ends = sorted(
        ((scale.y(line.cumulative_usd[-1]), line) for line in chart.lines),
        key=lambda end: end[0],
    )
    heights = [y for y, _ in ends]
    if len(heights) == 2 and heights[1] - heights[0] < LABEL_GAP:
        middle = sum(heights) / 2
        heights = [middle - LABEL_GAP / 2, middle + LABEL_GAP / 2]
        shift = max(0.0, TOP + 8 - heights[0])
        heights = [height + shift for height in heights]
    x = WIDTH - RIGHT + 8
    labels = []
    for height, (_, line) in zip(heights, ends, strict=True):
        fill = FILLS[line.key]
        labels.append(svg.text(x, height, line.label, "start", fill, 700))
        labels.append(svg.text(x, height + 15, line.amounts[-1], "start", fill))
    return labels
