"""The owner's rate sheet: change it, see what it does, publish it from a day on."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import streamlit as st

from app import publishing, session
from app.people.roles import Action
from app.screens import (
    blocks,
    fields,
    prices,
    publish,
    rates_labor,
    rates_tax,
    rates_trial,
    rates_versions,
)
from app.views import rate_form, rates

if TYPE_CHECKING:
    from app.views.rates import RatesView

FORM = "rate-form"


def show_page() -> None:
    """Show the rate sheet in force, as a form."""
    with session.guard():
        actor = session.allow(Action.SEE_RATES)
        published = publishing.rate_sheet_on(session.shop(), actor, session.today())
        form = st.session_state.setdefault(FORM, rate_form.form_of(published.sheet))
        day = st.session_state.get("holds-from", session.today())
        every = publishing.rate_sheets(session.shop(), actor)
        view = rates.build_rates_view(form, published, every, day)
        blocks.title("Rates", f"{view.version} Quotes already issued keep theirs.")
        _parts(view)
        for card in view.cards:
            fields.show_card(card, "rates", _keep)
        rates_tax.show(view, FORM, _keep)
        rates_labor.show(FORM)
        rates_trial.show_cautions(FORM)
        rates_trial.show_trial(FORM, ready=not view.faults)
        rates_trial.show_what_if(FORM, ready=not view.faults)
        publish.show(view, FORM)
        rates_versions.show_versions(FORM)
        rates_versions.show_file(FORM)


def _keep(path: str, value: Any) -> None:
    form = st.session_state[FORM]
    if path == "parts.way":
        shop, actor = session.shop(), session.signed_in()
        published = publishing.rate_sheet_on(shop, actor, session.today())
        st.session_state[FORM] = rate_form.put_way(form, value, published.sheet) if value else form
    else:
        st.session_state[FORM] = rate_form.put_rate(form, path, value)


@session.guarded
def _band(by: int) -> None:
    st.session_state[FORM] = rate_form.put_band(st.session_state[FORM], by)


def _parts(view: RatesView) -> None:
    with blocks.card("card-parts"):
        blocks.heading("Parts")
        fields.show(view.way, "rates", _keep)
        for field in view.parts:
            fields.show(field, "rates", _keep)
        if view.bands:
            more, fewer = st.columns(2, wrap=False)
            more.button("Add a band", on_click=_band, args=(1,), key="band-more", width="stretch")
            fewer.button("One band less", on_click=_band, args=(-1,), key="band-less",
                         disabled=view.bands < 2, width="stretch")  # fmt: skip
        blocks.write(prices.pairs(view.samples))
