"""A price list looked at, laid out: its columns, the counts, the changes, what is left out."""

from __future__ import annotations

from html import escape
from typing import TYPE_CHECKING

import streamlit as st

from app import session
from app.screens import answers, blocks, marks, price_list_effects

if TYPE_CHECKING:
    from app.views.price_lists import ChangeRow, ColumnField, PriceListView

WHOLE = "It is the whole list: take them out"
PART = "It is a part: they keep their price"


def columns(fields: tuple[ColumnField, ...], token: str, supplier: str, *, known: bool) -> None:
    """Ask which column holds what: open while it is not clear, one tap away else."""
    title = "**Which column holds what**  \nsaid once, remembered for this supplier"
    with st.expander(title, expanded=not known, key="list-columns"):
        if not known:
            blocks.write(marks.note("Say where number and cost stand.", "check", "Not clear yet."))
        for field in fields:
            key = f"column-{token}-{supplier}-{field.field}"
            values = [choice.value for choice in field.choices]
            label = field.label if field.needed else f"{field.label} (if it has one)"
            at = answers.place(field.value, values)
            st.selectbox(label, values, at, key=key, placeholder="Not in the list")
        st.button("Take these columns", key="take-columns", width="stretch",
                  on_click=_take, args=(fields, token, supplier))  # fmt: skip


@session.guarded
def _take(fields: tuple[ColumnField, ...], token: str, supplier: str) -> None:
    held = {f.field: st.session_state[f"column-{token}-{supplier}-{f.field}"] for f in fields}
    st.session_state[f"columns-{token}-{supplier}"] = {f: c for f, c in held.items() if c}


def preview(view: PriceListView) -> bool | None:
    """Lay out the preview; return whether the list is a part, ``None`` until that is said."""
    price_list_effects.show_used(view.used)
    with blocks.card("card-seen"):
        blocks.heading("What it would change", view.title)
        tags = "".join(marks.tag(count.said, count.tone) for count in view.counts)
        blocks.write(f'<p class="tags" role="status">{tags}</p><p>{escape(view.effect)}</p>')
        blocks.write(price_list_effects.figures(view.figures))
        blocks.small(view.mapping)
        rows = "".join(change(row) for row in view.changes)
        inside = (
            rows,
            marks.items(view.new),
            marks.items(view.vanished),
            marks.items(view.rejected, "checks"),
        )
        kinds = zip(view.heads, inside, strict=True)
        blocks.write("".join(marks.more(head, rows) for head, rows in kinds))
        if not view.ask_partial:
            return False
        key = "list-partial"
        said = st.radio(view.leaves, [WHOLE, PART], None, key=key, width="stretch")
        return None if said is None else said == PART


def change(row: ChangeRow) -> str:
    """Return a part whose cost changes."""
    cells = (("Cost", row.cost), ("Price", row.price), ("Margin", row.margin))
    figures = "".join(f"<div><dt>{name}</dt><dd>{escape(text)}</dd></div>" for name, text in cells)
    mark = marks.tag("margin falls", "check") if row.tone == "check" else ""
    return f'<div class="path"><h3>{escape(row.part)} {mark}</h3><dl>{figures}</dl></div>'
