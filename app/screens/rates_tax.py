"""Beside the rate sheet's form: places with a sales tax of their own."""

from __future__ import annotations

from typing import TYPE_CHECKING

import streamlit as st

from app import session
from app.screens import fields
from app.views import rate_form

if TYPE_CHECKING:
    from app.screens.fields import Keeper
    from app.views.rates import RatesView


@session.guarded
def _place(form: str, by: int) -> None:
    st.session_state[form] = rate_form.put_place(st.session_state[form], by)


def show(view: RatesView, form: str, keep: Keeper) -> None:
    """Lay out the places; a visit names the one that its sales tax is of."""
    count = sum(field.path.endswith(".name") for field in view.places)
    told = f"{count} named" if count else "the rate above holds everywhere"
    with st.expander(f"**Sales tax by place**  \n{told}", key="rates-places"):
        for field in view.places:
            fields.show(field, "rates", keep)
        more, fewer = st.columns(2, wrap=False)
        more.button("Add a place", on_click=_place, args=(form, 1), key="place-more",
                    width="stretch")  # fmt: skip
        fewer.button("One place less", on_click=_place, args=(form, -1), key="place-less",
                     disabled=not count, width="stretch")  # fmt: skip
