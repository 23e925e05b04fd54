"""Beside the rate sheet's form: try the draft, build the labor rate, bring a version back."""

from __future__ import annotations

from datetime import timedelta
from decimal import Decimal
from html import escape
from typing import TYPE_CHECKING

import streamlit as st

from app import publishing, session, wiring
from app.desk import rate_trials
from app.desk.books import BookFilter
from app.desk.rate_cautions import rate_cautions
from app.desk.what_if import what_if
from app.screens import blocks, marks, prices
from app.views import desk_rates, rates
from estimator.errors import Trouble

if TYPE_CHECKING:
    from collections.abc import Mapping

    from app.views.desk_rates import TriedRow

QUOTES_TRIED = 40
TRIED = "rates-tried"
WHAT_IF = "rates-what-if"
DAYS = 30
LABOR = (
    ("wage_per_h", "Wage of an hour [$/h]"),
    ("workers", "Workers"),
    ("paid_hours", "Hours paid, each, a year [h]"),
    ("billable_hours", "Hours billed, each, a year [h]"),
    ("burden", "Burden, share of wages [%]"),
    ("burden_per_year", "Burden of one worker a year [$]"),
    ("overhead", "Overhead of the shop a year [$]"),
    ("target_margin", "Margin wanted [%]"),
)
SHARES = ("burden", "target_margin")
NAMED = {"burden": "Burden", "burden_per_year": "Burden by the year", "overhead": "Overhead"}


@session.guarded
def _try(form: str, on: str) -> None:
    shop, actor, today = session.shop(), session.signed_in(), session.today()
    draft = rates.sheet_of(st.session_state[form])
    if on == "quotes":
        visits = rate_trials.last_issued(shop, actor, QUOTES_TRIED)
    else:
        names = sorted(path.stem for path in (wiring.DEMO_DATA / "visits").glob("*.toml"))
        files = {name: wiring.demo_visit(name) for name in names}
        visits = rate_trials.reference_visits(shop, actor, files)
    st.session_state[TRIED] = rate_trials.try_rates(shop, actor, draft, visits, today)


@session.guarded
def _what_if(form: str) -> None:
    today, draft = session.today(), rates.sheet_of(st.session_state[form])
    wanted = BookFilter(first=today - timedelta(days=DAYS))
    found = what_if(session.shop(), session.signed_in(), draft, wanted, today)
    st.session_state[WHAT_IF] = (draft, found)


def show_what_if(form: str, *, ready: bool) -> None:
    """Lay out the last days of the books, priced again at the draft in the form."""
    with blocks.card("card-what-if"):
        blocks.heading("What if", f"Every quote of the last {DAYS} days, as issued → at the draft.")
        st.button("Price the books again", key="what-if", on_click=_what_if, args=(form,),
                  disabled=not ready, width="stretch")  # fmt: skip
        draft, found = st.session_state.get(WHAT_IF, (None, None))
        if found is not None and ready and draft == rates.sheet_of(st.session_state[form]):
            blocks.write(prices.pairs(desk_rates.build_what_if(found)))


def show_trial(form: str, *, ready: bool) -> None:
    """Lay out the trial of the draft in the form."""
    with blocks.card("card-try"):
        blocks.heading("Try it first", "The repair at the sheet in force and at the draft.")
        visits, quotes = st.columns(2, wrap=False)
        visits.button("On reference visits", key="try-visits", on_click=_try,
                      args=(form, "visits"), disabled=not ready, width="stretch")  # fmt: skip
        quotes.button("On the last quotes", key="try-quotes", on_click=_try,
                      args=(form, "quotes"), disabled=not ready, width="stretch")  # fmt: skip
        tried = st.session_state.get(TRIED)
        if tried is None:
            return
        if not ready or tried.draft != rates.sheet_of(st.session_state[form]):
            blocks.small("The draft changed since it was tried. Try it again.")
            return
        blocks.write(
            f"<p><strong>{escape(desk_rates.tried_summary(tried))}</strong></p>"
            + "".join(_row(row) for row in desk_rates.build_tried_view(tried))
        )


def _row(row: TriedRow) -> str:
    sides = "".join(
        f'<div><p class="name">{name}</p>{_lines(lines)}</div>'
        for name, lines in (("Now", row.now), ("Draft", row.draft))
    )
    warning = marks.note(row.warning, "check") if row.warning else ""
    title = escape(row.title.replace("_", " "))
    return f'<div class="path"><h3>{title}</h3><div class="two">{sides}</div>{warning}</div>'


def _lines(lines: tuple[str, ...]) -> str:
    return "".join(f"<p>{escape(line)}</p>" for line in lines)


def show_cautions(form: str) -> None:
    """Lay out what the owner should know of the draft in the form."""
    try:
        found = rate_cautions(rates.sheet_of(st.session_state[form]))
    except Trouble:
        return  # the form says what must be mended first
    for caution in found:
        blocks.write(marks.note(caution.message, "check"))


@session.guarded
def _bring_back(form: str, version: int) -> None:
    every = publishing.rate_sheets(session.shop(), session.signed_in())
    sheet = next(each.sheet for each in every if each.version == version)
    st.session_state[form] = rates.form_of(sheet)
    st.session_state.pop(TRIED, None)


def show_versions(form: str) -> None:
    """Lay out every version, and the way to bring one back as a new draft."""
    shop, actor = session.shop(), session.signed_in()
    rows = desk_rates.build_versions(rate_trials.rate_versions(shop, actor, session.today()))
    with st.expander(f"**Versions**  \n{len(rows)} published; none ever changes", key="versions"):
        for version, words, in_force in rows:
            blocks.write(f"<p>{escape(words)}</p>")
            if not in_force:
                st.button(
                    f"Bring version {version} into the form",
                    key=f"back-{version}",
                    on_click=_bring_back,
                    args=(form, version),
                    width="stretch",
                )


@session.guarded
def _take_labor(form: str, rate: Decimal, cost: Decimal) -> None:
    changed = rates.put_rate(st.session_state[form], "labor.regular_per_h", float(rate))
    st.session_state[form] = rates.put_rate(changed, "labor.cost_per_h", float(cost))


def show_labor(form: str) -> None:
    """Lay out the build-up of the labor rate, with what it hangs on."""
    with st.expander(
        "**Build the labor rate**  \nfrom wages, burden, overhead and hours billed",
        key="labor-builder",
    ):
        typed = {
            name: st.number_input(label, value=None, step=1.0, format="%g", key=f"build-{name}")
            for name, label in LABOR
        }
        if typed["wage_per_h"] is None or typed["billable_hours"] is None:
            blocks.small("The wage and the hours billed are needed.")
            return
        try:
            view = desk_rates.build_labor_view(_as_sheet(typed))
        except Trouble as trouble:
            blocks.write(marks.note(str(trouble), "stop"))
            return
        blocks.write(prices.pairs(view.parts))
        blocks.write('<h3 class="heading">If fewer or more hours are billed in all</h3>')
        blocks.write(prices.pairs(view.sensitivity))
        st.button(
            "Put rate and cost into the form",
            key="take-labor",
            on_click=_take_labor,
            args=(form, view.rate_per_h, view.cost_per_h),
            width="stretch",
        )


def _as_sheet(typed: Mapping[str, float | None]) -> dict[str, object]:
    values: dict[str, object] = {}
    for name, number in typed.items():
        if number is None:
            continue
        exact = str(Decimal(repr(number)) / (100 if name in SHARES else 1))
        values[name] = {NAMED[name]: exact} if name in NAMED else exact
    return values
