"""An uploaded price list read beside the page: its columns, what it would change, publishing."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import streamlit as st

from app import price_lists, price_uploads, session
from app.errands import Errands, wait
from app.screens import blocks, marks, price_list_cards
from app.views.price_lists import build_column_fields, build_price_list_view
from estimator.errors import Trouble

if TYPE_CHECKING:
    from concurrent.futures import Future
    from datetime import date
    from pathlib import Path

    from app.price_lists import ListColumns, PriceListPreview

DONE, AT_ONCE_SECONDS, ASK_AGAIN_SECONDS = "price-list-done", 1.5, 1.0


@st.cache_resource(show_spinner=False)
def errands() -> Errands:
    """Return what works beside the page, one for all sessions."""
    return Errands()


def show(token: str, path: Path, supplier: str, first: date) -> None:
    """Lay out what is known of the list so far; a large one is read beside the page."""
    shop, actor, today = session.shop(), session.signed_in(), session.today()
    told = st.session_state.get(f"columns-{token}-{supplier}")

    def read() -> tuple[ListColumns, PriceListPreview | None]:
        found = price_lists.columns_of(shop, actor, path, supplier, told)
        if not found.plain:
            return found, None
        args = (shop, actor, path, supplier, first, found.mapping)
        return found, price_lists.look_at_price_list(*args, today=today)

    held = shop.catalog().version, _sheet_on(first)
    rests_on = (token, supplier, first, today, repr(told), *held, str(shop.folder))
    publishing = errands().sent(("publish", token, supplier, first))
    errand = publishing or errands().send(rests_on, read)
    if not wait(errand, AT_ONCE_SECONDS):
        _still(errand, "Publishing" if publishing else "Reading")
        return
    try:
        result: Any = errand.result()
    except Trouble as trouble:
        errands().forget(("publish", token, supplier, first))
        said = str(trouble).replace(str(path), price_uploads.name_of(token))
        blocks.write(marks.note(said, "stop", "This list cannot be used."))
        return
    if publishing:
        _done(token, supplier, first, result)
        return
    found, preview = result
    price_list_cards.columns(build_column_fields(found), token, supplier, known=found.plain)
    if preview is not None:
        view = build_price_list_view(preview, price_uploads.name_of(token))
        partial = price_list_cards.preview(view)
        args = (token, path, supplier, first, found.mapping, partial)
        st.button("Publish this list", key="publish-list", type="primary", on_click=_publish,
                  args=args, width="stretch",
                  disabled=not view.usable or (view.ask_partial and partial is None))  # fmt: skip


def _sheet_on(first: date) -> int | None:
    """Return the rate sheet by which the effect on margins is worked out."""
    try:
        return session.shop().ledger.rate_sheets.on(first).version
    except Trouble:
        return None  # the reading says so


@st.fragment(run_every=ASK_AGAIN_SECONDS)
def _still(errand: Future[Any], doing: str) -> None:
    """Say that it is under way; the page is drawn anew once it is done."""
    if errand.done():
        st.rerun()
    blocks.write(marks.note("You may go on working meanwhile.", "plain", f"{doing} the list …"))


@session.guarded
def _publish(token: str, path: Path, supplier: str, first: date, mapping: dict[str, str],
             partial: bool | None) -> None:  # fmt: skip
    shop, actor, at = session.shop(), session.signed_in(), session.now()

    def work() -> str:
        args = (shop, actor, path, supplier, first, mapping)
        return price_lists.publish_prices(*args, partial=bool(partial), at=at).version

    errands().send(("publish", token, supplier, first), work)


def _done(token: str, supplier: str, first: date, version: str) -> None:
    errands().forget(("publish", token, supplier, first))
    st.session_state[DONE] = f"{supplier}'s list is published as catalog {version}."
    st.query_params.clear()
    st.rerun()
