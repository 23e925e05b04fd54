"""What the owner reads of a trial, a what-if, the labor rate and the books."""

from __future__ import annotations

from dataclasses import fields
from datetime import date
from decimal import Decimal

import pytest

from app.desk.books import BookFilter, count_books
from app.desk.labor import build_labor_rate, labor_sheet_from
from app.desk.rate_trials import PathTried, RateTrial, SheetTried, VisitTried
from app.desk.what_if import JobsCompared, QuoteCompared, WhatIf
from app.files import read_toml
from app.views.desk_book_plots import BarPlot
from app.views.desk_books import build_books_view
from app.views.desk_labor import build_labor_rate_view
from app.views.desk_trial import build_trial_view
from app.views.desk_what_if import build_what_if_view
from app.wiring import DEMO_DATA
from estimator.rates import RateSheetVersion, rate_sheet_from
from tests.bench.book_facts import facts

DAY = date(2026, 11, 25)
SHEET = rate_sheet_from(read_toml(DEMO_DATA / "rates.toml"), "demo")


def path(price: str, margin: str, *, under: bool = False) -> PathTried:
    return PathTried("Repair", Decimal(price), Decimal(margin), under)


def test_a_trial_shows_old_and_new_once_where_they_agree() -> None:
    old = SheetTried(path("217.26", "0.4450"), path("1644.80", "0.37"), "repair")
    new = SheetTried(path("237.26", "0.4450"), path("1644.80", "0.2", under=True), "either")
    refused = SheetTried(refused="Too much off.")
    trial = RateTrial(
        SHEET,
        RateSheetVersion(version=3, holds_from=date(2026, 1, 1), sheet=SHEET),
        (VisitTried("one", old, new), VisitTried("two", old, refused)),
        (),
    )
    view = build_trial_view(trial)
    first, second = view.rows
    assert first.repair_price == "$217.26 → $237.26"
    assert first.repair_margin == "44.5%"
    assert first.verdict == "Repair cheaper → Either"
    assert first.cells[0] == ("Repair price", "$217.26", "$237.26")
    assert first.marks == ("repair price", "replacement margin", "verdict")
    assert first.under_floor == "Repair"
    assert second.refused == "The draft cannot price it. Too much off."
    assert view.summary.endswith("1 cannot be priced.")
    assert view.changes == ()


def test_what_if_says_totals_and_no_guess() -> None:
    jobs = JobsCompared(
        *(2, 1, 1),
        *map(Decimal, ("400.00", "430.00", "380.00", "410.00", "190.00", "190.00")),
    )
    quote = QuoteCompared("2026-000001", Decimal("217.26"), Decimal("237.26"), None, None)
    view = build_what_if_view(WhatIf(None, None, 3, jobs, jobs, jobs, (quote,)))
    row = view.rows[0]
    assert (row.total, row.change) == ("$400.00 → $430.00", "+$30.00")
    assert row.margin == "50% → 53.7%"
    assert row.note == "1 under the margin floor; 1 cannot be priced at the draft"
    assert view.quotes == (("2026-000001", "$217.26 → $237.26", "—"),)


def test_the_labor_rate_is_shown_with_its_sensitivity() -> None:
    values = {"wage_per_h": "30", "billable_hours": "1040", "workers": "2"}
    view = build_labor_rate_view(build_labor_rate(labor_sheet_from(values, "x")))
    assert view.rate == "$60.00/h"
    assert dict(view.parts)["Wages of hours paid and not billed"] == "$30.00/h"
    assert view.at_hours[0] == ("832 billable hours a worker", "$75.00/h (+$15.00)")
    assert view.at_hours[2] == ("1,040 billable hours a worker", "$60.00/h")
    assert view.plot_hours == (832.0, 936.0, 1040.0, 1144.0, 1248.0)
    assert view.plot_rates[0] == 75.0
    assert view.note.startswith("50% of the paid hours are billed.")


@pytest.fixture(scope="module")
def view_and_books():
    found = count_books(facts(2000), BookFilter(), DAY, Decimal("0.35"), target_is_floor=True)
    return build_books_view(found), found


def test_every_plot_holds_one_plain_value_a_category(view_and_books) -> None:
    view, _ = view_and_books
    assert view.plots[0].title == "Quotes by month and state"
    for plot in view.plots:
        assert isinstance(plot, BarPlot)
        assert plot.description
        for _, values in plot.series:
            assert len(values) == len(plot.categories)
            assert all(value is None or isinstance(value, float) for value in values)


def test_the_months_of_the_plot_add_up_to_the_books(view_and_books) -> None:
    view, found = view_and_books
    shown = found.by["month"][-24:]
    plot = view.plots[0]
    assert plot.categories == tuple(it.key for it in shown)
    for name, count in (("Accepted", "accepted"), ("Lapsed", "lapsed")):
        assert dict(plot.series)[name] == tuple(float(getattr(it, count)) for it in shown)


def test_rows_are_marked_under_the_target_by_their_own_margin(view_and_books) -> None:
    view, found = view_and_books
    table = next(each for each in view.tables if each.way == "finding")
    for row, tally in zip(table.rows, found.by["finding"], strict=True):
        assert row.under_target == (tally.gross_margin < Decimal("0.35"))
        assert len(row.cells) == len(table.columns)
    assert "the margin floor" in view.target


def test_empty_books_say_so_and_plot_nothing() -> None:
    found = count_books(facts(1).slice(0, 0), BookFilter(), DAY, Decimal(0), target_is_floor=False)
    view = build_books_view(found)
    assert view.empty == "There is no quote here yet."
    assert view.plots == ()
    assert dict(view.figures)["Average job"] == "—"


def test_a_view_holds_no_frame_and_no_figure_of_plotly(view_and_books) -> None:
    view, _ = view_and_books
    for field in fields(view):
        assert isinstance(getattr(view, field.name), str | tuple)
