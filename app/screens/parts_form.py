"""Parts by measure: a family, its line drawing, what to measure, what fits."""

from __future__ import annotations

import re
from base64 import b64encode
from typing import TYPE_CHECKING, Any

import streamlit as st

from app import session
from app.screens import answers, blocks, finding_parts, marks, parts_found
from app.views.parts_form import build_measure_form, families_to_measure
from estimator.errors import InputTrouble
from estimator.supply import PartFamily

if TYPE_CHECKING:
    from app.views.parts_form import MeasureField

FAMILY, MEASURE = "family", "m."


def show(van: str, heater: str | None) -> None:
    """Lay out the form and what fits the measures given so far."""
    rules = session.shop().catalog().rules
    held = st.query_params.get(FAMILY)
    with st.expander("**By measure**  \nwhat to measure, drawn", expanded=bool(held)):
        names = {choice.value: choice.label for choice in families_to_measure(rules)}
        st.session_state.setdefault("measure-family", held if held in names else None)
        st.selectbox(
            "Kind of part",
            list(names),
            None,
            names.__getitem__,
            key="measure-family",
            placeholder="Choose",
            on_change=_take_family,
        )
        if held is None or held not in names:
            return
        family = PartFamily(held)
        form = build_measure_form(rules, family, _given())
        if form.drawing:
            blocks.write(_picture(form.drawing, form.title))
        for field in form.fields:
            _ask(field, form.family)
    given = _given()
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


def _take_family() -> None:
    for name in list(st.query_params):
        if name.startswith(MEASURE) or name == FAMILY:
            del st.query_params[name]
    if st.session_state["measure-family"]:
        st.query_params[FAMILY] = st.session_state["measure-family"]


def _given() -> dict[str, Any]:
    """Return the measures that the address holds, by feature."""
    words = {"yes": True, "no": False}
    return {
        name.removeprefix(MEASURE): words.get(value, value)
        for name, value in st.query_params.items()
        if name.startswith(MEASURE)
    }


def _keep(feature: str, key: str) -> None:
    value = st.session_state[key]
    if value in (None, ""):
        st.query_params.pop(f"{MEASURE}{feature}", None)
    elif isinstance(value, bool):
        st.query_params[f"{MEASURE}{feature}"] = _yes_no(value).lower()
    else:
        st.query_params[f"{MEASURE}{feature}"] = str(value)


def _ask(field: MeasureField, family: str) -> None:
    key = f"measure-{family}-{field.feature}"
    letter = f"{field.letter}  " if field.letter else ""
    label = f"{letter}{field.label}" + (f" [{field.unit}]" if field.unit else "")
    bound: dict[str, Any] = {"key": key, "on_change": _keep, "args": (field.feature, key)}
    values = {choice.value: choice.label for choice in field.choices}
    with st.container(key=f"field-{key}", gap="xsmall"):
        if values:
            st.session_state.setdefault(key, field.value if field.value in values else None)
            st.selectbox(
                label, list(values), None, values.__getitem__, placeholder="Not known", **bound
            )
        elif field.kind == "yes_no":
            st.session_state.setdefault(key, field.value)
            st.segmented_control(label, [True, False], format_func=_yes_no, **bound)
        else:
            st.session_state.setdefault(key, str(field.value or ""))
            st.text_input(label, autocomplete="off", **bound)
        units = f"or with its unit, such as {field.other_unit}" if field.other_unit else ""
        shown = f"read as {field.shown}" if field.shown else units
        said = f'<span class="hint">{marks.plain(shown)}</span>' if shown else ""
        if field.problem:
            said = answers.problem(field.problem)
        blocks.write(f'<div class="beside">{said}</div>' if said else "")


def _yes_no(answer: bool) -> str:
    return "Yes" if answer else "No"
