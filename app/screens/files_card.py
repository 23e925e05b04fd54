"""What else goes with an issued quote: the work for a calendar, a path for the accounting."""

from __future__ import annotations

from datetime import datetime, time, timedelta
from functools import partial
from typing import TYPE_CHECKING

import streamlit as st

from app import answering, handing_over, quoting, session

if TYPE_CHECKING:
    from app.documents.calendar import Kind
    from app.ledger.records import IssuedQuote

KINDS: dict[Kind, str] = {"work": "The work", "follow_up": "A follow-up"}
HOURS = (1, 2, 3, 4, 6, 8)


def show(quote: IssuedQuote) -> None:
    """Lay out the calendar file and the UBL file of an issued quote."""
    with st.expander("**Calendar and accounting**  \na date for the phone, a file for the books",
                     key=f"files-{quote.number}"):  # fmt: skip
        _calendar(quote)
        _accounting(quote)


def _calendar(quote: IssuedQuote) -> None:
    number = quote.number
    kind = st.radio("What is it for?", list(KINDS), format_func=KINDS.__getitem__,
                    key=f"event-kind-{number}", horizontal=True)  # fmt: skip
    tomorrow = session.today() + timedelta(days=1)
    day = st.date_input("Day", tomorrow, key=f"event-day-{number}", format="YYYY-MM-DD")
    at = st.time_input("Begins at", time(9), key=f"event-time-{number}", step=900)
    hours = st.selectbox("Hours", HOURS, 1, key=f"event-hours-{number}")
    begins = datetime.combine(day, at).astimezone()
    st.download_button(
        "Save for the calendar",
        partial(_event, number, session.token(), begins, 60 * hours, kind, session.language()),
        f"quote-{number}.ics",
        "text/calendar",
        key=f"ics-{number}",
        on_click="ignore",
        width="stretch",
    )


def _accounting(quote: IssuedQuote) -> None:
    open_paths = answering.choices(quote)
    if not open_paths:
        return
    path = st.selectbox(
        "Path for the accounting",
        list(open_paths),
        format_func=open_paths.__getitem__,
        key=f"ubl-path-{quote.number}",
    )
    st.download_button(
        "Save as UBL 2.1",
        partial(_ubl, quote.number, session.token(), path),
        f"quote-{quote.number}.xml",
        "application/xml",
        key=f"ubl-{quote.number}",
        on_click="ignore",
        width="stretch",
    )


# Saving happens apart from the page's run, so each hands on who asks.


def _event(
    number: str, by: str | None, begins: datetime, minutes: int, kind: Kind, language: str
) -> bytes:
    here = session.of_token(by)
    quote = quoting.issued(session.shop(), here, number)
    return handing_over.calendar_file(
        session.shop(), here, quote, begins, minutes, session.now(), kind=kind, language=language
    )


def _ubl(number: str, by: str | None, path: str) -> bytes:
    here = session.of_token(by)
    quote = quoting.issued(session.shop(), here, number)
    return handing_over.ubl_file(session.shop(), here, quote, path)
