"""The owner's price lists: one uploaded, looked at and published; an earlier catalog back."""

from __future__ import annotations

from typing import TYPE_CHECKING

import streamlit as st

from app import price_uploads, session
from app.people.roles import Action
from app.screens import answers, blocks, marks, price_list_kept, price_list_seen, refusals
from catalog.offers import suppliers

if TYPE_CHECKING:
    from app.people.guard import Actor

LIST, SUPPLIER = "list", "supplier"


def show_page() -> None:
    """Ask whose list it is and for the file, show what it would change, list the catalogs."""
    actor = session.allow(Action.BUILD_CATALOG)
    blocks.title("Price lists", "Nothing changes until you publish.")
    if said := st.session_state.pop(price_list_seen.DONE, None):
        blocks.write(marks.note("Quotes follow it from now on.", "good", said))
    with blocks.card("card-list"):
        _asked(actor)
    held = st.query_params.get(LIST, "")
    supplier = st.query_params.get(SUPPLIER, "")
    path = price_uploads.upload_path(session.shop(), held) if held else None
    if held and path is None:
        blocks.write(marks.note("Upload it again.", "check", "That file is no longer here."))
    elif path is not None and not supplier:
        blocks.write(marks.note("Choose the supplier above.", "check", "Whose list is it?"))
    elif path is not None:
        price_list_seen.show(held, path, supplier, st.session_state["list-from"])
    price_list_kept.show(actor)


def _asked(actor: Actor) -> None:
    known = list(suppliers(session.shop().catalog()))
    held = st.query_params.get(SUPPLIER)
    if held and held not in known:
        known.append(held)
    at = answers.place(held, known)
    st.selectbox("Supplier", known, at, key="list-supplier", accept_new_options=True,
                 placeholder="Choose, or type a new one", on_change=_keep_supplier)  # fmt: skip
    st.date_input("Prices hold from", "today", key="list-from", format="YYYY-MM-DD")
    with refusals.field("list-file"):
        st.file_uploader("Price list: CSV, Excel or Parquet", list(price_uploads.KINDS),
                         key="list-file", on_change=_upload, args=(actor,),
                         max_upload_size=price_uploads.LARGEST_MB)  # fmt: skip


@session.guarded
def _keep_supplier() -> None:
    st.query_params[SUPPLIER] = (st.session_state["list-supplier"] or "").strip()


@refusals.said_at("list-file")
def _upload(actor: Actor) -> None:
    file = st.session_state["list-file"]
    if file is not None:
        shop = session.shop()
        st.query_params[LIST] = price_uploads.keep_upload(shop, actor, file.name, file.getvalue())
