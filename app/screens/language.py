"""The switch of language and units on the customer's page; the address remembers both."""

from __future__ import annotations

import json

import streamlit as st

from app import session
from app.formatting_measures import SI, US
from app.language.catalogs import NAMES
from app.language.speech import Speech
from app.views.answering import LANGUAGE, UNITS

UNIT_NAMES = {US: "US", SI: "SI"}


def show() -> None:
    """Lay out the switch."""
    language, units = session.language(), session.units()
    speech = Speech(language, units)
    with st.container(horizontal=True, wrap=True, key="language"):
        for key, label, names, now in (
            ("lang", speech.say(LANGUAGE), NAMES, language),
            ("units", speech.say(UNITS), UNIT_NAMES, units),
        ):
            st.session_state[f"switch-{key}"] = now
            st.segmented_control(
                label,
                list(names),
                format_func=names.__getitem__,
                key=f"switch-{key}",
                on_change=_switch,
                args=(key,),
                label_visibility="collapsed",
            )
    # The page's own language, for a screen reader.
    st.html(
        f"<script>document.documentElement.lang = {json.dumps(language)}</script>",
        unsafe_allow_javascript=True,
    )


@session.guarded
def _switch(key: str) -> None:
    wanted = st.session_state[f"switch-{key}"]
    if wanted is not None:
        st.query_params[key] = wanted
