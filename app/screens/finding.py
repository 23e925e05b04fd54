"""Step two: what is wrong, what was read, what closes the repair path."""

from __future__ import annotations

from html import escape
from typing import TYPE_CHECKING

import streamlit as st

from app.screens import blocks, fields, kept_stops, likely, marks

if TYPE_CHECKING:
    from app.views.finding import FindingView, GradeShown


def show(view: FindingView, draft_id: str) -> None:
    """Lay out the finding; a stop stands above everything."""
    blocks.title("Finding")
    blocks.write("".join(marks.note(stop.what_to_do, "stop", stop.why) for stop in view.stops))
    blocks.write(kept_stops.markup(view.kept_stops))
    with st.expander(
        f"**{view.hazards.title}**  \n{view.hazards.summary}",
        expanded=any(field.value for field in view.hazards.fields),
        key=f"{draft_id}-hazards",
    ):
        for field in view.hazards.fields:
            fields.show(field, draft_id)
    with blocks.card("card-finding"):
        fields.show(view.finding, draft_id)
        blocks.write(f'<p class="under">{escape(view.plain)}</p>' if view.plain else "")
        blocks.write(_grade(view.grade) if view.grade else "")
        if view.remedy:
            fields.show(view.remedy, draft_id)
    blocks.write("".join(marks.note(caution, "check") for caution in view.cautions))
    with blocks.slot():
        if view.telling:
            with blocks.card("card-telling"):
                blocks.heading("Readings that tell", "Taken in this order. The plate comes first.")
                for field in view.telling:
                    fields.show(field, draft_id)
    with blocks.slot():
        if view.likely:
            likely.show(view.likely)
    fields.show_card(view.other_readings, draft_id)


def _grade(grade: GradeShown) -> str:
    against = marks.items(grade.contradicting, "checks")
    settle = f'<p class="under">{escape(grade.settle_next)}</p>' if grade.settle_next else ""
    word = f"<p>{marks.tag(grade.word, grade.tone)} {escape(grade.sentence)}</p>"
    return f'<div class="grade">{word}{marks.items(grade.supporting)}{against}{settle}</div>'
