"""What of the books is counted: by day, person, finding, state, age of the heater, verdict."""

from __future__ import annotations

import streamlit as st

from app import session
from app.desk.books import BookFilter
from app.desk.tallies import AGE_BANDS, STATES
from app.screens import answers
from app.views.desk_book_words import filter_from, words_of
from estimator.findings import FINDINGS
from estimator.verdict import VerdictKind

KEYS = ("first", "last", "people", "findings", "states", "ages", "verdicts")
HELD = "books-filter-held"


def show(people: tuple[str, ...]) -> BookFilter:
    """Lay out the filter, as the address asks for it at first; return what is chosen."""
    _take_up(people)
    held: BookFilter = st.session_state.get(HELD, BookFilter())
    keys = {name: answers.turned(f"books-{name}") for name in KEYS}
    with st.expander("**Filter**  \nby day, person, finding, state, age", key="books-filter"):
        first, last = st.columns(2)
        since = first.date_input("Issued from", held.first, key=keys["first"], format="YYYY-MM-DD")
        until = last.date_input("Issued to", held.last, key=keys["last"], format="YYYY-MM-DD")
        chosen = st.pills("Person", people, selection_mode="multi", key=keys["people"],
                          default=[each for each in held.people if each in people])  # fmt: skip
        findings = st.multiselect("Finding", [it.value for it in FINDINGS], held.findings,
                                  key=keys["findings"],
                                  format_func=lambda it: words_of("finding", it))  # fmt: skip
        states = st.pills("State", STATES, selection_mode="multi", key=keys["states"],
                          default=held.states, format_func=str.capitalize)  # fmt: skip
        ages = st.pills("Age of the heater, years", AGE_BANDS, selection_mode="multi",
                        key=keys["ages"], default=held.ages)  # fmt: skip
        verdicts = st.pills("Verdict", [it.value for it in VerdictKind], selection_mode="multi",
                            key=keys["verdicts"], default=held.verdicts,
                            format_func=lambda it: words_of("verdict", it))  # fmt: skip
        st.button("Count everything", on_click=_clear, key="books-clear", width="stretch")
    words = (chosen, findings, states, ages, verdicts)
    wanted = BookFilter(since, until, *(tuple(each) for each in words))
    st.session_state[HELD] = wanted  # also for the way back from another room
    return wanted


def _take_up(people: tuple[str, ...]) -> None:
    """Put what the address asks for into the filter, once."""
    asked = {name: st.query_params.get_all(name) for name in st.query_params}
    if asked:
        _hold(filter_from(asked, people))
        st.query_params.clear()


@session.guarded
def _clear() -> None:
    _hold(BookFilter())


def _hold(wanted: BookFilter) -> None:
    st.session_state[HELD] = wanted
    for name in KEYS:
        answers.turn(f"books-{name}")
