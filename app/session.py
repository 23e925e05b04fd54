"""What a browser session holds on to: the open shop, who is signed in, the draft on the screen.

Nothing typed lives here. The draft is in the ledger, its id and step are in the address,
so that a reload, a lost signal or a restarted server brings the visit back.
"""

from __future__ import annotations

import sys
import traceback
from contextlib import contextmanager
from datetime import datetime
from functools import partial
from typing import TYPE_CHECKING, Any, Literal
from uuid import uuid4

import streamlit as st
from streamlit.runtime.scriptrunner import get_script_run_ctx

from app import quoting, visiting, wiring
from app.customer_page import customers_view
from app.formatting_measures import SI, US
from app.language.catalogs import LANGUAGES
from app.language.customer_troubles import not_now, said_to_customer
from app.people import signing_in
from app.people.guard import require
from app.session_cookie import cookie_name
from app.views.heater import choose_family
from app.views.payload import put, read
from app.views.trail import known_step
from estimator.errors import Trouble

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator, Mapping
    from datetime import date
    from pathlib import Path

    from app.ledger.records import Draft
    from app.people.guard import Actor
    from app.people.roles import Action
    from app.shop import Shop
    from app.views.customer import CustomerView
    from app.views.heater import Family

SAID = "said"
ASKS = "on_scriptrunner_yield"
"""Where a run asks whether it is to be broken off."""
TOKEN = "session-token"


def for_customer() -> bool:
    """Return whether the page on the screen is a customer's: by his link, or turned round."""
    return "link" in st.query_params or "quote" in st.query_params


def language() -> str:
    """Return the language of the customer's page: as the address says, else his browser."""
    asked = st.query_params.get("lang") or (st.context.locale or "").partition("-")[0].lower()
    return asked if asked in LANGUAGES else "en"


def units() -> str:
    """Return the units of the customer's page, as the address says; unknown ones are not taken."""
    asked = st.query_params.get("units", US)
    return asked if asked in (US, SI) else US


@contextmanager
def whole() -> Iterator[None]:
    """Let what is done inside be done whole, however soon the next tap comes.

    Streamlit breaks a run off at any use of its state once the browser asks for another, also in
    the midst of what a field or a button does; the next run takes the field's answer for known,
    and it is lost. So it is asked to wait until this is done; the next run comes right after.
    """
    context = get_script_run_ctx(suppress_warning=True)
    asked = vars(context.script_requests) if context and context.script_requests else None
    if asked is None or ASKS in asked:
        yield
        return
    asked[ASKS] = lambda: None
    try:
        yield
    finally:
        del asked[ASKS]


def guarded(action: Callable[..., None]) -> Callable[..., None]:
    """Wrap what a button or field does: done whole, and trouble becomes a message on the page.

    Parameters
    ----------
    action
        What is done.

    Returns
    -------
    The same, never raising.
    """

    def quietly(*given: Any) -> None:
        with whole():
            try:
                action(*given)
            except Exception as problem:  # noqa: BLE001 - the last line before a person
                st.session_state[SAID] = in_words(problem)

    return quietly


@st.cache_resource(show_spinner=False)
def _open_shop(folder: Path) -> Shop:
    return wiring.open_shop(folder)


def shop() -> Shop:
    """Return the open shop: the folder in HEATER_SHOP, else the user's own.

    Returns
    -------
    The shop, shared by all sessions.
    """
    return _open_shop(wiring.named_shop_folder())


def now() -> datetime:
    """Return the moment, with its zone."""
    return datetime.now().astimezone()


def today() -> date:
    """Return the day at this machine."""
    return now().date()


def token() -> str | None:
    """Return the token of the session: of this page, else the cookie that a sign-in left."""
    here: object = st.session_state.get(TOKEN)
    return here if isinstance(here, str) else cookie()


def cookie(of: str = "") -> str | None:
    """Return a cookie that this browser brought when the page was opened."""
    held: object = st.context.cookies.get(cookie_name(shop().folder) + of)
    return held if isinstance(held, str) else None


def actor() -> Actor | None:
    """Return who is signed in here, or ``None`` where nobody is or the session ended."""
    return signing_in.who(shop(), token(), now())


def signed_in() -> Actor:
    """Return who is signed in.

    Raises
    ------
    Trouble
        If nobody is.
    """
    here = actor()
    if here is None:
        raise _not_signed_in()
    return here


def of_token(token: str | None) -> Actor:
    """Return who has a token, for what is done apart from the page's run, such as a file.

    Raises
    ------
    Trouble
        If nobody has, or the session ended.
    """
    here = signing_in.who(shop(), token, now())
    if here is None:
        raise _not_signed_in()
    return here


def _not_signed_in() -> Trouble:
    return Trouble("You are not signed in, or that ended", mend="Open the page again.")


def allow(action: Action) -> Actor:
    """Return who is signed in, where he may do an action; a refusal is written down.

    Parameters
    ----------
    action
        What a screen is about to show or do.

    Raises
    ------
    Trouble
        If nobody is signed in, or it is not his to do.
    """
    here = signed_in()
    require(shop(), here, action, now())
    return here


def draft() -> Draft | None:
    """Return the draft that the address names, or ``None``."""
    named = st.query_params.get("draft")
    return visiting.draft_of(shop(), signed_in(), named) if named else None


def step() -> str:
    """Return the step that the address names, or the first."""
    return known_step(st.query_params.get("step"))


def open_draft(opened: Draft) -> None:
    """Bring a draft on the screen, at the step where it was left."""
    st.query_params.from_dict({"draft": opened.draft_id, "step": known_step(opened.step)})


@guarded
def go(to: str) -> None:
    """Open a step of the visit, and remember it in the draft."""
    here = draft()
    if here is not None:
        _save(here, to, here.payload)
    st.query_params["step"] = to


def keep(path: str, value: Any) -> None:
    """Save one answer to the draft at once."""
    here = draft()
    if here is None:
        raise Trouble("This visit is no longer open", mend="Open it again from the list of visits.")
    _save(here, step(), put(here.payload, path, value))


def keep_family(family: Family | None) -> None:
    """Save the heater family and what its plate says to the draft."""
    here = draft()
    if here is not None:
        _save(here, step(), choose_family(here.payload, family))


def _save(here: Draft, at: str, payload: Mapping[str, Any]) -> None:
    """Keep the draft under the name whose it is; the journal names who typed."""
    visiting.save_draft(shop(), signed_in(), here, at, payload, now())


def answer(path: str) -> Any:
    """Return what the draft holds at a path."""
    here = draft()
    return read(here.payload, path) if here else None


@contextmanager
def guard() -> Iterator[None]:
    """Show trouble inside as one plain message, and never a traceback."""
    said = st.session_state.pop(SAID, None)
    with st.container():  # always there, so that it moves nothing below
        if said:
            st.error(said, icon=":material/error:")
    try:
        yield
    except Exception as problem:  # noqa: BLE001 - the last line before a person
        st.error(in_words(problem), icon=":material/error:")


def in_words(problem: Exception) -> str:
    """Say what went wrong; for what nobody foresaw, an apology with a reference.

    Parameters
    ----------
    problem
        What was raised. Its traceback goes to standard error under the reference.

    Returns
    -------
    The message.
    """
    customers = for_customer()
    said = said_to_customer(problem, language()) if customers else None
    if said is not None:
        return said
    if isinstance(problem, Trouble) and "link" not in st.query_params:
        return str(problem)
    reference = uuid4().hex[:8]
    print(f"reference {reference}", file=sys.stderr)
    traceback.print_exception(problem)
    if customers:
        return not_now(reference, language())
    return (
        "Something went wrong here that should not have. What you typed is kept. "
        f"Try again; if it stays, tell the owner this reference: {reference}."
    )


def pdf_of_view(view: CustomerView) -> bytes:
    """Return a customer's view as PDF, with the shop's logo."""
    from app.documents.logo import read_logo  # noqa: PLC0415 - slow to import, wanted here only
    from app.documents.pdf import quote_pdf  # noqa: PLC0415

    return quote_pdf(view, read_logo(shop().folder))


def pdf_of(number: str, by: str | None, link: str | None = None) -> bytes:
    """Return an issued quote as PDF, as it stands today.

    Parameters
    ----------
    number
        The quote's number.
    by
        The token of who asks. Saving happens apart from the page's run, so it is handed on.
    link
        The address of the customer's own page, for the QR code.
    """
    here = of_token(by)
    quote = quoting.issued(shop(), here, number)
    return pdf_of_view(customers_view(shop(), here, quote, today(), link=link))


def pdf_button(
    number: str,
    label: str,
    kind: Literal["primary", "secondary"] = "secondary",
    link: str | None = None,
) -> None:
    """Lay out a button that makes and saves the PDF of an issued quote when it is tapped."""
    name = f"quote-{number}.pdf"
    st.download_button(
        label,
        partial(pdf_of, number, token(), link),
        name,
        "application/pdf",
        type=kind,
        key=f"pdf-{number}",
        on_click="ignore",
        width="stretch",
    )
