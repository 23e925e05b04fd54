"""How long heaters last, for the owner: from the shop's records, to adopt into the rates."""

from __future__ import annotations

import tempfile
from base64 import b64encode
from html import escape
from pathlib import Path
from typing import TYPE_CHECKING, Any

import streamlit as st

from app import publishing, session
from app.desk.heater_lives import heater_records, life_csv
from app.documents.life_plot import life_svg
from app.life_records import RecordSpan, read_life_records, refuse_within_delay
from app.lives import adopt_lives, fit_lives
from app.people.roles import Action
from app.screens import blocks, fields, marks, prices, refusals
from app.views.life import build_life_view, delay_field
from estimator.errors import Trouble
from estimator.heater import HeaterClass

if TYPE_CHECKING:
    from collections.abc import Sequence

    from app.life_records import LifeRecord
    from app.lives import ClassLife
    from app.views.life import LifeView

DONE, DELAY = "lives-adopted", "lives-delay"
OWN, FILE = "What was seen later of our quotes", "A file of records"


def show_page() -> None:
    """Show the lives that the shop's own records bear out."""
    with session.guard():
        session.allow(Action.SEE_BOOKS)
        blocks.title("Lives", "How long heaters last here, from your own records.")
        if done := st.session_state.pop(DONE, None):
            blocks.write(marks.note("Quotes already issued keep theirs.", "good", done))
        with blocks.card("card-records"):
            source = st.radio("Records", [OWN, FILE], key="lives-source", width="stretch")
            asked, delay = delay_field(st.session_state.get(DELAY))
            fields.show(asked, "lives", _keep)
            if delay is None:
                return
            records = _own(delay) if source == OWN else _of_file(delay)
        if not records:
            blocks.write(
                marks.note(
                    "Record on a quote what became of the heater, or give a CSV file with the "
                    "columns installed and failed.",
                    "plain",
                    "There are no records yet.",
                )
            )
            return
        _fitted(fit_lives(records, delay))


def _keep(_: str, value: Any) -> None:
    st.session_state[DELAY] = value


def _own(delay: float) -> Sequence[LifeRecord]:
    found = heater_records(session.shop(), session.signed_in())
    left = (f"{number}: {why}." for number, why in found.left_out)
    blocks.write(marks.more("Left out, and why", marks.items(left)) if found.left_out else "")
    return _read(life_csv(found), delay) if found.records else ()


def _of_file(delay: float) -> Sequence[LifeRecord]:
    given = st.file_uploader("CSV file", type="csv", key="lives-file")
    return () if given is None else _read(given.getvalue(), delay)


def _read(content: bytes, delay: float) -> Sequence[LifeRecord]:
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "records.csv"
        path.write_bytes(content)
        try:
            span = RecordSpan(None, session.today())
            records = read_life_records(path, span, HeaterClass.GAS_STORAGE)
            refuse_within_delay(records, delay, path)
        except Trouble as trouble:
            raise Trouble(str(trouble).replace(f"{folder}/", "")) from None
    return records


def _fitted(found: Sequence[ClassLife]) -> None:
    shop, actor = session.shop(), session.signed_in()
    sheet = publishing.rate_sheet_on(shop, actor, session.today()).sheet
    for each in found:
        _class(build_life_view(each, sheet.economics.lives))
    if any(each.life is not None for each in found):
        with blocks.card("card-adopt"):
            blocks.heading("Adopt", "The next rate sheet holds these lives; the rest stays.")
            refusals.show("adopt-lives")
            st.date_input("Holds from", "today", key="lives-from", format="YYYY-MM-DD")
            st.button(
                "Adopt the fitted lives",
                type="primary",
                key="adopt-lives",
                on_click=_adopt,
                args=(found,),
                width="stretch",
            )


def _class(view: LifeView) -> None:
    with blocks.card(f"card-life-{view.heater_class.value}"):
        blocks.heading(view.name, view.sample)
        if view.refused:
            blocks.write(marks.note(view.refused, "check", "Not fitted."))
        blocks.write("".join(marks.note(text, "check") for text in view.cautions))
        if view.plot:
            picture = b64encode(life_svg(view.plot).encode()).decode()
            said = escape(f"{view.plot.title}. {view.plot.description}", quote=True)
            blocks.write(
                f'<img class="plot" alt="{said}" src="data:image/svg+xml;base64,{picture}">'
            )
            blocks.small(view.plot.description)
        blocks.write(prices.pairs(view.facts))
        brackets = "In brackets: 95% interval." if view.facts else ""
        blocks.small(" ".join(text for text in (view.now, brackets) if text))


@refusals.said_at("adopt-lives")
def _adopt(found: Sequence[ClassLife]) -> None:
    lives = {each.heater_class: each.life for each in found if each.life is not None}
    first, now = st.session_state["lives-from"], session.now()
    made = adopt_lives(session.shop(), lives, first, session.signed_in(), now)
    st.session_state[DONE] = f"Rate sheet {made.version} holds the fitted lives."
