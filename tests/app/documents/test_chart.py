"""The cost chart: well-formed, told apart without color, in words too."""

from __future__ import annotations

import re
from dataclasses import replace
from xml.etree import ElementTree

import pytest

from app.documents.chart import HEIGHT, WIDTH, chart_svg
from app.documents.svg import tick_step
from app.language.speech import Speech
from app.views.customer_chart import Chart, build_chart
from app.views.customer_sides import pick_compared
from tests.app import estimates

SVG = "{http://www.w3.org/2000/svg}"


def chart_of(estimate: estimates.Estimate | None = None) -> Chart:
    estimate = estimate or estimates.estimate()
    chart = build_chart(estimate, pick_compared(estimate), Speech())
    assert chart is not None
    return chart


def drawn(chart: Chart) -> ElementTree.Element:
    return ElementTree.fromstring(chart_svg(chart))


def test_title_and_description_are_there_for_a_screen_reader() -> None:
    root = drawn(chart_of())
    assert root.get("role") == "img"
    title, desc = root.find(f"{SVG}title"), root.find(f"{SVG}desc")
    assert title is not None
    assert desc is not None
    assert root.get("aria-labelledby") == f"{title.get('id')} {desc.get('id')}"
    assert "The lines cross in year 12" in (desc.text or "")


def test_the_two_lines_differ_by_dash_and_carry_their_names() -> None:
    root = drawn(chart_of())
    dashes = [line.get("stroke-dasharray") for line in root.iter(f"{SVG}polyline")]
    assert len(dashes) == 2
    assert len(set(dashes)) == 2
    labels = [text.text for text in root.iter(f"{SVG}text")]
    assert "Repair now" in labels
    assert "Replace now" in labels


def test_points_stand_in_proportion_to_the_dollars() -> None:
    chart = chart_of()
    line = next(iter(drawn(chart).iter(f"{SVG}polyline")))
    points = [tuple(map(float, pair.split(","))) for pair in (line.get("points") or "").split()]
    values = chart.lines[0].cumulative_usd
    assert len(points) == len(values)
    slope = (points[-1][1] - points[0][1]) / (values[-1] - values[0])
    assert slope < 0  # more dollars stand higher
    for (_, y), usd in zip(points, values, strict=True):
        assert y - points[0][1] == pytest.approx(slope * (usd - values[0]), abs=0.11)


def test_the_crossing_is_marked_where_the_lines_meet() -> None:
    chart = chart_of()
    circles = list(drawn(chart).iter(f"{SVG}circle"))
    assert len(circles) == len(chart.crosses_years) == 1


def test_end_labels_do_not_touch() -> None:
    root = drawn(chart_of(estimates.estimate(replacements=(estimates.replacement(),))))
    heights = {
        text.text: float(text.get("y") or 0)
        for text in root.iter(f"{SVG}text")
        if text.text in ("Repair now", "Replace now")
    }
    assert abs(heights["Repair now"] - heights["Replace now"]) >= 30


def test_nothing_is_drawn_outside_and_nothing_is_loaded() -> None:
    text = chart_svg(chart_of())
    assert not re.search(r"href|url\(|@import|@font-face", text)
    for name, limit in (("x", WIDTH), ("y", HEIGHT)):
        for value in re.findall(rf'\b{name}="(-?[\d.]+)"', text):
            assert 0 <= float(value) <= limit


def test_words_are_escaped() -> None:
    chart = replace(chart_of(), title='a < b & "c"')
    title = drawn(chart).find(f"{SVG}title")
    assert title is not None
    assert title.text == 'a < b & "c"'


def test_one_year_and_all_zero_can_be_drawn() -> None:
    lines = tuple(
        replace(line, cumulative_usd=(0.0, 0.0), amounts=("$0", "$0")) for line in chart_of().lines
    )
    assert "NaN" not in chart_svg(replace(chart_of(), lines=lines, crosses_years=()))


def test_a_forty_year_axis_does_not_crowd() -> None:
    lines = tuple(
        replace(line, cumulative_usd=tuple(range(41)), amounts=("$0",) * 41)
        for line in chart_of().lines
    )
    root = drawn(replace(chart_of(), lines=lines, crosses_years=()))
    years = [text.text for text in root.iter(f"{SVG}text") if (text.text or "").isdigit()]
    assert len(years) <= 14


@pytest.mark.parametrize(
    ("span", "most", "step"), [(6215, 5, 2000), (10, 5, 2), (12, 5, 2.5), (1, 5, 0.2), (48, 5, 10)]
)
def test_ticks_are_round(span: float, most: int, step: float) -> None:
    assert tick_step(span, most) == pytest.approx(step)
