"""Beside the rate sheet's form: the labor rate, built up from a year of wages and overhead."""

from __future__ import annotations

from decimal import Decimal
from typing import TYPE_CHECKING, Any

import streamlit as st

from app import session
from app.screens import blocks, fields, prices
from app.views import desk_labor, rate_form

if TYPE_CHECKING:
    from app.views.desk_labor import LaborRateView

TYPED = "labor-typed"


def _keep(path: str, value: Any) -> None:
    st.session_state[TYPED] = {**st.session_state.get(TYPED, {}), path: value}


@session.guarded
def _take(form: str, rate: Decimal, cost: Decimal) -> None:
    changed = rate_form.put_rate(st.session_state[form], "labor.regular_per_h", float(rate))
    st.session_state[form] = rate_form.put_rate(changed, "labor.cost_per_h", float(cost))


def show(form: str) -> None:
    """Lay out the build-up of the labor rate, with what it hangs on."""
    view = desk_labor.build_labor_form(st.session_state.get(TYPED, {}))
    with st.expander(
        "**Build the labor rate**  \nfrom wages, burden, overhead and hours billed",
        key="labor-builder",
    ):
        for title, asked in view.groups:
            blocks.write(f'<h3 class="heading">{title}</h3>')
            for field in asked:
                fields.show(field, "build", _keep)
        if view.said:
            blocks.small(view.said)
        if view.built and view.rate_per_h is not None and view.cost_per_h is not None:
            _built(view.built)
            st.button("Put rate and cost into the form", key="take-labor", on_click=_take,
                      args=(form, view.rate_per_h, view.cost_per_h), width="stretch")  # fmt: skip


def _built(view: LaborRateView) -> None:
    blocks.write('<h3 class="heading">For each hour billed</h3>')
    total = (("An hour costs you", view.cost), ("Labor rate", view.rate))
    blocks.write(prices.pairs((*view.parts, *total)))
    blocks.write('<h3 class="heading">If fewer or more hours are billed</h3>')
    blocks.write(prices.pairs(view.at_hours))
    blocks.small(view.note)
