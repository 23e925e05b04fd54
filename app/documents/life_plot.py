"""A fitted life as SVG: survival on the left, probability paper on the right; no color needed."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, NamedTuple

from app.documents import svg
from app.views.life import paper_height

if TYPE_CHECKING:
    from app.views.life import LifePlot

WIDTH, HEIGHT = 760, 330
TOP, BOTTOM = 46, 44
BAND = "#e6eaea"
SHARES = (0.01, 0.02, 0.05, 0.1, 0.25, 0.5, 0.75, 0.9, 0.99)
YEARS = (0.5, 1, 2, 3, 5, 7, 10, 15, 20, 30, 50)


class _Panel(NamedTuple):
    """A part of the drawing and the numbers at its edges."""

    left: float
    right: float
    x_low: float
    x_high: float
    y_low: float
    y_high: float

    def x(self, value: float) -> float:
        return self.left + (self.right - self.left) * (value - self.x_low) / (
            self.x_high - self.x_low
        )

    def y(self, value: float) -> float:
        share = (self.y_high - value) / (self.y_high - self.y_low)
        return TOP + (HEIGHT - TOP - BOTTOM) * share


def life_svg(plot: LifePlot, font: str = "sans-serif") -> str:
    """Draw the records and the fitted life.

    Parameters
    ----------
    plot
        The plot of an owner's view.
    font
        Font family; nothing is loaded.

    Returns
    -------
    An SVG document with title and description, 760 by 330 units.

    Notes
    -----
    Steps and circles are the records, the dashed line is the fit: form tells them apart, and
    shade only repeats it.
    """
    body = [*_survival_panel(plot), *_paper_panel(plot)]
    drawn = (
        f'<rect width="{WIDTH}" height="{HEIGHT}" fill="#ffffff"/>'
        f"{svg.text(16, 20, plot.title, 'start', svg.INK, 700)}{''.join(body)}"
    )
    return svg.document("life", plot.title, plot.description, (WIDTH, HEIGHT), drawn, font)


def _line(x1: float, y1: float, x2: float, y2: float, stroke: str) -> str:
    return f'<line x1="{x1:.1f}" y1="{y1:.1f}" x2="{x2:.1f}" y2="{y2:.1f}" {stroke}/>'


def _trail(points: list[tuple[float, float]], style: str) -> str:
    drawn = " ".join(f"{x:.1f},{y:.1f}" for x, y in points)
    return f'<polyline points="{drawn}" {style}/>'


_GRID_LINE = f'stroke="{svg.GRID}" stroke-width="1"'
_FIT_LINE = f'fill="none" stroke="{svg.ACCENT}" stroke-width="2.4" stroke-dasharray="8 5"'
_STEP_LINE = f'fill="none" stroke="{svg.INK}" stroke-width="1.8"'


def _survival_panel(plot: LifePlot) -> list[str]:
    last = plot.curve_ages[-1]
    panel = _Panel(52.0, 372.0, 0.0, last, 0.0, 1.0)
    drawn = []
    for percent in range(0, 101, 25):
        y = panel.y(percent / 100)
        drawn.append(_line(panel.left, y, panel.right, y, _GRID_LINE))
        drawn.append(svg.text(panel.left - 6, y + 4, f"{percent}%", "end", svg.QUIET))
    step = max(1, math.ceil(svg.tick_step(last, 8)))
    base = HEIGHT - BOTTOM
    drawn.extend(
        svg.text(panel.x(year), base + 17, str(year), "middle", svg.QUIET)
        for year in range(0, math.floor(last) + 1, step)
    )
    drawn.append(
        svg.text((panel.left + panel.right) / 2, HEIGHT - 8, "Age, years", "middle", svg.QUIET)
    )
    drawn.append(svg.text(panel.left, TOP - 8, "Share still running", "start", svg.QUIET))
    upper, lower = (_steps(plot.ages, row, panel) for row in (plot.high, plot.low))
    around = " ".join(f"{x:.1f},{y:.1f}" for x, y in [*upper, *lower[::-1]])
    drawn.append(f'<polygon points="{around}" fill="{BAND}"/>')
    drawn.append(_trail(_steps(plot.ages, plot.surviving, panel), _STEP_LINE))
    drawn += _legend(panel)
    curve = zip(plot.curve_ages, plot.curve_surviving, strict=True)
    drawn.append(_trail([(panel.x(age), panel.y(left)) for age, left in curve], _FIT_LINE))
    return drawn


def _legend(panel: _Panel) -> list[str]:
    """Name the two lines where the falling curves leave room."""
    x, drawn = panel.right - 120, []
    for row, (style, words) in enumerate(
        ((_STEP_LINE, "Your records"), (_FIT_LINE, "Fitted life"))
    ):
        y = TOP + 12 + 18 * row
        drawn.append(_trail([(x, y), (x + 34, y)], style))
        drawn.append(svg.text(x + 41, y + 4, words, "start", svg.INK))
    return drawn


def _steps(
    ages: tuple[float, ...], shares: tuple[float, ...], panel: _Panel
) -> list[tuple[float, float]]:
    """Corners of a falling staircase that begins at all of them."""
    before, corners = 1.0, [(panel.x(0.0), panel.y(1.0))]
    for age, share in zip(ages, shares, strict=True):
        corners += [(panel.x(age), panel.y(before)), (panel.x(age), panel.y(share))]
        before = share
    return corners


def _paper_panel(plot: LifePlot) -> list[str]:
    """Ages past the delay on a logarithmic scale, shares so that a Weibull life is a line."""
    panel = _paper(plot)
    drawn = [
        svg.text(panel.left, TOP - 8, "Share failed, on Weibull paper", "start", svg.QUIET),
        svg.text(
            (panel.left + panel.right) / 2,
            HEIGHT - 8,
            "Age, years" if plot.delay_years == 0 else f"Age past {plot.delay_years:g}, years",
            "middle",
            svg.QUIET,
        ),
    ]
    for share in SHARES:
        if panel.y_low <= paper_height(share) <= panel.y_high:
            y = panel.y(paper_height(share))
            drawn.append(_line(panel.left, y, panel.right, y, _GRID_LINE))
            drawn.append(svg.text(panel.left - 6, y + 4, f"{100 * share:g}%", "end", svg.QUIET))
    for year in YEARS:
        if panel.x_low <= math.log(year) <= panel.x_high:
            x = panel.x(math.log(year))
            drawn.append(_line(x, TOP, x, HEIGHT - BOTTOM, _GRID_LINE))
            drawn.append(svg.text(x, HEIGHT - BOTTOM + 17, f"{year:g}", "middle", svg.QUIET))
    drawn.append(_trail(_fit_ends(plot, panel), _FIT_LINE))
    drawn.extend(
        f'<circle cx="{panel.x(math.log(age - plot.delay_years)):.1f}" '
        f'cy="{panel.y(paper_height(share)):.1f}" r="3.2" fill="#ffffff" stroke="{svg.INK}" '
        'stroke-width="1.4"/>'
        for age, share in _points(plot)
    )
    return drawn


def _points(plot: LifePlot) -> list[tuple[float, float]]:
    """Ages and shares that the paper can hold: records that begin late may reach all or none."""
    return [
        (age, share)
        for age, share in zip(plot.ages, plot.plotted_failed, strict=True)
        if age > plot.delay_years and 0.0 < share < 1.0
    ]


def _paper(plot: LifePlot) -> _Panel:
    points = _points(plot) or [(plot.delay_years + plot.scale_years, 0.5)]
    past = [age - plot.delay_years for age, _ in points]
    heights = [paper_height(share) for _, share in points]
    low, high = min(heights), max(heights)
    room = 0.06 * max(high - low, 1.0)
    return _Panel(
        446.0,
        744.0,
        math.log(past[0]) - 0.15,
        math.log(past[-1]) + 0.15,
        low - room,
        high + room,
    )


def _fit_ends(plot: LifePlot, panel: _Panel) -> list[tuple[float, float]]:
    """Where the fitted line enters and leaves the panel."""

    def height(log_age: float) -> float:
        return plot.shape * (log_age - math.log(plot.scale_years))

    def log_age(of: float) -> float:
        return of / plot.shape + math.log(plot.scale_years)

    start = max(panel.x_low, log_age(panel.y_low))
    end = min(panel.x_high, log_age(panel.y_high))
    return [(panel.x(at), panel.y(height(at))) for at in (start, end)]
