"""The side by side in a terminal: 80 columns, no color needed, nothing typed takes over."""

from __future__ import annotations

import io
from datetime import date
from typing import Any

import pytest
from rich.console import Console

from app.documents.terminal import render_side_by_side
from app.views.customer import build_customer_view
from app.views.customer_state import Issued
from app.visit import People
from tests.app import estimates

EVERY_KIND = (
    estimates.estimate,
    estimates.either,
    estimates.repair_closed_by_leak,
    estimates.no_part,
    estimates.replacements_closed,
    estimates.everything_closed,
)


def shown(estimate: Any = None, *, width: int = 80, color: bool = False, **changes: Any) -> str:
    view = build_customer_view(
        changes.get("visit", estimates.visit()),
        estimate or estimates.estimate(),
        estimates.SHOP,
        estimates.TERMS,
        changes.get("issued"),
    )
    out = io.StringIO()
    console = Console(file=out, width=width, force_terminal=color, no_color=not color)
    console.print(render_side_by_side(view))
    return out.getvalue()


@pytest.mark.parametrize("build", EVERY_KIND)
@pytest.mark.parametrize("width", [80, 100, 60])
def test_no_line_is_wider_than_the_terminal(build: Any, width: int) -> None:
    assert max(len(line) for line in shown(build(), width=width).splitlines()) <= width


def test_it_says_the_same_as_the_page() -> None:
    text = shown(issued=Issued("Q-7", 1, date(2026, 3, 5), date(2026, 4, 4)))
    for said in (
        "Quote Q-7, revision 1",
        "$275.40",
        "$1,749.60",
        "$5,525",
        "Repairing is likely to cost you less.",
        "The lines cross in year 12.",
        "These prices hold until April 4, 2026.",
        "[ ] Neither for now",
        "Invented demo shop",
    ):
        assert said in text


def test_both_prices_stand_on_one_line() -> None:
    assert any("$275.40" in line and "$1,749.60" in line for line in shown().splitlines())


def test_without_color_there_is_no_escape_and_a_stop_still_stands_out() -> None:
    text = shown(estimates.everything_closed())
    assert "\x1b" not in text
    assert "DO THIS FIRST" in text
    assert "Not open today" in text


def test_what_was_typed_is_neither_markup_nor_escape() -> None:
    name = "[red]Ann[/red] \x1b[2J\x07"
    visit = estimates.visit(visit=People(date=date(2026, 3, 5), customer_name=name))
    text = shown(visit=visit)
    assert "[red]Ann[/red] [2J" in text
    assert "\x1b" not in text
    assert "\x07" not in text


@pytest.mark.parametrize("build", EVERY_KIND)
def test_no_cost_or_margin_is_shown(build: Any) -> None:
    text = shown(build()).lower()
    assert not [word for word in ("margin", "markup", "137.77", "41.77", "43.21") if word in text]
