"""Parts by measure: a family, its line drawing, what to measure, what fits."""

from __future__ import annotations

import re
from base64 import b64encode
from typing import TYPE_CHECKING, Any

import streamlit as st

from app import session
from app.screens import answers, blocks, finding_parts, marks, parts_found
from app.views.parts_form import build_measure_form, families_to_measure, read_back
from estimator.errors import InputTrouble
from estimator.supply import PartFamily

if TYPE_CHECKING:
    from app.views.parts_form import MeasureField

FAMILY = "family"


def show(van: str, heater: str | None) -> None:
    """Lay out the form and what fits the measures given so far; the address holds them."""
    rules = session.shop().catalog().rules
    opened = st.session_state.get(FAMILY) or st.query_params.get(FAMILY)
    with st.expander("**By measure**  \nwhat to measure, drawn", expanded=bool(opened)):
        names = {choice.value: choice.label for choice in families_to_measure(rules)}
        held = st.selectbox(
            "Kind of part",
            list(names),
            None,
            names.__getitem__,
            key=FAMILY,
            placeholder="Choose",
            bind="query-params",
        )
        if held is None:
            return
        family = PartFamily(held)
        form = build_measure_form(rules, family)
        if form.drawing:
            blocks.write(_picture(form.drawing, form.title))
        asked = {field.feature: _ask(field, f"{held}.{field.feature}") for field in form.fields}
    given = {feature: value for feature, value in asked.items() if value not in (None, "")}
    if not given:
        return
    try:
        parts_found.show_fits(*finding_parts.fitting(family, given, van, heater))
    except InputTrouble as trouble:
        blocks.write(marks.note(str(trouble), "check", "Not understood."))


def _picture(svg: str, title: str) -> str:
    """Return a drawing as a picture in the ink of the page, for markup takes no SVG."""
    ink = "#eef2ef" if st.context.theme.type == "dark" else "#17211f"
    drawn = b64encode(svg.replace("currentColor", ink).encode()).decode()
    said = re.search(r"<title>(.*?)</title>", svg)
    alt = said[1] if said else title
    return f'<img class="drawing" alt="{alt}" src="data:image/svg+xml;base64,{drawn}">'


def _ask(field: MeasureField, key: str) -> Any:
    """Ask for one measure, with what was read of it beside it; return the answer."""
    letter = f"{field.letter}  " if field.letter else ""
    label = f"{letter}{field.label}" + (f" [{field.unit}]" if field.unit else "")
    bound: dict[str, Any] = {"key": key, "bind": "query-params"}
    values = {choice.value: choice.label for choice in field.choices}
    given: Any
    with st.container(key=f"field-{key.replace('.', '-')}", gap="xsmall"):
        if values:
            given = st.selectbox(
                label, list(values), None, values.__getitem__, placeholder="Not known", **bound
            )
        elif field.kind == "yes_no":
            given = st.segmented_control(label, [True, False], format_func=_yes_no, **bound)
        else:
            given = st.text_input(label, autocomplete="off", **bound)
        read = read_back(field, given)
        units = f"or with its unit, such as {field.other_unit}" if field.other_unit else ""
        shown = f"read as {read.shown}" if read.shown else units
        said = f'<span class="hint">{marks.plain(shown)}</span>' if shown else ""
        if read.problem:
            said = answers.problem(read.problem)
        blocks.write(f'<div class="beside">{said}</div>' if said else "")
    return given


def _yes_no(answer: bool) -> str:
    return "Yes" if answer else "No"
